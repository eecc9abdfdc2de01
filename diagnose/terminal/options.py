"""What the commands take in common, and how it becomes a rig and findings."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from diagnose.errors import DiagnoseError, Mistakes, Place, UnknownName, nearest

if TYPE_CHECKING:
    from diagnose.bench import Bench, Shop
    from diagnose.circuit.rig import Rig
    from diagnose.reasoning.commissioning import CommissioningRecord
    from diagnose.reasoning.evidence import Evidence
    from diagnose.reasoning.hypotheses import Learn

RigName = Annotated[
    str, typer.Argument(metavar="RIG", help="A rig file, or the name of a bundled rig.")
]
Seen = Annotated[
    list[str] | None,
    typer.Option("--seen", metavar="WHAT=ANSWER", help="Seen or heard: relay-sound=chatters"),
]
Read = Annotated[
    list[str] | None,
    typer.Option(
        "--read",
        metavar="READING",
        help="Measured: 'voltage motor+ motor-, asked to run = 11.2 V'",
    ),
]
Answers = Annotated[
    Path | None,
    typer.Option(
        "--answers", metavar="FILE", help="YAML with seen: (a mapping) and read: (a list)."
    ),
]
MadeSafe = Annotated[
    list[str] | None,
    typer.Option(
        "--made-safe", metavar="STOP", help="A stop that has been dealt with as it says: too-hot"
    ),
]
At = Annotated[
    str, typer.Option("--at", metavar="PLACE", help="Where whoever answers is: rig or phone.")
]
Having = Annotated[
    str,
    typer.Option(
        "--with", metavar="THINGS", help="All that is at hand: voltmeter,lamp; or nothing."
    ),
]
Json = Annotated[bool, typer.Option("--json", help="One JSON object instead of text.")]
CasebookFolder = Annotated[
    Path | None,
    typer.Option(
        "--casebook",
        metavar="FOLDER",
        envvar="DIAGNOSE_CASEBOOK",
        help="Where cases are kept.",
    ),
]

Force = Annotated[
    bool, typer.Option("--force", help="Replace the file if it is there; never a rig or a case.")
]
NoLearning = Annotated[
    bool, typer.Option("--no-learning", help="Rank by the book alone, not by the shop's cases.")
]


def able(at: str, having: str) -> str:
    """What whoever answers can do, in the words of reasoning.means. Raises DiagnoseError."""
    from diagnose.catalogue.load import shipped_catalogue
    from diagnose.reasoning.available_tests import EVERYTHING

    kit = shipped_catalogue().kit
    if at and at not in kit.places:
        raise UnknownName("place", at, Place("--at"), nearest(at, kit.places), tuple(kit.places))
    said = f"{at} only {having}".strip() if having.strip() else at
    EVERYTHING.updated(said, kit)
    return said


def rig_called(name: str) -> Rig:
    """The rig of a file or of a bundled name. Raises DiagnoseError."""
    from diagnose.circuit import rig

    return rig.rig_called(name)


def own_readings(name: str, rig: Rig) -> CommissioningRecord | None:
    """What the rig that was named read when it was new, where a record stands beside its file.
    Raises DiagnoseError."""
    from diagnose.casebook.rig_record import readings_beside

    return readings_beside(name, rig)


def findings(
    rig: Rig, shop: Shop, seen: list[str] | None, read: list[str] | None, answers: Path | None
) -> list[Evidence]:
    """What was seen and read, from the file first and the options after it, so that an option
    replaces the file's answer. Raises Mistakes with every problem of all of them."""
    found: list[Evidence] = []
    problems: list[DiagnoseError] = []
    for take in _takers(rig, shop, seen or [], read or [], answers):
        try:
            found += take()
        except DiagnoseError as problem:
            problems.append(problem)
    if problems:
        raise Mistakes(problems)
    return found


def _takers(
    rig: Rig, shop: Shop, seen: list[str], read: list[str], answers: Path | None
) -> Iterator[Callable[[], list[Evidence]]]:
    from diagnose.circuit.operate import Model
    from diagnose.design.facts import rig_facts
    from diagnose.documents import load
    from diagnose.reasoning.evidence import parse_answer, parse_reading, read_answers

    book, facts = shop.catalogue, rig_facts(Model.of(rig))
    if answers is not None:
        yield lambda: read_answers(load(answers), book, rig, facts)
    for text in seen:
        yield lambda text=text: [parse_answer(text, book, facts, Place("--seen"))]  # type: ignore[misc]
    for text in read:
        yield lambda text=text: [parse_reading(text, book, rig, Place("--read"))]  # type: ignore[misc]


def bench_for(
    rig: Rig, shop: Shop, learn: Learn | None = None, own: CommissioningRecord | None = None
) -> Bench:
    """Everything computed for a rig, its chooser included, with a sign of life meanwhile.

    learn: takes the shop's own cases into the priors; own: the rig's own readings
    """
    from diagnose.bench import Bench
    from diagnose.terminal.plain import patience

    with patience("Working out what each fault would do"):
        bench = Bench.for_rig(rig, shop, learn, own) if own else Bench.for_rig(rig, shop, learn)
        _ = bench.chooser
    return bench


def shop() -> Shop:
    """The shipped knowledge, with a sign of life meanwhile."""
    from diagnose.bench import Shop
    from diagnose.terminal.plain import patience

    with patience("Opening the book"):
        return Shop.shipped()
