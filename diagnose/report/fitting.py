"""Words that fit a given width: how wide they are at most, and where they are broken or cut.

Nobody knows which letters a printer has, so each sign is taken as wide as in the widest of the
usual plain ones. Source: advance widths of DejaVu Sans and DejaVu Sans Bold, rounded up.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.errors import harmless

REGULAR = (
    (0.33, "'ijlIJ ,."),
    (0.42, "/:;\\|f-()[]t!r"),
    (0.56, '"*_`szc?L'),
    (0.65, "FkvxyPTYaoeESbdghnpqu$0123456789{}"),
    (0.71, "KAVBRXZC"),
    (0.79, "UHNDG&OQ"),
    (0.87, "w#+<=>^~M"),
    (1.00, "%mW@"),
)
BOLD = (
    (0.38, " '/,.IJijl|\\"),
    (0.50, "-:;f!()[]tr_`"),
    (0.60, '"*?zcs'),
    (0.73, "LvxyakFETeo$0123456789hnu{}SYbdgpqCPZ"),
    (0.87, "BAKRVXUGD#+<=>HN^~OQ&"),
    (1.10, "w%@MmW"),
)
"""Widths in heights of the letters, and the signs that are no wider."""

OTHERS, IDEOGRAMS = 1.35, 1.00
"""The same of any other sign, and of those that fill a square (Unicode, East Asian Width)."""

ACCENT = 0.10
"""What some accents add to their letter, as in ľ."""

KNOWN = (range(0x20, 0x180), range(0x370, 0x460))
"""Latin, and Greek with the Cyrillic in use, of which no sign is wider than it is taken for."""

BREAKS = re.compile("(?<![0-9]) ")
"""Where a line may end: not between a number and its unit."""

CUT = "…"
LONGEST = 1000
"""Characters of a text that are looked at."""

_WIDTHS = [{sign: width for width, signs in table for sign in signs} for table in (REGULAR, BOLD)]


@dataclass(frozen=True)
class Letters:
    """size: their height, in the unit in which widths are told."""

    size: float
    bold: bool = False

    def width(self, text: str) -> float:
        """How wide a text is at most."""
        return self.size * sum(map(self._of, text))

    def _of(self, sign: str) -> float:
        apart = unicodedata.normalize("NFD", sign)
        if found := _WIDTHS[self.bold].get(apart[0]):
            return found + (ACCENT if len(apart) > 1 else 0.0)
        return IDEOGRAMS if _is_square(sign) else OTHERS


def _is_square(sign: str) -> bool:
    picture = unicodedata.category(sign) == "So"
    return unicodedata.east_asian_width(sign) in "WF" and not picture


def is_known(text: str) -> bool:
    """Whether no sign of it can be wider than it is taken for."""
    return all(_is_known(sign) or sign == CUT or _is_square(sign) for sign in text)


def _is_known(sign: str) -> bool:
    return any(ord(sign) in signs for signs in KNOWN)


def broken(text: str, letters: Letters, width: float, most: int) -> list[str]:
    """A text as lines of that width, `most` of them; what is left over is cut, and … stands for it.

    A word that is too long for a line is broken inside.
    """
    lines = [*_lines(harmless(" ".join(text.split()), LONGEST), letters, width)]
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], _cut(lines[most - 1], letters, width)]


def _lines(text: str, letters: Letters, width: float) -> Iterator[str]:
    line = ""
    for word in BREAKS.split(text):
        longer = f"{line} {word}" if line else word
        if letters.width(longer) <= width:
            line = longer
            continue
        if line:
            yield line
        *full, line = _pieces(word, letters, width)
        yield from full
    yield line


def _pieces(word: str, letters: Letters, width: float) -> Iterator[str]:
    """A word in pieces that fit; mostly one."""
    piece = ""
    for sign in word:
        if piece and letters.width(piece + sign) > width:
            yield piece
            piece = ""
        piece += sign
    yield piece


def _cut(line: str, letters: Letters, width: float) -> str:
    while line and letters.width(line + CUT) > width:
        line = line[:-1]
    return line.rstrip() + CUT
