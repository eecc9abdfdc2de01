"""Published troubleshooting tables, and how many of their causes stand high after the complaint."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache

from diagnose.bench import Bench
from diagnose.reasoning.evidence import check_answer
from tests.examination.facts import RIGS, Source, bundled, files, judged, shop, sources

USES = ("pressure-system", "spraying", "transfer", "drain")
MARGIN = 3
"""A cause of the table must stand among the first (number of causes + MARGIN)."""


@dataclass(frozen=True)
class Table:
    """What one published table lists for one complaint."""

    complaint: str
    use: str
    rig: str
    bench: Bench
    causes: tuple[str, ...]
    source: Source


@dataclass(frozen=True)
class Score:
    """A table and the place of each of its causes in the ranking; 0 where the rig has none."""

    table: Table
    places: tuple[tuple[str, int], ...]

    @property
    def within(self) -> tuple[bool, ...]:
        last = len(self.places) + MARGIN
        return tuple(0 < place <= last for _, place in self.places)


@cache
def tables() -> tuple[Table, ...]:
    """Every table. Raises what reading a file raises."""
    return tuple(_all())


def _all() -> Iterator[Table]:
    complaints = set(shop().catalogue.complaints)
    for document in files("tables"):
        for one in document.sections("tables"):
            causes = one.texts("causes")
            assert set(causes) <= set(shop().catalogue.failure_modes), f"{one.place}: {causes}"
            yield Table(
                complaint=one.choice("complaint", complaints),
                use=one.choice("use", USES),
                rig=one.choice("rig", RIGS),
                bench=bundled(one.text("rig")),
                causes=causes,
                source=sources()[one.text("source")],
            )
        document.finish()


def score(table: Table) -> Score:
    """Tell the complaint and nothing else."""
    complaint = shop().catalogue.complaints[table.complaint]
    facts = table.bench.hypotheses.facts
    evidence = [check_answer(shop().catalogue, facts, *item) for item in complaint.seen.items()]
    ranking = [name for name, _ in judged(table.bench, evidence).modes]
    place = {name: i for i, name in enumerate(ranking, 1)}
    return Score(table, tuple((cause, place.get(cause, 0)) for cause in table.causes))
