"""What a form says of a walk, done to the walk."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from diagnose.bench import Bench
from diagnose.casebook.closure import judged
from diagnose.casebook.record import Verification
from diagnose.catalogue.records import Complaint
from diagnose.errors import DiagnoseError, NotUnderstood, Place, UnknownName
from diagnose.outcome import Proof
from diagnose.pages.complaints import complaints_of, evidence_of, unique
from diagnose.pages.reasons import mode_named
from diagnose.pages.repair import check_load
from diagnose.reasoning import OTHER
from diagnose.reasoning.evidence import Evidence, check_reading, parse_answer, parse_reading
from diagnose.steps import SKIPPED, UNKNOWN, Contradiction
from diagnose.walkthrough import Walk

LONGEST_SAID = 2000
"""Characters of what is told or noted at once."""

FORM = Place("the page")


class Elsewhere(DiagnoseError):
    """The walk has gone on since the page was made."""


@dataclass(frozen=True)
class Form:
    """The fields that a page sends, each with all its values."""

    fields: Mapping[str, Sequence[str]]

    def one(self, name: str) -> str:
        """The last value of a field, "" where there is none."""
        return (self.fields.get(name) or ("",))[-1].strip()

    def many(self, name: str) -> tuple[str, ...]:
        """All values of a field."""
        return tuple(self.fields.get(name, ()))


def said(text: str) -> str:
    """Words that are not too many. Raises NotUnderstood."""
    if len(text) > LONGEST_SAID:
        raise NotUnderstood(f"Say it in {LONGEST_SAID:,} characters or fewer.")
    return text


def told(bench: Bench, form: Form) -> tuple[tuple[Evidence, ...], tuple[str, ...]]:
    """The complaint of a form: what it says, and how it is kept. Raises DiagnoseError."""
    known = {one.id: one for one in complaints_of(bench)}
    chosen: list[Complaint] = []
    for name in form.many("complaint"):
        if name not in known:
            raise UnknownName("complaint", name, FORM, None, tuple(known))
        chosen.append(known[name])
    items = [*evidence_of(unique(chosen)), *confirmed(bench, form)]
    if len({item.id for item in items}) < len(set(items)):
        raise NotUnderstood("Two of these say different things of the same; keep one.")
    words = said(form.one("words"))
    kept = (*(one.id for one in chosen), *((words,) if words else ()))
    return tuple(dict.fromkeys(items)), kept


def confirmed(bench: Bench, form: Form) -> tuple[Evidence, ...]:
    """What was ticked of what somebody's words may mean. Raises DiagnoseError."""
    book, facts = bench.shop.catalogue, bench.hypotheses.facts
    answers = (parse_answer(text, book, facts, FORM) for text in form.many("seen"))
    readings = (parse_reading(text, book, bench.rig, FORM) for text in form.many("read"))
    return (*answers, *readings)


def answer(walk: Walk, form: Form) -> None:
    """Answer the question of a form, or pass it over. Raises DiagnoseError."""
    name = form.one("test")
    if name not in walk.bench.tests:
        raise UnknownName("test", name, FORM)
    question = walk.ask(name)
    if form.one("pass"):
        walk.pass_over(question, SKIPPED if form.one("pass") == SKIPPED else UNKNOWN)
        return
    if not walk.may_be_asked(name):
        raise Elsewhere("This cannot be done safely now; what can be is asked below.")
    text = form.one("answer")
    if not text:
        raise NotUnderstood("Pick an answer, or type what the meter shows.")
    insisting(form, lambda: walk.answer(question, text))


def insisting(form: Form, act: Callable[[], object]) -> None:
    """Do something that the rules may question once; said a second time, it stands. Raises
    DiagnoseError."""
    try:
        act()
    except Contradiction:
        if form.one("insist") != "yes":
            raise
        act()


def take_told(walk: Walk, form: Form) -> None:
    """Take what was ticked of what was said in a walk, and keep the words themselves as a note
    where nothing was. Raises DiagnoseError."""
    items = confirmed(walk.bench, form)
    for item in items:
        insisting(form, partial(walk.take, item))
    left = said(form.one("note"))
    if left:
        walk.note(left)


def proof_of(walk: Walk, wanted: Proof | None, form: Form) -> Verification:
    """The reading after the repair. Raises DiagnoseError."""
    if wanted is None:
        raise NotUnderstood("Nothing here can be proved by a reading; say what it was.")
    if walk.stops():
        raise NotUnderstood("While a stop stands nothing is proved; deal with it first.")
    runs = form.one("runs")
    if runs not in ("yes", "no"):
        raise NotUnderstood("Say whether the pump does its job again.")
    typed = form.one("reading")
    if not typed:
        raise NotUnderstood("Type what the meter shows, with every digit.")
    book = walk.bench.shop.catalogue
    item = check_reading(book, walk.bench.rig, wanted.reading, typed)
    return judged(wanted, item, runs == "yes", check_load(form.one("load")))


def cause_of(walk: Walk, form: Form) -> tuple[str, str]:
    """What it was in the end: a failure mode, or none of the book and the words for it. Raises
    NotUnderstood."""
    typed = said(form.one("cause"))
    if not typed:
        raise NotUnderstood("Say what it was: a name as it stands here, or your own words.")
    try:
        return mode_named(walk.bench.shop.catalogue.failure_modes, typed).id, ""
    except UnknownName:
        return OTHER, typed
