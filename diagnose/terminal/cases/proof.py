"""Asked when a case is closed: whether the repair holds, what it was, and of which case it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.casebook.brief import Brief
from diagnose.casebook.closure import LOADED, RUNNING, is_loaded, judged, verdict
from diagnose.casebook.record import Case, Verification
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.reading_words import in_words
from diagnose.circuit.rig import Rig
from diagnose.errors import DiagnoseError, NotUnderstood, UnknownName
from diagnose.outcome import Proof, proof
from diagnose.pages.reasons import mode_named
from diagnose.pages.repair import proof_sentence
from diagnose.reasoning import OTHER, words
from diagnose.reasoning.evidence import check_reading
from diagnose.reasoning.explanation import title
from diagnose.reasoning.stops import ActiveStop
from diagnose.report.case_html import standing_in
from diagnose.terminal import options
from diagnose.terminal.cases.listing import short
from diagnose.terminal.layout import numbered
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, ask_yes_no, choice, pick
from diagnose.terminal.stops import ask_if_safe, stop_view

MOST = 9
"""Open cases that are offered, the latest first."""

NOT_SAFE = "While this stands nothing is proved; the case stays open."


class NoneOpen(DiagnoseError):
    """There is no open case to close."""


@dataclass(frozen=True)
class RepairOutcome:
    """How a repair turned out. reading: after the repair, where it was taken; by_part: it went
    with the part that was changed; cause, words: what it was, "" where nobody knows; closes:
    whether that closes a case, with or without a proof."""

    reading: Verification | None = None
    by_part: bool = False
    cause: str = ""
    words: str = ""
    closes: bool = False


def ask_proof(talk: Talk, catalogue: Catalogue, rig: Rig, wanted: Proof) -> RepairOutcome:
    """How the pump runs, and the reading that proves the repair; or, where it cannot be taken,
    whether the changed part cured it."""
    runs = ask_yes_no(
        talk,
        RUNNING,
        "yes if it runs when it is asked to, delivers its water, and stops when it should. Try it "
        "before you answer.",
        "A good reading beside a pump that still does not do its job proves no repair.",
    )
    load = _ask_load(talk) if is_loaded(wanted) and not isinstance(runs, Word) else ""
    answer: Verification | Word = Word.SKIP
    if not isinstance(runs, Word) and not isinstance(load, Word):
        talk.screen.say(f"Measure now: {proof_sentence(wanted)}", "bold")
        answer = _ask_reading(talk, catalogue, rig, wanted, runs, load)
    if not isinstance(answer, Word):
        talk.screen.say(verdict(answer), "bold green" if answer.proves else "bold red")
        return RepairOutcome(answer)
    if answer is Word.UNKNOWN and runs is True and _ask_by_part(talk):
        return RepairOutcome(by_part=True, closes=True)
    talk.screen.say("Without the reading the case stays open.")
    return RepairOutcome()


def _ask_load(talk: Talk) -> str | Word:
    """How the pump runs while the proof is read."""
    for number, meaning in enumerate(LOADED.values(), 1):
        talk.screen.say(f"{number}  {meaning}")
    prompt = Prompt(
        f"How does it run while you read, 1 to {len(LOADED)}",
        lambda typed: choice(typed, tuple(LOADED)),
        "The number of how the pump is while you read.",
        "A joint loses volts only while the pump's current flows through it.",
    )
    return ask(talk, prompt)


def _ask_reading(
    talk: Talk, catalogue: Catalogue, rig: Rig, wanted: Proof, runs: bool, load: str
) -> Verification | Word:
    reading = wanted.reading
    prompt = Prompt(
        f"{in_words(reading)} [{reading.unit}], or unknown",
        lambda typed: judged(wanted, check_reading(catalogue, rig, reading, typed), runs, load),
        f"Type what the meter shows. {words.STATES[reading.condition]} unknown if it cannot be "
        "read.",
        wanted.why,
    )
    return ask(talk, prompt)


def _ask_by_part(talk: Talk) -> bool:
    """Whether the trouble went with the part that was changed."""
    asked = "Did the trouble go when that was put right, with nothing else changed?"
    told = (
        "yes counts as a proof by the part: where other things were changed too, or the trouble "
        "comes and goes, say no, and the case stays unproved."
    )
    return ask_yes_no(talk, asked, told) is True


def ask_cause(talk: Talk, catalogue: Catalogue) -> RepairOutcome:
    """What it was in the end, by its name or in a person's own words, and how that is known."""
    doubted: list[str] = []

    def read(typed: str) -> tuple[str, str]:
        try:
            return mode_named(catalogue.failure_modes, typed).id, ""
        except UnknownName as problem:
            if doubted == [typed]:
                return OTHER, typed
            doubted[:] = [typed]
            raise NotUnderstood(f"{problem} The same again keeps it in your own words.") from None

    talk.screen.say("What was it?", "bold")
    told = (
        "The name of a failure mode as the screen shows it, such as motor seized; diagnose "
        "handbook has them all. What is not in the book is kept in your own words."
    )
    answer = ask(talk, Prompt("Its name, or your own words", read, told))
    if isinstance(answer, Word):
        return RepairOutcome()
    cause, said = answer
    return RepairOutcome(cause=cause, words=said, by_part=_ask_by_part(talk), closes=True)


