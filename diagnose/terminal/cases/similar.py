"""The command `cases similar`: cases like the one at hand, and what they have in common."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.casebook.similar import (
    Alike,
    Similar,
    answers_kept,
    answers_of,
    answers_of_case,
    similar,
)
from diagnose.errors import DiagnoseError
from diagnose.reasoning import OTHER, words
from diagnose.terminal import options
from diagnose.terminal.cases.charts import bars
from diagnose.terminal.cases.opening import STANDING, Opened, opened, short, standing
from diagnose.terminal.layout import block, heading, items
from diagnose.terminal.plain import Screen, para

if TYPE_CHECKING:
    from rich.console import RenderableType


class NothingAtHand(DiagnoseError):
    """Neither a case nor anything seen or read was given, or both."""


@dataclass(frozen=True)
class AtHand:
    """What stood on the command line: a case, or a rig with what was seen and read on it."""

    case: str
    rig: str = ""
    seen: list[str] | None = None
    read: list[str] | None = None
    answers: Path | None = None

    @property
    def found(self) -> bool:
        return bool(self.seen or self.read or self.answers)

    def check(self) -> None:
        """Raises NothingAtHand."""
        if self.case and (self.found or self.rig):
            raise NothingAtHand("give a CASE, or --rig with --seen and --read; not both.")
        if not self.case and not (self.found and self.rig):
            raise NothingAtHand("say what is at hand: a CASE, or --rig RIG with --seen or --read.")


def resembling(folder: Path | None, hand: AtHand, most: int) -> None:
    """Raises DiagnoseError."""
    hand.check()
    screen = Screen.standard()
    with opened(folder) as here:
        name = here.casebook.find(hand.case) if hand.case else ""
        answers = _kept(here, name) if name else _answers(hand)
        found = similar(here.index, answers, most, leave_out=name)
        screen.show(*view(screen, here, found, name or "what was seen and read"))


def _kept(here: Opened, name: str) -> dict[str, str]:
    """The answers of a case; a broken file raises DiagnoseError."""
    return answers_kept(here.index, name) or answers_of_case(here.casebook.load(name))


def _answers(hand: AtHand) -> dict[str, str]:
    """Test to answer; a reading is answered by how it stands to the healthy band of its rig."""
    from diagnose.circuit.operate import Model
    from diagnose.reasoning.expectations import Healthy

    shop, rig = options.shop(), options.rig_called(hand.rig)
    found = options.findings(rig, shop, hand.seen, hand.read, hand.answers)
    return answers_of(found, Healthy(shop.catalogue, Model.of(rig)))


def view(screen: Screen, here: Opened, found: Similar, what: str) -> Iterator[RenderableType]:
    """The blocks of an answer."""
    if not found.cases:
        yield para(f"{here.folder}: none of {here.total} cases is like {what}.")
        return
    yield heading(screen, f"Like {what}")
    named = (
        ("What they were", bars(screen, [*found.modes.items()], len(found.modes))),
        ("What they have in common with it", _common(screen, found)),
        ("The cases, most alike first", (part for one in found.cases for part in _case(here, one))),
    )
    for title, body in named:
        part = block(screen, title, body)
        if part is not None:
            yield part
    yield para("")
    yield para(STANDING, "dim")


def _common(screen: Screen, found: Similar) -> Iterator[RenderableType]:
    if not found.shared:
        yield para("No answer is the same in two of them.", indent=2)
    counts = [
        (f"{words.of_test(test)}: {words.spaced(answer)}", count)
        for test, answer, count in found.shared
    ]
    yield from bars(screen, counts, len(counts), whole=len(found.cases))


def _case(here: Opened, one: Alike) -> Iterator[RenderableType]:
    brief = one.brief
    name = f"{short(brief.id)}  {brief.opened:%Y-%m-%d}  {standing(brief)}  {brief.mode}"
    yield para(name, "bold", indent=2)
    yield para(brief.rig, indent=4)
    if brief.mode == OTHER:
        yield para(f"It was: {here.casebook.load(brief.id).true_words}", indent=4)
    yield from items(_said(one), indent=4)


def _said(one: Alike) -> Iterator[str]:
    yield f"the same: {_listed(dict(one.shared))}"
    if one.differing:
        there = {
            test: f"{words.spaced(answer)}, here {words.spaced(mine)}"
            for test, mine, answer in one.differing
        }
        yield f"not the same: {_listed(there)}"


def _listed(answers: Mapping[str, str]) -> str:
    return "; ".join(f"{words.of_test(test)} {answer}" for test, answer in answers.items())
