"""A QR code that a phone can read, in a given room; the home of segno.

Sources: ISO/IEC 18004 for its sizes (21 to 177 modules, 4 modules of white on every side) and for
what the largest holds (2,953 bytes at error correction L); GS1 General Specifications, 5.12.3.1,
for how small and how large a module may be: 0.396 to 0.990 mm. All from memory.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby

SMALLEST, LARGEST = 0.396, 0.990
"""A module's side [mm]."""

USUAL = 30.0
"""The side of a code that needs no more [mm]."""

QUIET = 4
"""Modules of white on every side."""

MOST_BYTES = 2953
"""What the largest code holds."""

Rows = tuple[tuple[bool, ...], ...]


@dataclass(frozen=True)
class Code:
    """One code. rows: its modules, True where it is dark, without the white around them."""

    rows: Rows

    @property
    def modules(self) -> int:
        """How many there are on a side, the white with them."""
        return len(self.rows) + 2 * QUIET

    @property
    def smallest(self) -> float:
        """The side that it needs, the white with it [mm]."""
        return self.modules * SMALLEST

    @cached_property
    def side(self) -> float:
        """The side that it is printed with, the white with it [mm]."""
        return self.modules * min(max(USUAL / self.modules, SMALLEST), LARGEST)

    @property
    def paths(self) -> Iterator[str]:
        """The dark modules of each row as a path of SVG, one module being one unit."""
        for y, row in enumerate(self.rows, QUIET):
            x, path = QUIET, ""
            for dark, run in groupby(row):
                size = len([*run])
                path += f"M{x} {y}h{size}v1h-{size}z" if dark else ""
                x += size
            yield path


def code_of(content: str) -> Code | None:
    """The smallest code of a text, with as much error correction as that takes; None where no code
    holds so much. Letters beyond ASCII are told to be UTF-8, as the standard asks for."""
    import segno

    if not content or len(content.encode()) > MOST_BYTES:
        return None
    foreign = not content.isascii()
    try:
        made = segno.make_qr(content, error="l", encoding="utf-8" if foreign else None, eci=foreign)
    except segno.DataOverflowError:
        return None
    return Code(tuple(tuple(bool(module) for module in row) for row in made.matrix))