def ask_case(talk: Talk, briefs: Sequence[Brief]) -> str:
    """The id of an open case that is picked; "" where none is. Raises NoneOpen."""
    found = [one for one in briefs if one.status != "closed"][::-1][:MOST]
    if not found:
        raise NoneOpen("No case is open.")
    talk.screen.say("Which case? The latest first:", "bold")
    shown = [(f"{one.opened:%Y-%m-%d}", _named(one)) for one in found]
    talk.screen.show(numbered(shown, [10, None]))
    prompt = Prompt(
        f"Number, Enter: {found[0].rig}",
        lambda typed: pick(typed, found, ", or quit"),
        "The number of a case asks what it was; quit leaves all as they are.",
        enter=found[0],
    )
    answer = ask(talk, prompt)
    return "" if isinstance(answer, Word) else answer.id


def _named(one: Brief) -> str:
    what = title(options.shop().catalogue, one.mode) if one.mode else "no diagnosis"
    return f"{one.rig}: {what} ({short(one.id)})"


def ask_to_close(talk: Talk, case: Case) -> tuple[RepairOutcome, tuple[str, ...]]:
    """What closes a case, and the stops that have been dealt with. Raises EOFError at the end of
    the input."""
    shop, stays = options.shop(), (RepairOutcome(), ())
    talk.screen.say(f"{case.id}, {words.rig_line(case.rig)}")
    for stop in standing_in(case, shop.catalogue):
        if ask_safe(talk, ActiveStop(stop)) is not True:
            talk.screen.say(NOT_SAFE)
            return stays
    mode = shop.catalogue.failure_modes.get(case.cause)
    if mode is None or case.cause == OTHER or not case.looked_into:
        return ask_cause(talk, shop.catalogue), case.standing
    told = "yes asks for the proof that it is mended; no asks what it was instead."
    right = ask_yes_no(talk, f"Was it: {mode.title}?", told)
    if isinstance(right, Word):
        return stays
    if not right:
        return ask_cause(talk, shop.catalogue), case.standing
    wanted = proof(options.bench_for(case.rig, shop), mode.verify)
    outcome = ask_proof(talk, shop.catalogue, case.rig, wanted)
    return replace(outcome, cause=case.cause), case.standing


def ask_safe(talk: Talk, stop: ActiveStop) -> bool | Word:
    """Show a stop, and ask whether it has been dealt with, so that the rig may be fed."""
    talk.screen.show(*stop_view(stop))
    return ask_if_safe(talk, stop, "Enter leaves the case open")
