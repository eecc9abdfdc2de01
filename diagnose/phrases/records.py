"""What is made of a text: matches, readings, and what is left of it."""

from __future__ import annotations

from dataclasses import dataclass

LONGEST = 2000
"""Characters that a text may have."""

CLEAR, NEAR, EITHER = "clear", "near", "either"
STRENGTHS = (CLEAR, NEAR, EITHER)
"""clear: said in so many words; near: by a misspelt word, a thing named in the sentence before, or
in words that sentences of that meaning bear out; either: to be asked first, since the words may
mean one of several, or are a guess or hearsay."""


@dataclass(frozen=True)
class Match:
    """An observation that some words may mean; `words` as they were typed, none where it is a
    guess from the sentence as a whole; doubted: by the words themselves, as hearsay or a trial, so
    that it is asked whatever else speaks for it."""

    observation: str
    option: str
    words: str
    strength: str
    doubted: bool = False


@dataclass(frozen=True)
class ReadingMatch:
    """A reading that some words may give: its id, the value with its unit, the words as typed."""

    reading: str
    value: str
    words: str
    strength: str


@dataclass(frozen=True)
class Understood:
    """What was made of a text.

    matches: in the order of the text, to be confirmed; readings: the same of readings; absent:
    said of things that this rig does not have; not_understood: pieces of the text as typed that
    nothing was made of; cannot_tell: the person says so of what was asked.
    """

    matches: tuple[Match, ...] = ()
    readings: tuple[ReadingMatch, ...] = ()
    absent: tuple[Match, ...] = ()
    not_understood: tuple[str, ...] = ()
    cannot_tell: bool = False
