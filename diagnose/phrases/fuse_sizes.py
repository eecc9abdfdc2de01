"""A fuse that is not of the size it should be, told by two figures: "theres a 30 in where the 20
should be"."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from diagnose.phrases.numbers import Figure, Word, figures_of, words_of
from diagnose.phrases.records import CLEAR, EITHER, Match

MARKING = "main-fuse-marking"
FUSES = ("fuse", "fuses", "breaker", "holder")
FITTED = ("put", "stuck", "fitted", "got", "stick", "bunged", "shoved", "theres", "fit", "uses")
"""Words for what is in the holder, which alone may tell of something else."""

SHOULD = ("should", "supposed", "meant", "instead", "where", "wants", "calls", "needs", "not")
PAPERS = (
    "book",
    "sheet",
    "sticker",
    "lid",
    "drawing",
    "label",
    "manual",
    "diagram",
    "cover",
    "box",
)
"""Words before the figure that a fuse should have, and what it is written on."""

AMPS = ("a", "amp", "amps")


def fuse_sizes(text: str, asked: str) -> Iterator[Match]:
    """The answer that two sizes give; unasked only where a fuse is named or was asked about."""
    words = words_of(text)
    pieces = [one.text.replace("'", "") for one in words]
    figures = [one for one in figures_of(words) if _size(one, pieces)]
    told = asked == MARKING or any(one in FUSES for one in pieces)
    if len(figures) != 2 or not (told or any(one in FITTED for one in pieces)):
        return
    should = [_is_due(one, figures, pieces) for one in figures]
    if should.count(True) != 1:
        return
    due, found = (figures[n] for n in (should.index(True), should.index(False)))
    option = _option(found.value, due.value)
    yield Match(
        MARKING, option, _quoted(text, words, figures), CLEAR if told or "in" in pieces else EITHER
    )


def _option(found: float, due: float) -> str:
    if found == due:
        return "as-described"
    return "larger" if found > due else "smaller"


def _size(figure: Figure, pieces: Sequence[str]) -> bool:
    """Whether a figure may be the size of a fuse: whole, with amps behind it or nothing."""
    behind = pieces[figure.end] if figure.end < len(pieces) else ""
    units = ("v", "volt", "volts", "psi", "ohm", "ohms", "minutes", "mins", "seconds", "times")
    whole = figure.digits.isdigit() and len(figure.digits) <= 3
    return whole and 0 < figure.value <= 100 and behind not in units


def _is_due(figure: Figure, figures: Sequence[Figure], pieces: Sequence[str]) -> bool:
    """Whether it is the size that should be there, by the words from the figure before on, or by
    a "should be" behind it."""
    before = max((one.end for one in figures if one.end <= figure.first), default=0)
    behind = min((one.first for one in figures if one.first >= figure.end), default=len(pieces))
    told = pieces[before : figure.first]
    after = [one for one in pieces[figure.end : behind] if one not in AMPS]
    return any(one in SHOULD or one in PAPERS for one in told) or after[:1] == ["should"]


def _quoted(text: str, words: Sequence[Word], figures: Sequence[Figure]) -> str:
    return text[words[figures[0].first].start : words[figures[-1].end - 1].end]
