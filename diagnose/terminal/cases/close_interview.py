"""Closing a case by questions: which one, whether it is safe, what it was, and the proof."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from diagnose.casebook.brief import Brief
from diagnose.casebook.record import Case
from diagnose.errors import DiagnoseError
from diagnose.outcome import proof
from diagnose.reasoning import OTHER, words
from diagnose.reasoning.explanation import title
from diagnose.reasoning.stops import ActiveStop
from diagnose.report.case_html import standing_in
from diagnose.terminal import options
from diagnose.terminal.cases.opening import Opened, short
from diagnose.terminal.cases.proof import ProofAsked, Turned, what_it_was
from diagnose.terminal.layout import rows
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, menu_number, yes_or_no
from diagnose.terminal.stops import ask_if_safe, stop_view

MOST = 9
"""Open cases that are offered, the latest first."""


class NoneOpen(DiagnoseError):
    """There is no open case to close."""


@dataclass(frozen=True)
class Answered:
    """What was answered. made_safe: stops that have been dealt with; turned: None where the case
    stays as it is."""

    turned: Turned | None = None
    made_safe: tuple[str, ...] = ()


def which(talk: Talk, here: Opened) -> str | None:
    """The id of an open case that is picked; None where none is. Raises NoneOpen."""
    found = [one for one in here.briefs if one.status != "closed"][::-1][:MOST]
    if not found:
        raise NoneOpen("No case is open.")
    talk.screen.say("Which case? The latest first:", "bold")
    shown = [(str(n), f"{one.opened:%Y-%m-%d}", _named(one)) for n, one in enumerate(found, 1)]
    talk.screen.show(rows(shown, [2, 10, None], indent=0, styles=["bold"], right=[0]))
    answer = ask(talk, _which_prompt(talk, found))
    return None if isinstance(answer, Word) else answer


def _named(one: Brief) -> str:
    what = title(options.shop().catalogue, one.mode) if one.mode else "no diagnosis"
    return f"{one.rig}: {what} ({short(one.id)})"


def _which_prompt(talk: Talk, found: Sequence[Brief]) -> Prompt[str]:
    def read(typed: str) -> str:
        wanted = f"Type a number from 1 to {len(found)}, or quit."
        return found[menu_number(typed, len(found), wanted) - 1].id

    def explain() -> None:
        talk.screen.say("The number of a case asks what it was; quit leaves all as they are.")

    return Prompt(f"Number, Enter: {found[0].rig}", read, explain, explain, enter=found[0].id)


def asked(talk: Talk, case: Case) -> Answered:
    """Ask what closes a case. Raises EOFError at the end of the input."""
    shop = options.shop()
    talk.screen.say(f"{case.id}, {words.rig_line(case.rig)}")
    safe = _made_safe(talk, case)
    if safe is None:
        return Answered()
    mode = shop.catalogue.failure_modes.get(case.cause)
    if mode is None or case.cause == OTHER or not case.looked_into:
        return Answered(what_it_was(talk, shop.catalogue), safe)
    talk.screen.say(f"Was it: {mode.title}?", "bold")
    right = ask(talk, _right_prompt(talk))
    if isinstance(right, Word):
        return Answered()
    if not right:
        return Answered(what_it_was(talk, shop.catalogue), safe)
    bench = options.bench_for(case.rig, shop)
    turned = ProofAsked(talk, shop.catalogue, case.rig).hold(proof(bench, mode.verify))
    return Answered(replace(turned, cause=case.cause), safe)


def _right_prompt(talk: Talk) -> Prompt[bool]:
    def explain() -> None:
        talk.screen.say("yes asks for the proof that it is mended; no asks what it was instead.")

    return Prompt("yes or no", yes_or_no, explain, explain)


def _made_safe(talk: Talk, case: Case) -> tuple[str, ...] | None:
    """The stops of a case that have been dealt with; None while one stands."""
    book = options.shop().catalogue
    for stop in standing_in(case, book):
        talk.screen.show(*stop_view(ActiveStop(stop)))
        if ask_if_safe(talk, ActiveStop(stop), "Enter leaves the case open") is not True:
            talk.screen.say("While this stands nothing is proved; the case stays open.")
            return None
    return case.standing
