"""What is said in a person's own words: what was understood is shown, and counts once confirmed."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from diagnose.bench import Bench
from diagnose.phrases import Match, Understood
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.words import spaced
from diagnose.terminal.layout import rows
from diagnose.terminal.prompts import NotUnderstood, Prompt, Talk, Word, ask, menu_number
from diagnose.terminal.walk.own_words_meaning import (
    Taken,
    all_of,
    findings_of,
    heard,
    is_sure,
    name_of,
    unheard,
)

MAY_BE = "Not sure. It may be:"

Keep = Callable[[str], object]
"""Keeps words that were not understood."""


def understood(
    talk: Talk, bench: Bench, text: str, asked: str | None = None, keep: Keep | None = None
) -> tuple[Evidence, ...] | Word:
    """The findings that a text means and the person confirms; none where it means nothing, and
    Word.UNKNOWN where it says that nobody can tell. asked: the test that was asked for just before;
    keep: keeps what was not understood, where the text itself is not kept.

    Raises NotUnderstood when the person confirms none of them.
    """
    found = heard(bench, text, asked)
    if found.absent:
        words = ", ".join(dict.fromkeys(one.words for one in found.absent))
        talk.screen.say(f"This rig has no such thing: {words}.", "bold")
    taken = all_of(found)
    if not taken:
        return Word.UNKNOWN if found.cannot_tell else ()
    _show(talk, bench, found, keep is not None)
    answer = ask(talk, _prompt(talk, bench, taken))
    if answer is Word.QUIT:
        return answer
    if isinstance(answer, Word) or not answer:
        raise NotUnderstood("Then say it in other words, or type a number from the list.")
    if keep and (left := unheard(found)):
        keep(left)
    return answer


def _show(talk: Talk, bench: Bench, found: Understood, kept: bool) -> None:
    sure = any(map(is_sure, all_of(found)))
    talk.screen.say("Understood, those marked * for sure:" if sure else MAY_BE, "bold")
    shown = [
        (str(n), "*" if is_sure(one) else "", _meaning(bench, one))
        for n, one in enumerate(all_of(found), 1)
    ]
    talk.screen.show(rows(shown, [2, 1, None], indent=0, styles=["bold", ""], right=[0]))
    if found.not_understood:
        said = "Not understood, and kept as a note" if kept else "Not understood"
        talk.screen.say(f"{said}: {', '.join(found.not_understood)}.", "bold")


def _meaning(bench: Bench, one: Taken) -> str:
    if not isinstance(one, Match):
        return f"{one.reading}: {one.value} ({one.words})"
    options = bench.shop.catalogue.observations[one.observation].options
    return f"{spaced(name_of(one))}: {options[one.option]} ({one.words})"


def _prompt(talk: Talk, bench: Bench, taken: Sequence[Taken]) -> Prompt[tuple[Evidence, ...]]:
    sure = [one for one in taken if is_sure(one)]

    def explain() -> None:
        talk.screen.say(
            "yes takes what is marked with *, or the only one; numbers take what they stand for, "
            "such as 1 3; no takes nothing. Nothing is taken that you did not confirm, since words "
            "can mislead."
        )

    alone = len(taken) == 1
    several = "Right? yes, no, or the numbers that are" if sure else "Which? numbers, or no"
    return Prompt(
        "Right? yes or no" if alone else several,
        lambda typed: _confirmed(bench, typed, taken, taken if alone else sure),
        explain,
        explain,
        enter=_all_of(bench, sure),
    )


def _confirmed(
    bench: Bench, typed: str, taken: Sequence[Taken], sure: Sequence[Taken]
) -> tuple[Evidence, ...]:
    parts = typed.replace(",", " ").lower().split()
    if parts in (["y"], ["yes"]) and sure:
        return findings_of(bench, sure)
    if parts in (["n"], ["no"]):
        return ()
    if not all(part.isascii() and part.isdigit() for part in parts):
        raise NotUnderstood("Type yes, no, or numbers such as 1 3.")
    most = len(taken)
    wanted = f"The numbers run from 1 to {most}."
    return findings_of(bench, [taken[menu_number(part, most, wanted) - 1] for part in parts])


def _all_of(bench: Bench, sure: Sequence[Taken]) -> tuple[Evidence, ...] | None:
    """What Enter stands for: all that is sure, unless two of them exclude each other."""
    try:
        return findings_of(bench, sure) or None
    except NotUnderstood:
        return None
