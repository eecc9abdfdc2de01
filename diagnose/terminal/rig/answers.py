"""From what was typed to what a rig file says: one taker for each question of the form."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from diagnose.circuit.bounds import NAME, bounds
from diagnose.circuit.form import COUNT, GAUGE_UNIT, NONE, Field
from diagnose.circuit.listing import ANY, SOLENOID
from diagnose.design.describe import Step, completed, rig_of
from diagnose.design.draft import DONE, Said, has_relay, menu, parts
from diagnose.errors import Mistakes, harmless
from diagnose.terminal.prompts import NotUnderstood, choice

Taker = Callable[[str], str]
PART_NAMES = ("part.name", "load.name")
BARE = re.compile(r"[0-9.,]+")
"""A number without a unit."""


def taker(step: Step, said: Said) -> Taker:
    """What reads the answer to a question. Raises DiagnoseError for what cannot be."""
    if step.place:
        return lambda typed: _next_part(step, said, typed)
    if step.field.key == NAME:
        return rig_name
    if step.field.key in PART_NAMES:
        return lambda typed: _fitting(step, said, typed)
    if step.field.many:
        return lambda typed: several(typed, tuple(step.choices))
    if step.choices:
        return lambda typed: one_of(typed, tuple(step.choices))
    return quantity(step.field)


def quantity(field: Field) -> Taker:
    """Takes a quantity within its bounds, as typed, with its unit; a bare number takes that of the
    form."""
    bound = bounds()[field.bound]

    def takes(typed: str) -> str:
        if field.unit == GAUGE_UNIT:
            bound.read_gauge(typed)
            return typed
        if field.unit == COUNT:
            if bound.read(typed, "") % 1:
                raise NotUnderstood("A whole number is wanted here, such as 2.")
            return typed
        bound.read(typed, field.unit)
        return f"{typed} {field.unit}" if BARE.fullmatch(typed) else typed

    return takes


def one_of(typed: str, options: Sequence[str]) -> str:
    """The option meant, by its number or its words: "pressure switch" is pressure_switch."""
    plain = {_plain(option): option for option in options}
    return plain[choice(_plain(typed), tuple(plain))]


def _plain(words: str) -> str:
    return words.strip().lower().replace("_", "-").replace(" ", "-")


def several(typed: str, options: Sequence[str]) -> str:
    """The options meant, by numbers or words, parted by blanks or commas; or none."""
    if _plain(typed) == NONE:
        return NONE
    words = typed.replace(",", " ").split()
    try:
        return " ".join(dict.fromkeys(one_of(word, options) for word in words))
    except NotUnderstood:
        return one_of(typed, options)


def rig_name(typed: str) -> str:
    """A name on one line that is no longer than a name may be."""
    longest = int(bounds()[NAME].highest)
    if len(typed) > longest or harmless(typed, longest) != typed:
        raise NotUnderstood(f"A name has one line of at most {longest} letters.")
    return typed


def _next_part(step: Step, said: Said, typed: str) -> str:
    """A kind of part, with its name behind a colon, if it has one; or that there is no more."""
    kind, _, name = (word.strip() for word in typed.partition(":"))
    kinds = menu(step.place)
    kind = SOLENOID.get(kind.lower(), kind)
    meant = one_of(kind, kinds if kind.isdigit() else (*kinds, DONE))
    if meant == DONE:
        _enough(step, said)
        return DONE
    return _fitting(step, said, f"{meant}: {name}" if name and meant != ANY else meant)


def _fitting(step: Step, said: Said, answer: str) -> str:
    """The answer, if a rig can have it beside all that was told before."""
    _possible(completed(answered(said, step, answer)))
    return answer


def _enough(step: Step, said: Said) -> None:
    """Raises NotUnderstood where something cannot be left out."""
    told = answered(said, step, DONE)
    if step.place.endswith(ANY) and len(parts(told, step.place)) < 2:
        raise NotUnderstood("Side by side are two switches at the least.")
    if step.place == "feed" and not parts(told, "feed"):
        raise NotUnderstood("Name one part at the least.")
    if step.place == "control" or (step.place == "feed" and not has_relay(told)):
        _possible(told)


def _possible(told: Said) -> None:
    try:
        rig_of(told)
    except Mistakes as mistakes:
        raise NotUnderstood(_sentence(mistakes.problems[0].message)) from None


def _sentence(text: str) -> str:
    return f"{text[:1].upper()}{text[1:].rstrip('.')}."


def answered(said: Said, step: Step, answer: str) -> dict[str, str]:
    """The answers with one more: that to `step`. A part's own name is an answer of its own."""
    kind, _, name = (word.strip() for word in answer.partition(":"))
    if step.place and name:
        return {**said, step.key: kind, f"{step.key}.name": name}
    return {**said, step.key: answer}
