"""Makes the year of invented cases in cases/garden-year, from the visits in garden_year.yaml.

    python -m tests.casebook.garden_year [FOLDER]

What was wrong, what the customer said and what came of it is written by hand in the visits. What
was seen and read follows from the fault: a simulated person of the study stands at a rig that has
it, and walks through the questions as anybody would. Chance is seeded by the number of the visit,
so the same book gives the same cases; after a change of the book, read them through once more.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import cached_property
from pathlib import Path

import numpy as np

from diagnose.bench import Bench, Shop
from diagnose.casebook.case_fields import time_of
from diagnose.casebook.closure import close, reopen, verified
from diagnose.casebook.record import Case, Verification
from diagnose.casebook.store import Casebook
from diagnose.casebook.walk_case import case_of, slug
from diagnose.circuit.rig import Rig, open_rig, read_rig
from diagnose.documents import Section, load
from diagnose.outcome import Result, conclude, proof
from diagnose.reasoning import OTHER
from diagnose.simulate.draw import faulty
from diagnose.simulate.policies import own
from diagnose.simulate.truth import Person
from diagnose.study.play import NoComplaint, play
from diagnose.walkthrough import Walk

VISITS = Path(__file__).with_name("garden_year.yaml")
YEAR = Path(__file__).parents[2] / "cases" / "garden-year"

MARK = "Invented for the demo."
"""Begins the notes of every case."""

ENDS = ("proven", "swapped", "closed", "open", "back")
"""Proven by the reading after the repair; by the part; closed without proof; left open; closed
without proof and open again after some days."""

PERSON = Person(wrong=0.04, unsure=0.03)
SEED, TRIES, ARRIVES = 2026, 50, 4
"""Of all chance; rigs drawn until somebody would complain; minutes before the first question."""


@dataclass(frozen=True)
class Visit:
    """One visit as it is written down. mode: what is wrong with the rig; words: what it was where
    the book has no name for it; back: days after which a case with the end "back" was open again;
    work: minutes of the repair."""

    number: int
    opened: datetime
    rig: str
    mode: str
    says: tuple[str, ...]
    notes: str
    end: str
    words: str
    parts: tuple[str, ...] | None
    back: int
    work: int

    @property
    def cause(self) -> str:
        return OTHER if self.words else self.mode


def visit_of(part: Section, number: int) -> Visit:
    """A visit as read; its problems are noted in the document."""
    return Visit(
        number=number,
        opened=time_of(f"{part.text('opened')}:00 UTC"),
        rig=part.text("rig"),
        mode=part.text("mode"),
        says=part.texts("says"),
        notes=" ".join(part.text("notes").split()),
        end=part.choice("end", ENDS),
        words=part.text("words", default=""),
        parts=part.texts("parts", default=None),
        back=int(part.number("back", default=0)),
        work=int(part.number("work", default=40)),
    )


@dataclass
class Garden:
    """The workshop: its rigs, its visits and the book it goes by."""

    shop: Shop
    document: Section

    @classmethod
    def opened(cls) -> Garden:
        return cls(Shop.shipped(), load(VISITS))

    @cached_property
    def visits(self) -> tuple[Visit, ...]:
        parts = self.document.sections("visits")
        return tuple(visit_of(part, number) for number, part in enumerate(parts, 1))

    @cached_property
    def rigs(self) -> dict[str, Rig]:
        """The bundled rigs that are visited, and those described beside the visits."""
        own = self.document.section("rigs")
        named = {visit.rig for visit in self.visits}
        return {
            name: read_rig(own.section(name)) if name in own else open_rig(name) for name in named
        }

    @cached_property
    def benches(self) -> dict[str, Bench]:
        return {name: Bench.for_rig(rig, self.shop) for name, rig in self.rigs.items()}

    def cases(self) -> Iterator[Case]:
        """Every visit as a case."""
        for visit in self.visits:
            yield self.case(visit)

    def case(self, visit: Visit) -> Case:
        """Somebody walks through the questions, mends the rig, and writes it down."""
        walk, result = self.walked(visit)
        times = dict(_times(walk, visit.opened))
        case = case_of(
            walk,
            result,
            visit.says,
            f"{MARK} {visit.notes}",
            opened=visit.opened,
            times=times,
            name=self._name(visit),
        )
        return self._ended(visit, case, max(times.values()) + timedelta(minutes=visit.work))

    def walked(self, visit: Visit) -> tuple[Walk, Result]:
        """A walk on a rig with that fault, of which somebody complained."""
        bench = self.benches[visit.rig]
        mode = self.shop.catalogue.failure_modes[visit.mode]
        for attempt in range(TRIES):
            walk = Walk(bench)
            try:
                truth = faulty(bench.model, [mode], (SEED, visit.number, attempt))
                why = play(walk, truth, PERSON, own).why_stopped
            except NoComplaint:
                continue
            return walk, conclude(walk, why)
        raise RuntimeError(f"visit {visit.number}: nobody complains of {visit.mode}")

    def _name(self, visit: Visit) -> str:
        letters = np.random.default_rng((SEED, visit.number)).bytes(3).hex()
        return f"{visit.opened:%Y-%m-%d}-{slug(self.rigs[visit.rig].name)}-{letters}"

    def _ended(self, visit: Visit, case: Case, done: datetime) -> Case:
        if visit.end == "open":
            return case
        if visit.end == "proven":
            case = replace(case, verification=self._proof(visit, done))
        how = {"proven": "verification", "swapped": "part-swapped"}.get(visit.end, "none")
        parts = visit.parts if visit.parts is not None else self._parts(visit)
        case = close(case, visit.cause, how, visit.words, parts=parts, clock=lambda: done)
        if visit.end != "back":
            return case
        return reopen(case, clock=lambda: done + timedelta(days=visit.back))

    def _parts(self, visit: Visit) -> tuple[str, ...]:
        """The first part that the book names for what it was."""
        parts = self.shop.catalogue.failure_modes[visit.mode].parts[:1]
        return () if visit.words else parts

    def _proof(self, visit: Visit, done: datetime) -> Verification:
        """The reading after the repair, somewhere in its band."""
        mode = self.shop.catalogue.failure_modes[visit.mode]
        wanted = proof(self.benches[visit.rig], mode.verify)
        share = np.random.default_rng((SEED, visit.number, 1)).uniform(0.3, 0.7)
        low, high = max(wanted.low, 0.0), wanted.high
        return verified(wanted, float(f"{low + share * (high - low):.3g}"), done)


def _times(walk: Walk, opened: datetime) -> Iterator[tuple[str, datetime]]:
    """When each thing was told or answered."""
    for item in walk.told:
        yield item.id, opened
    clock = opened + timedelta(minutes=ARRIVES)
    for step in walk.steps:
        clock += timedelta(minutes=step.minutes)
        yield step.test, clock.replace(second=0)


def main() -> None:
    """Write all cases into the folder given, else into the demo's."""
    casebook = Casebook.open(Path(sys.argv[1]) if len(sys.argv) > 1 else YEAR)
    for case in Garden.opened().cases():
        print(casebook.save(case))


if __name__ == "__main__":
    main()
