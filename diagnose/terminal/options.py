"""What was given on a command line, as findings, means, and all that is computed for a rig."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from diagnose.bench import Bench, Shop
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig
from diagnose.design.facts import rig_facts
from diagnose.documents import load
from diagnose.errors import Place, UnknownName, every, nearest
from diagnose.reasoning.available_tests import EVERYTHING
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.evidence import Evidence, parse_answer, parse_reading, read_answers
from diagnose.reasoning.hypotheses import Learn
from diagnose.terminal.plain import patience


def able(at: str, having: str) -> str:
    """What whoever answers can do, in the words of the kit. Raises DiagnoseError."""
    kit = shipped_catalogue().kit
    if at and at not in kit.places:
        raise UnknownName("place", at, Place("--at"), nearest(at, kit.places), tuple(kit.places))
    said = f"{at} only {having}".strip() if having.strip() else at
    EVERYTHING.updated(said, kit)
    return said


def findings(
    rig: Rig, shop: Shop, seen: list[str] | None, read: list[str] | None, answers: Path | None
) -> list[Evidence]:
    """What was seen and read, from the file first and the options after it, so that an option
    replaces the file's answer. Raises Mistakes with every problem of all of them."""
    book, facts = shop.catalogue, rig_facts(Model.of(rig))
    of_file, *of_options = every(
        (
            lambda: read_answers(load(answers), book, rig, facts) if answers else [],
            *(partial(parse_answer, text, book, facts, Place("--seen")) for text in seen or ()),
            *(partial(parse_reading, text, book, rig, Place("--read")) for text in read or ()),
        )
    )
    return [*of_file, *of_options]


def bench_for(
    rig: Rig, shop: Shop, learn: Learn | None = None, own: CommissioningRecord | None = None
) -> Bench:
    """Everything computed for a rig, its chooser included, with a sign of life meanwhile.

    learn: takes the shop's own cases into the priors; own: the rig's own readings
    """
    with patience("Working out what each fault would do"):
        bench = Bench.for_rig(rig, shop, learn, own)
        _ = bench.chooser
    return bench


def shop() -> Shop:
    """The shipped knowledge, with a sign of life meanwhile."""
    with patience("Opening the book"):
        return Shop.shipped()
