"""The command `cases close`: what it was in the end, or that the repair has not held."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from pathlib import Path

from diagnose.casebook.closing import check_stops, close, made_safe, reopen
from diagnose.casebook.proving import LOADED, RUNNING, judged, verdict
from diagnose.casebook.record import Case, Verification, whole_line
from diagnose.casebook.store import Casebook
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.reading_words import in_words
from diagnose.errors import DiagnoseError, UnknownName, nearest, quoted
from diagnose.outcome import Proof, proof
from diagnose.reasoning import OTHER
from diagnose.reasoning.evidence import check_reading
from diagnose.terminal import options
from diagnose.terminal.cases.close_interview import asked, which
from diagnose.terminal.cases.opening import opened
from diagnose.terminal.cases.show import CONFIRMED, titled
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import Keyboard, Talk


class Unclear(DiagnoseError):
    """What stood on the command line does not say how the case is to be closed."""


@dataclass(frozen=True)
class Closing:
    """What stood on the command line. measured: the value of the cause's proving reading; runs:
    "yes" or "no", whether the pump does its job again; load: how it ran while that was read;
    behind: what was found behind it, where somebody looked."""

    cause: str
    words: str = ""
    confirmed_by: str = ""
    measured: str = ""
    parts: list[str] | None = None
    notes: str = ""
    reopen: bool = False
    made_safe: tuple[str, ...] = ()
    runs: str = ""
    load: str = ""
    behind: str = ""


def closed(folder: Path | None, name: str, closing: Closing) -> None:
    """Raises DiagnoseError; the case is then as it was. Without a name, or with nothing said, it
    is asked for."""
    casebook, screen = Casebook.open(folder), Screen.standard()
    talk = Talk(screen, Keyboard())
    name = casebook.find(name) if name else _picked(talk, folder)
    if not name:
        return
    known = casebook.load(name)
    if closing == Closing(""):
        _by_questions(talk, casebook, known)
        return
    if closing.reopen:
        case = casebook.update(name, lambda case: _reopened(case, closing), known)
        screen.say(f"Open again: {case.id}. It no longer counts as confirmed.")
        return
    if (closing.runs or closing.load) and not closing.measured:
        raise Unclear("--runs and --load go with --measured, the reading that proves the repair.")
    check_stops(made_safe(known, closing.made_safe))
    found = _proved(screen, known, closing) if closing.measured else None
    case = casebook.update(name, lambda case: _closed(case, closing, found), known)
    screen.say(_outcome(case, options.shop().catalogue))
    if known.status == "closed" and known.true_cause not in ("", case.true_cause):
        screen.say(f"It was closed before as {known.true_cause}.")


def _picked(talk: Talk, folder: Path | None) -> str:
    """The open case that somebody picks, or "". Raises DiagnoseError."""
    with opened(folder) as here:
        try:
            return which(talk, here) or ""
        except EOFError:
            raise Unclear("say which case: its id, or a part that only it has.") from None


def _by_questions(talk: Talk, casebook: Casebook, known: Case) -> None:
    """Close a case by what is answered; where nothing closes it, it stays as it is."""
    if known.status == "closed":
        raise Unclear(
            f"{quoted(known.id)} is closed. If the repair has not held, say --reopen; to close it "
            "as something else, say --cause ID."
        )
    try:
        answered = asked(talk, known)
    except EOFError:
        raise _unsaid(known) from None
    turned = answered.turned
    if turned is None or not turned.cause or not (turned.reading or turned.closes):
        talk.screen.say(f"Stays {known.status}: {known.id}.")
        return
    how = "part-swapped" if turned.by_part else ""
    closing = Closing(turned.cause, turned.words, how, made_safe=answered.made_safe)
    case = casebook.update(known.id, lambda case: _closed(case, closing, turned.reading), known)
    talk.screen.say(_outcome(case, options.shop().catalogue, asked_for=True))


def _reopened(case: Case, closing: Closing) -> Case:
    said = (closing.cause, closing.measured, closing.confirmed_by, closing.made_safe)
    if any((*said, closing.runs, closing.load, closing.behind)):
        raise Unclear("--reopen says that the repair has not held; give only --notes with it.")
    if case.status != "closed":
        raise Unclear(f"{quoted(case.id)} is {case.status}; only a closed case can be reopened.")
    return reopen(case, closing.notes)


def _closed(case: Case, closing: Closing, found: Verification | None) -> Case:
    """The case closed; with a reading that proves nothing it only gets the reading."""
    _check(case, closing)
    case = made_safe(case, closing.made_safe)
    before, case = case, replace(case, verification=found or case.verification)
    if found and not found.proves:
        return _still_open(case)
    known = options.shop().catalogue.failure_modes
    how, said = _proof_of(before, closing, found), closing.words or _kept(before, closing)
    case = close(case, closing.cause, how, said, closing.notes, closing.parts, known)
    if closing.behind:
        case = replace(
            case, root_cause=whole_line(closing.behind, "behind it"), root_cause_seen=True
        )
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
        raise _unsaid(case)


def _unsaid(case: Case) -> Unclear:
    return Unclear(
        f"say what it was: --cause ID, or --cause {OTHER} --words '...'; the walk ended on "
        f"{case.cause}."
    )


def _proved(screen: Screen, case: Case, closing: Closing) -> Verification:
    """The proving reading of the cause, in the band of this rig. Raises DiagnoseError."""
    _check(case, closing)
    shop = options.shop()
    known = shop.catalogue.failure_modes
    _known(closing.cause, known)
    runs = _runs(closing)
    bench = options.bench_for(case.rig, shop)
    wanted: Proof = proof(bench, known[closing.cause].verify)
    item = check_reading(shop.catalogue, case.rig, wanted.reading, closing.measured)
    found = judged(wanted, item, runs, closing.load)
    screen.say(f"{in_words(found.reading)}: {verdict(found)}")
    return found


def _runs(closing: Closing) -> bool:
    """Whether the pump does its job again. Raises Unclear where that, or the load, is not said."""
    if closing.runs not in ("yes", "no"):
        raise Unclear(
            f"{RUNNING} Say --runs yes or --runs no with --measured: a reading on a rig that does "
            "not run proves nothing."
        )
    if closing.load and closing.load not in LOADED:
        raise UnknownName("load", closing.load, None, nearest(closing.load, LOADED), (*LOADED,))
    return closing.runs == "yes"


def _known(cause: str, known: Collection[str]) -> None:
    if cause == OTHER:
        raise Unclear(f"{OTHER} has no proving reading; say --confirmed-by instead of --measured.")
    if cause not in known:
        raise UnknownName("failure mode", cause, None, nearest(cause, known))


def _outcome(case: Case, book: Catalogue, asked_for: bool = False) -> str:
    """How a case stands now. asked_for: by questions, so that no option is named."""
    if case.status != "closed":
        return f"Stays {case.status}: {case.id}. The reading is kept."
    said = f"Closed: {case.id}. {titled(book, case.true_cause)}, {CONFIRMED[case.confirmed_by]}."
    if case.confirmed:
        return said if case.true_cause == OTHER else f"{said} It counts in rankings from now on."
    how = "" if asked_for else ": --confirmed-by part-swapped"
    return f"{said} Only confirmed cases count in rankings{how}."
