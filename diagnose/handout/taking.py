"""A line of answers from a page as a walk again: every answer as evidence, as it was typed."""

from __future__ import annotations

from collections.abc import Collection

from diagnose.circuit.rig import Rig
from diagnose.errors import DiagnoseError, Place, UnknownName, nearest, quoted
from diagnose.handout.code import SAFE, UNKNOWN, BadCode, Code, rig_code
from diagnose.pages.complaints import evidence_of
from diagnose.steps import UNKNOWN as NOT_KNOWN
from diagnose.steps import Contradiction
from diagnose.walkthrough import Walk

PLACE = Place("the answers of the page")


def check_rig(code: Code, rig: Rig) -> None:
    """Raises BadCode where the page was made for another rig, or for this one as it was."""
    if code.rig != rig_code(rig):
        raise BadCode(
            f"The page was made for another rig than {quoted(rig.name)}, or for this one before it "
            "was changed; name the rig file that it was made from.",
            PLACE,
        )


def take_over(walk: Walk, code: Code) -> tuple[DiagnoseError, ...]:
    """Tell a new walk all that a line of answers says; what could not be taken, in their order.
    Nothing else is lost by that."""
    problems = []
    try:
        _complain(walk, code)
    except DiagnoseError as problem:
        problems.append(problem)
    for test, answer in code.answers:
        try:
            _take(walk, test, answer)
        except DiagnoseError as problem:
            problems.append(problem if problem.place else DiagnoseError(problem.message, PLACE))
    return tuple(problems)


def _complain(walk: Walk, code: Code) -> None:
    complaints = walk.bench.shop.catalogue.complaints
    if code.complaint not in complaints:
        raise _unknown("complaint", code.complaint, complaints)
    walk.tell(evidence_of([complaints[code.complaint]]))


def _take(walk: Walk, test: str, answer: str) -> None:
    book = walk.bench.shop.catalogue
    if test == SAFE:
        if answer not in book.stops:
            raise _unknown("stop", answer, book.stops)
        walk.made_safe(answer)
        return
    if test not in walk.bench.tests:
        raise _unknown("test on this rig", test, walk.bench.tests)
    question = walk.ask(test)
    if answer == UNKNOWN:
        walk.pass_over(question, NOT_KNOWN)
        return
    try:
        walk.answer(question, answer)
    except Contradiction:  # the page has asked whether it is so
        walk.answer(question, answer)


def _unknown(kind: str, name: str, known: Collection[str]) -> UnknownName:
    return UnknownName(kind, name, PLACE, nearest(name, tuple(known)))
