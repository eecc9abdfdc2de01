"""Which drill was asked for on the command line, and the scenario it comes to."""

from __future__ import annotations

import secrets
from dataclasses import dataclass
from pathlib import Path

from diagnose.bench import Bench
from diagnose.catalogue.expanding import for_rig
from diagnose.circuit.operate import Model
from diagnose.circuit.rig import Rig
from diagnose.design.facts import rig_facts
from diagnose.drill.choosing import again, drawn, given
from diagnose.drill.progress import progress, weak
from diagnose.drill.record import Trainee
from diagnose.drill.scenario import NothingToDrill, Scenario
from diagnose.reasoning.hypotheses import applicable
from diagnose.terminal import options

FIRST_RIG, MOST = "bowser", 1_000_000
"""The rig when none is named; seeds are drawn below this when none is given."""


@dataclass(frozen=True)
class Asked:
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
        return options.rig_called(self.rig or FIRST_RIG)

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


def same_again(asked: Asked, here: Scenario) -> str:
    """The command that gives the same drill. Where the trainee's file had a part in the choice,
    it names the fault, so it is shown after the drill only."""
    ticket = here.ticket
    words = ["diagnose drill", f"--rig {asked.rig or FIRST_RIG}", f"--level {ticket.level}"]
    if asked.wrong or asked.fault:
        words.append(f"--fault {ticket.modes[0]}")
    elif asked.group:
        words.append(f"--group {asked.group}")
    return " ".join([*words, f"--seed {ticket.seed}"])
