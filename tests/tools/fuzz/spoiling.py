"""Documents and lines spoiled in the ways that people, editors and enemies spoil them."""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence

HOSTILE = (
    "on", "off", "yes", "~", "null", "true", "010", "1:30", "1e999", "-1e999", ".inf", ".nan",
    "nan", "0x10", "1_000", "9" * 400, "-0", "1,500 V", "11,8 V", "12 V 13 V", "5 parsec", "14 A",
    "-273.16 degC", "1e308 A", "\u0660 V", "\u00bd V", "\u00b2", "12\u00a0V", "\u2212 5 V", "OL",
    "open", "[]", "{}", "[[[[]]]]", "{a: {a: {a: 1}}}", "&x 1", "*x",
    "!!python/object/apply:os.system [x]", "!!binary AAAA", "<<: *x", "? a", "- - -", ">-", "|",
    "%TAG", "---", "...", "#", "'", '"', "\\", "\t", "\r", "\x00", "\x1b[2J", "\ufeff", "\u2028",
    "\u202e", "\ud800", "\N{ROCKET}", "[bold]", "{0.__class__}", "%s", "$(x)", "../..", "relay",
    "direct", "manual", "8 AWG", "0 AWG", "99 AWG", "6 mm^2", "voltage motor+ motor- calling",
    "voltage a b calling", "resistance fuse.in fuse.in isolated", "2026-11-25T08:00:00+00:00",
    "9999-99-99", "0001-01-01T00:00:00+14:00", "not-in-the-book", "x" * 3000,
)  # fmt: skip
"""Values that are read wrongly somewhere, or that nobody expects where they stand."""

Spoil = Callable[[str, random.Random, Sequence[str]], str]


def _lines(text: str) -> list[str]:
    return text.splitlines(keepends=True) or [""]


def _line_lost(text: str, draw: random.Random, others: Sequence[str]) -> str:
    lines = _lines(text)
    del lines[draw.randrange(len(lines))]
    return "".join(lines)


def _line_twice(text: str, draw: random.Random, others: Sequence[str]) -> str:
    lines = _lines(text)
    lines.insert(draw.randrange(len(lines) + 1), draw.choice(lines))
    return "".join(lines)


def _shifted(text: str, draw: random.Random, others: Sequence[str]) -> str:
    """One line moved in or out, as a slip of the space bar does it."""
    lines = _lines(text)
    i = draw.randrange(len(lines))
    lines[i] = " " * draw.randrange(1, 5) + lines[i] if draw.random() < 0.5 else lines[i].lstrip()
    return "".join(lines)


def _value(text: str, draw: random.Random, others: Sequence[str]) -> str:
    """What stands behind one colon replaced."""
    lines = _lines(text)
    i = draw.randrange(len(lines))
    key, colon, _ = lines[i].partition(":")
    lines[i] = f"{key}{colon} {draw.choice(HOSTILE)}\n" if colon else draw.choice(HOSTILE) + "\n"
    return "".join(lines)


def _inserted(text: str, draw: random.Random, others: Sequence[str]) -> str:
    place = draw.randrange(len(text) + 1)
    return text[:place] + draw.choice(HOSTILE) + text[place:]


def _cut(text: str, draw: random.Random, others: Sequence[str]) -> str:
    return text[: draw.randrange(len(text) + 1)]


def _swapped(text: str, draw: random.Random, others: Sequence[str]) -> str:
    """Some characters changed for others of the same text."""
    letters = list(text)
    for _ in range(draw.randrange(1, 6)):
        if letters:
            letters[draw.randrange(len(letters))] = draw.choice(letters)
    return "".join(letters)


def _spliced(text: str, draw: random.Random, others: Sequence[str]) -> str:
    """The beginning of one and the end of another."""
    other = draw.choice(others)
    return text[: draw.randrange(len(text) + 1)] + other[draw.randrange(len(other) + 1) :]


def _repeated(text: str, draw: random.Random, others: Sequence[str]) -> str:
    """A piece many times over."""
    start = draw.randrange(len(text) + 1)
    piece = text[start : start + draw.randrange(1, 9)]
    return text[:start] + piece * draw.randrange(2, 400) + text[start:]


def _anything(text: str, draw: random.Random, others: Sequence[str]) -> str:
    ranges = ((0, 128), (0, 0x250), (0x2000, 0x2100), (0, 0x110000))
    low, high = draw.choice(ranges)
    return "".join(chr(draw.randrange(low, high)) for _ in range(draw.randrange(60)))


WAYS: tuple[Spoil, ...] = (
    _line_lost, _line_twice, _shifted, _value, _value, _value, _inserted, _inserted, _cut, _swapped,
    _swapped, _spliced, _repeated, _anything,
)  # fmt: skip


def spoiled(samples: Sequence[str], draw: random.Random) -> bytes:
    """One of the samples, spoiled in one to three ways; now and then its bytes as well."""
    text = draw.choice(samples)
    for _ in range(draw.choice((1, 1, 1, 2, 3))):
        text = draw.choice(WAYS)(text, draw, samples)
    body = bytearray(text.encode("utf-8", "surrogatepass"))
    if body and draw.random() < 0.05:
        body[draw.randrange(len(body))] = draw.randrange(256)
    return bytes(body)
