"""The command `cases close`: what it was in the end, or that the repair has not held."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path

from diagnose.casebook.closing import check_stops, close, made_safe, reopen, verified
from diagnose.casebook.record import Case, Verification
from diagnose.casebook.store import Casebook
from diagnose.catalogue.records import Catalogue
from diagnose.errors import DiagnoseError, UnknownName, nearest, quoted
from diagnose.outcome import Proof, proof
from diagnose.reasoning import OTHER, words
from diagnose.reasoning.evidence import measured
from diagnose.terminal import options
from diagnose.terminal.cases_show import CONFIRMED, titled
from diagnose.terminal.plain import Screen


class Unclear(DiagnoseError):
    """What stood on the command line does not say how the case is to be closed."""


@dataclass(frozen=True)
class Closing:
    """What stood on the command line. measured: the value of the cause's proving reading."""

    cause: str
    words: str = ""
    confirmed_by: str = ""
    measured: str = ""
    parts: list[str] | None = None
    notes: str = ""
    reopen: bool = False
    made_safe: tuple[str, ...] = ()


def closed(folder: Path | None, name: str, closing: Closing) -> None:
    """Raises DiagnoseError; the case is then as it was."""
    casebook, screen = Casebook.open(folder), Screen.standard()
    name = casebook.find(name)
    if closing.reopen:
        case = casebook.update(name, lambda case: _reopened(case, closing))
        screen.say(f"Open again: {case.id}. It no longer counts as confirmed.")
        return
    check_stops(made_safe(casebook.load(name), closing.made_safe))
    found = _proved(screen, casebook.load(name), closing) if closing.measured else None
    case = casebook.update(name, lambda case: _closed(case, closing, found))
    screen.say(_outcome(case, options.shop().catalogue))


def _reopened(case: Case, closing: Closing) -> Case:
    if closing.cause or closing.measured or closing.confirmed_by or closing.made_safe:
        raise Unclear("--reopen says that the repair has not held; give only --notes with it.")
    if case.status != "closed":
        raise Unclear(f"{quoted(case.id)} is {case.status}; only a closed case can be reopened.")
    return reopen(case, closing.notes)


def _closed(case: Case, closing: Closing, found: Verification | None) -> Case:
    """The case closed; with a reading outside its band it only gets the reading."""
    _check(case, closing)
    case = made_safe(case, closing.made_safe)
    before, case = case, replace(case, verification=found or case.verification)
    if found and not found.within:
        return _still_open(case)
    known = options.shop().catalogue.failure_modes
    how, said = _proof_of(before, closing, found), closing.words or _kept(before, closing)
    case = close(case, closing.cause, how, said, closing.notes, closing.parts, known)
    return replace(case, closed=before.closed or case.closed)


def _still_open(case: Case) -> Case:
    if case.status == "closed":
        raise Unclear(f"{quoted(case.id)} is closed; if the repair has not held, say --reopen.")
    return case


def _same(case: Case, closing: Closing) -> bool:
    """Whether a closed case is closed once more with the same cause, to add something."""
    return case.status == "closed" and case.true_cause == closing.cause


def _kept(case: Case, closing: Closing) -> str:
    return case.true_words if _same(case, closing) else ""


def _proof_of(case: Case, closing: Closing, found: Verification | None) -> str:
    """How the cause is confirmed; what was said before stays while the cause does."""
    before = case.confirmed_by if _same(case, closing) else "none"
    return closing.confirmed_by or ("verification" if found else before)


def _check(case: Case, closing: Closing) -> None:
    if not closing.cause:
        raise Unclear(
            f"say what it was: --cause ID, or --cause {OTHER} --words '...'; the walk ended on "
            f"{case.cause}."
        )


def _proved(screen: Screen, case: Case, closing: Closing) -> Verification:
    """The proving reading of the cause, in the band of this rig. Raises DiagnoseError."""
    _check(case, closing)
    shop = options.shop()
    known = shop.catalogue.failure_modes
    _known(closing.cause, known)
    bench = options.bench_for(case.rig, shop)
    wanted: Proof = proof(bench, known[closing.cause].verify)
    value = measured(shop.catalogue, case.rig, wanted.reading, closing.measured).value
    found = verified(wanted, value)
    screen.say(_judged(found))
    return found


def _known(cause: str, known: Collection[str]) -> None:
    if cause == OTHER:
        raise Unclear(f"{OTHER} has no proving reading; say --confirmed-by instead of --measured.")
    if cause not in known:
        raise UnknownName("failure mode", cause, None, nearest(cause, known))


def _judged(found: Verification) -> str:
    value = words.value(found.value, found.reading)
    band = words.band(found.low, found.high, found.reading)
    if found.within:
        return f"{found.reading}: {value} is within {band}, the repair holds."
    return f"{found.reading}: {value} is outside {band}, not mended yet or something else is wrong."


def _outcome(case: Case, book: Catalogue) -> str:
    if case.status != "closed":
        return f"Stays {case.status}: {case.id}. The reading is kept."
    said = f"Closed: {case.id}. {titled(book, case.true_cause)}, {CONFIRMED[case.confirmed_by]}."
    if case.confirmed:
        return said if case.true_cause == OTHER else f"{said} It counts in rankings from now on."
    return f"{said} Only confirmed cases count in rankings: --confirmed-by part-swapped."
