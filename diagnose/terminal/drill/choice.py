"""Which drill was chosen, the scenario it comes to, and the command drill check: their worth."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from pathlib import Path

from diagnose.bench import Bench
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig, rig_called
from diagnose.design.facts import rig_facts
from diagnose.drill.choosing import again, drawn, given
from diagnose.drill.path import played
from diagnose.drill.progress import progress, weak
from diagnose.drill.record import Trainee
from diagnose.drill.scenario import NothingToDrill, Scenario
from diagnose.reasoning.hypotheses import applicable
from diagnose.terminal import options
from diagnose.terminal.plain import Screen

FIRST_RIG, MOST = "bowser", 1_000_000
"""The rig when none is named; seeds are drawn below this when none is given."""


@dataclass(frozen=True)
class DrillChoice:
    """What stood on the command line; "" and 0 for what did not."""

    rig: str
    level: int
    group: str
    wrong: bool
    fault: str
    seed: int | None
    trainee: str
    folder: Path | None

    @property
    def file(self) -> Trainee:
        return Trainee.of(self.trainee, self.folder)

    @property
    def is_open(self) -> bool:
        """Whether the kind of drill was left open."""
        return not (self.level or self.group or self.wrong or self.fault)

    def named_rig(self) -> Rig:
        """Raises DiagnoseError."""
        return rig_called(self.rig or FIRST_RIG)

    def groups(self) -> tuple[str, ...]:
        """The component groups of the rig, without computing anything. Raises DiagnoseError."""
        rig = self.named_rig()
        known = for_rig(options.shop().catalogue, rig)
        modes = applicable(known, rig_facts(Model.of(rig)), rig)
        return tuple(dict.fromkeys(mode.group for mode in modes))

    def bench(self) -> Bench:
        """Raises DiagnoseError."""
        return options.bench_for(self.named_rig(), options.shop())

    def scenario(self, bench: Bench) -> Scenario:
        """Raises DiagnoseError."""
        if sum(map(bool, (self.group, self.wrong, self.fault))) > 1:
            raise NothingToDrill("Take one of --group, --wrong and --fault.")
        seed = secrets.randbelow(MOST) if self.seed is None else self.seed
        level = self.level or 1
        if self.fault:
            return given(bench, level, seed, self.fault)
        if self.wrong:
            return again(bench, level, seed, weak(progress(self.file.drills())))
        return drawn(bench, level, seed, self.group)

    def same_again(self, here: Scenario) -> str:
        """The command that gives the same drill. Where the trainee's file had a part in the choice,
        it names the fault, so it is shown after the drill only."""
        ticket = here.ticket
        words = ["diagnose drill", f"--rig {self.rig or FIRST_RIG}", f"--level {ticket.level}"]
        if self.wrong or self.fault:
            words.append(f"--fault {ticket.modes[0]}")
        elif self.group:
            words.append(f"--group {self.group}")
        return " ".join([*words, f"--seed {ticket.seed}"])


def check(rig: str, level: int | None, count: int, seed: int) -> None:
    """What drills are worth, played by the walk and at random. Raises DiagnoseError."""
    bench = options.bench_for(rig_called(rig), options.shop())
    screen, expert, random = Screen.standard(), 0, 0
    for one in played(bench, level or 1, range(seed, seed + count)):
        expert, random = expert + one.expert.right, random + one.random.right
        if not one.expert.right:
            hidden = " and ".join(one.scenario.truth.modes)
            number = one.scenario.ticket.seed
            screen.say(f"Seed {number}: {hidden}; the advised path ends on {one.expert.cause}.")
    screen.say(f"{count} drills of level {level or 1} on {bench.rig.name}.")
    screen.say(f"Found by the advised path: {expert}, {expert / count:.0%}.")
    screen.say(f"Found by the same minutes at random: {random}, {random / count:.0%}.")
