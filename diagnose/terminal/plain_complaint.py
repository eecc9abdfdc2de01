"""A complaint in a person's own words: what was understood is shown, and counts once confirmed."""

from __future__ import annotations

from collections.abc import Sequence

from diagnose.bench import Bench
from diagnose.catalogue.plain_vocabulary import shipped_plain_words
from diagnose.catalogue.plain_words import EITHER, Match, PlainReading, read_plain
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.words import spaced
from diagnose.terminal.layout import rows
from diagnose.terminal.prompts import NotUnderstood, Prompt, Talk, Word, ask, menu_number


def understood(talk: Talk, bench: Bench, text: str) -> tuple[Evidence, ...] | Word:
    """The observations that a text means and the person confirms; none where it means nothing.

    Raises NotUnderstood when the person confirms none of them.
    """
    book, facts = bench.shop.catalogue, bench.hypotheses.facts
    found = read_plain(text, shipped_plain_words(), book, facts)
    if found.absent:
        words = ", ".join(dict.fromkeys(one.words for one in found.absent))
        talk.screen.say(f"This rig has no such thing: {words}.", "bold")
    if not found.matches:
        return ()
    _show(talk, bench, found)
    answer = ask(talk, _prompt(talk, found.matches))
    if answer is Word.QUIT:
        return answer
    if isinstance(answer, Word) or not answer:
        raise NotUnderstood("Then say it in other words, or type a number from the list.")
    return answer


def _show(talk: Talk, bench: Bench, found: PlainReading) -> None:
    talk.screen.say("Understood, those marked * for sure:", "bold")
    shown = [
        (str(n), "" if one.strength == EITHER else "*", _meaning(bench, one))
        for n, one in enumerate(found.matches, 1)
    ]
    talk.screen.show(rows(shown, [2, 1, None], indent=0, styles=["bold", ""], right=[0]))
    if found.not_understood:
        talk.screen.say(f"Not understood: {', '.join(found.not_understood)}.", "bold")


def _meaning(bench: Bench, match: Match) -> str:
    options = bench.shop.catalogue.observations[match.observation].options
    return f"{spaced(match.observation)}: {options[match.option]} ({match.words})"


def _prompt(talk: Talk, matches: Sequence[Match]) -> Prompt[tuple[Evidence, ...]]:
    sure = [one for one in matches if one.strength != EITHER]

    def explain() -> None:
        talk.screen.say(
            "yes takes what is marked with *; numbers take what they stand for, such as 1 3; no "
            "takes nothing. Nothing is taken that you did not confirm, since words can mislead."
        )

    return Prompt(
        "Right? yes, no, or the numbers that are" if sure else "Which? numbers, or no",
        lambda typed: _confirmed(typed, matches, sure),
        explain,
        explain,
        enter=_all_of(sure),
    )


def _confirmed(typed: str, matches: Sequence[Match], sure: Sequence[Match]) -> tuple[Evidence, ...]:
    parts = typed.replace(",", " ").lower().split()
    if parts in (["y"], ["yes"]) and sure:
        return _seen(sure)
    if parts in (["n"], ["no"]):
        return ()
    if not all(part.isascii() and part.isdigit() for part in parts):
        raise NotUnderstood("Type yes, no, or numbers such as 1 3.")
    most = len(matches)
    wanted = f"The numbers run from 1 to {most}."
    return _seen([matches[menu_number(part, most, wanted) - 1] for part in parts])


def _all_of(sure: Sequence[Match]) -> tuple[Evidence, ...] | None:
    """What Enter stands for: all that is sure, unless two of them exclude each other."""
    try:
        return _seen(sure) or None
    except NotUnderstood:
        return None


def _seen(matches: Sequence[Match]) -> tuple[Evidence, ...]:
    """As evidence. Raises NotUnderstood when two of them exclude each other."""
    said: dict[str, str] = {}
    for one in matches:
        if said.setdefault(one.observation, one.option) != one.option:
            raise NotUnderstood(f"{spaced(one.observation)} cannot be two things; pick one.")
    return tuple(Seen(name, option) for name, option in said.items())
