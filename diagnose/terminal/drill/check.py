"""The command `drill check`: what drills are worth, played by the walk and at random."""

from __future__ import annotations

from diagnose.drill.expert import played
from diagnose.terminal import options
from diagnose.terminal.plain import Screen


def checked(rig: str, level: int, count: int, seed: int) -> None:
    """Raises DiagnoseError."""
    bench = options.bench_for(options.rig_called(rig), options.shop())
    screen, expert, random = Screen.standard(), 0, 0
    for one in played(bench, level, range(seed, seed + count)):
        expert, random = expert + one.expert.right, random + one.random.right
        if not one.expert.right:
            hidden = " and ".join(one.scenario.truth.modes)
            number = one.scenario.ticket.seed
            screen.say(f"Seed {number}: {hidden}; the advised path ends on {one.expert.cause}.")
    screen.say(f"{count} drills of level {level} on {bench.rig.name}.")
    screen.say(f"Found by the advised path: {expert}, {expert / count:.0%}.")
    screen.say(f"Found by the same minutes at random: {random}, {random / count:.0%}.")
