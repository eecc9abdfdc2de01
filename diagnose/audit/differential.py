"""What a first report mostly turns out to be, as practice knows it, held against the ranking.

knowledge/differential.yaml says for complaints and kinds of rig which causes come in which rough
shares. The ranking from priors and physics has to agree within a factor; it is a check on the book
and nothing that the ranking reads.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, TypeAlias

from diagnose.annotations import Limits, Of, Unsaid
from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import Rig, rig_in
from diagnose.documents import load
from diagnose.errors import Place
from diagnose.field_types import Names
from diagnose.figures import knowledge_folder
from diagnose.reasoning.evidence import Seen
from diagnose.record_reader import read_list
from diagnose.walkthrough import Walk

FACTOR = 3.0
"""How far a share of the ranking may be from that of practice, up or down."""

Mode: TypeAlias = Annotated[str, Of("failure mode")]


@dataclass(frozen=True)
class Row:
    """One complaint on one kind of rig. causes: failure mode to its share of such cases; apart:
    those that are known to stand elsewhere in the ranking, each with the reason."""

    complaint: Annotated[str, Of("complaint")]
    rig: Annotated[str, Of("rig of this file")]
    causes: Mapping[Mode, Annotated[float, Limits(0.01, 1.0)]]
    apart: Annotated[Mapping[Mode, str], Unsaid({})]
    why: str
    place: Place


@dataclass(frozen=True)
class Differential:
    """All rows, and the rigs that they are held against."""

    rigs: Mapping[str, Rig]
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class Apart:
    """One cause whose share in the ranking is not that of practice."""

    row: Row
    mode: str
    practice: float
    ranked: float

    def __str__(self) -> str:
        return (
            f"{self.row.complaint} on {self.row.rig}: {self.mode} stands at {self.ranked:.3f}, "
            f"practice has about {self.practice:g}"
        )


def load_differential(file: Path, shop: Shop) -> Differential:
    """The rows in a file. Raises Mistakes with every problem of it."""
    document = load(file)
    part = document.section("rigs")
    rigs = {name: rig_in(part.section(name)) for name in part}
    book = shop.catalogue
    modes, complaints = book.failure_modes, book.complaints
    known = Names({"failure mode": modes, "complaint": complaints, "rig of this file": rigs})
    rows = read_list(Row, document, "rows", known)
    document.finish()
    return Differential(rigs, rows)


def shipped_differential(shop: Shop) -> Differential:
    """The one that comes with the program."""
    return load_differential(knowledge_folder() / "differential.yaml", shop)


def disagreements(shop: Shop, table: Differential) -> Iterator[Apart]:
    """Every cause that is further from practice than FACTOR, but for those whose row says why; a
    second a rig."""
    benches: dict[str, Bench] = {}
    for row in table.rows:
        if row.rig not in benches:
            benches[row.rig] = Bench.for_rig(table.rigs[row.rig], shop)
        walk = Walk(benches[row.rig])
        complaint = shop.catalogue.complaints[row.complaint]
        walk.tell(Seen(name, option) for name, option in complaint.seen.items())
        ranked = dict(walk.belief().ranking)
        for mode, practice in row.causes.items():
            share = ranked.get(mode, 0.0)
            if not practice / FACTOR <= share <= practice * FACTOR and mode not in row.apart:
                yield Apart(row, mode, practice, share)
