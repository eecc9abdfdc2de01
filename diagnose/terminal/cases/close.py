"""The command `cases close`: what it was in the end, or that the repair has not held."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from diagnose.casebook.case_fields import whole_line
from diagnose.casebook.closure import RUNNING, check_stops, judged, made_safe, reopen, verdict
from diagnose.casebook.closure import close as close_case
from diagnose.casebook.record import Case, Verification
from diagnose.casebook.store import Casebook
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.reading_words import in_words
from diagnose.errors import DiagnoseError, UnknownName, nearest, quoted
from diagnose.outcome import proof
from diagnose.pages.repair import check_load
from diagnose.reasoning import OTHER
from diagnose.reasoning.evidence import check_reading
from diagnose.terminal import options
from diagnose.terminal.cases.listing import select
from diagnose.terminal.cases.proof import ask_case, ask_to_close
from diagnose.terminal.cases.show import CONFIRMED, title_of
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
    part: list[str] | None = None
    notes: str = ""
    reopen: bool = False
    made_safe: Sequence[str] | None = None
    runs: str = ""
    load: str = ""
    behind: str = ""


def close(name: str, casebook: Path | None, **said: Any) -> None:
    """Raises DiagnoseError; the case is then as it was. Without a name, or with nothing said, it
    is asked for."""
    given = Closing(**said | {name: said[name].strip().lower() for name in ("runs", "load")})
    book, talk = Casebook.open(casebook), Talk(Screen.standard(), Keyboard())
    if name:
        name = book.find(name)
    else:
        with select(casebook) as here:
            try:
                name = ask_case(talk, here.briefs)
            except EOFError:
                raise Unclear("say which case: its id, or a part that only it has.") from None
    if name:
        _close(talk, book, book.load(name), given)


def _close(talk: Talk, casebook: Casebook, known: Case, given: Closing) -> None:
    if given == Closing(""):
        _by_questions(talk, casebook, known)
        return
    if given.reopen:
        case = casebook.update(known.id, lambda case: _reopen(case, given), known)
        talk.screen.say(f"Open again: {case.id}. It no longer counts as confirmed.")
        return
    if (given.runs or given.load) and not given.measured:
        raise Unclear("--runs and --load go with --measured, the reading that proves the repair.")
    check_stops(made_safe(known, given.made_safe or ()))
    found = _proving_reading(talk.screen, known, given) if given.measured else None
    case = casebook.update(known.id, lambda case: _close_as(case, given, found), known)
    talk.screen.say(_outcome(case, options.shop().catalogue))
    if known.status == "closed" and known.true_cause not in ("", case.true_cause):
        talk.screen.say(f"It was closed before as {known.true_cause}.")


def _by_questions(talk: Talk, casebook: Casebook, known: Case) -> None:
    """Close a case by what is answered; where nothing closes it, it stays as it is."""
    if known.status == "closed":
        raise Unclear(
            f"{quoted(known.id)} is closed. If the repair has not held, say --reopen; to close it "
            "as something else, say --cause ID."
        )
    try:
        outcome, safe = ask_to_close(talk, known)
    except EOFError:
        raise _cause_missing(known) from None
    if not outcome.cause or not (outcome.reading or outcome.closes):
        talk.screen.say(f"Stays {known.status}: {known.id}.")
        return
    how = "part-swapped" if outcome.by_part else ""
    given = Closing(outcome.cause, outcome.words, how, made_safe=safe)
    case = casebook.update(known.id, lambda case: _close_as(case, given, outcome.reading), known)
    talk.screen.say(_outcome(case, options.shop().catalogue, asked_for=True))


def _reopen(case: Case, given: Closing) -> Case:
    said = (given.cause, given.measured, given.confirmed_by, given.made_safe)
    if any((*said, given.runs, given.load, given.behind)):
        raise Unclear("--reopen says that the repair has not held; give only --notes with it.")
    if case.status != "closed":
        raise Unclear(f"{quoted(case.id)} is {case.status}; only a closed case can be reopened.")
    return reopen(case, given.notes)


def _close_as(before: Case, given: Closing, found: Verification | None) -> Case:
    """The case closed; with a reading that proves nothing it only gets the reading."""
    if not given.cause:
        raise _cause_missing(before)
    case = made_safe(before, given.made_safe or ())
    case = replace(case, verification=found or case.verification)
    if found and not found.proves:
        if case.status == "closed":
            raise Unclear(f"{quoted(case.id)} is closed; if the repair has not held, say --reopen.")
        return case
    same = before.status == "closed" and before.true_cause == given.cause  # to add something
    how = given.confirmed_by or (
        "verification" if found else before.confirmed_by if same else "none"
    )
    said = given.words or (before.true_words if same else "")
    known = options.shop().catalogue.failure_modes
    case = close_case(case, given.cause, how, said, given.notes, given.part, known)
    if given.behind:
        case = replace(case, root_cause=whole_line(given.behind, "behind it"), root_cause_seen=True)
    return replace(case, closed=before.closed or case.closed)


def _cause_missing(case: Case) -> Unclear:
    return Unclear(
        f"say what it was: --cause ID, or --cause {OTHER} --words '...'; the walk ended on "
        f"{case.cause}."
    )


def _proving_reading(screen: Screen, case: Case, given: Closing) -> Verification:
    """The proving reading of the cause, in the band of this rig. Raises DiagnoseError."""
    if not given.cause:
        raise _cause_missing(case)
    shop, cause = options.shop(), given.cause
    known = shop.catalogue.failure_modes
    if cause == OTHER:
        raise Unclear(f"{OTHER} has no proving reading; say --confirmed-by instead of --measured.")
    if cause not in known:
        raise UnknownName("failure mode", cause, None, nearest(cause, known))
    if given.runs not in ("yes", "no"):
        raise Unclear(
            f"{RUNNING} Say --runs yes or --runs no with --measured: a reading on a rig that does "
            "not run proves nothing."
        )
    load = check_load(given.load)
    wanted = proof(options.bench_for(case.rig, shop), known[cause].verify)
    item = check_reading(shop.catalogue, case.rig, wanted.reading, given.measured)
    found = judged(wanted, item, given.runs == "yes", load)
    screen.say(f"{in_words(found.reading)}: {verdict(found)}")
    return found


def _outcome(case: Case, book: Catalogue, asked_for: bool = False) -> str:
    """How a case stands now. asked_for: by questions, so that no option is named."""
    if case.status != "closed":
        return f"Stays {case.status}: {case.id}. The reading is kept."
    said = f"Closed: {case.id}. {title_of(book, case.true_cause)}, {CONFIRMED[case.confirmed_by]}."
    if case.confirmed:
        return said if case.true_cause == OTHER else f"{said} It counts in rankings from now on."
    how = "" if asked_for else ": --confirmed-by part-swapped"
    return f"{said} Only confirmed cases count in rankings{how}."
