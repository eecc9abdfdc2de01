"""Every place of a real document given the values at which schemas break.

A place is a value: a leaf, a list or a mapping. It is found in the text and only that is replaced,
so that the rest of the document stays as somebody wrote it.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

import yaml

NUMBERS = (
    "0", "-1", "1e-320", "1e-9", "1e9", "1e300", "-1e300", "1e999", ".nan", ".inf", "2147483648",
    "9223372036854775807", "9223372036854775808", "-9223372036854775809", "1" + "0" * 400, "0.1e1",
)  # fmt: skip
"""Largest, smallest, negative, not finite, and the ends of what 32 and 64 bits hold."""

SHAPES = (
    "", "~", '""', "' '", "[]", "{}", "[1]", "[[x]]", "{a: 1}", "true", "1", "-1.5", "text",
    "'1'", "[true, ~, {}]",
)  # fmt: skip
"""Empty, and of another type."""

TEXTS = (
    "x" * 5_000, "'" + "水" * 500 + "'", '"насос é \N{ROCKET}"', '"\\u202eabc"', '"\\u0000"',
    '"a\\nb\\tc"', "'=1+1'", "'＝1+1'", "'../../x'", "'/etc'", '"[bold]\\x1b[2J"', "'٣ V'",
)  # fmt: skip
"""Very long, of other scripts, and what means something to a program somewhere."""

TIMES = (
    "'0001-01-01 00:00:00 UTC'", "'0026-03-02 09:00:00 UTC'", "'9999-12-31 23:59:59 UTC'",
    "'2026-02-30 00:00:00 UTC'", "'2026-03-02 09:00:00 +14:00'", "'2026-03-02'",
)  # fmt: skip
"""Put where a time stands."""

AMOUNTS = ("0", "-1", "1e-320", "1e-9", "1e9", "1e300", "1e308", "1e999", "nan", "inf", "٣", "")
"""Put in place of the number before a unit."""

MOST_KEYS = 6
"""In a mapping of values alike whose keys a schema names."""

_NUMBER = re.compile(r"[-+.\de]+")
_TIME = re.compile(r"['\"]?\d{4}-\d\d-\d\d")
_AMOUNT = re.compile(r"['\"]?[-\d./]+ ?([A-Za-z°µΩ][^\s'\"]*)['\"]?")

_PARSER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def spans(text: str) -> list[tuple[str, int, int]]:
    """Each place of a YAML document: its path with items not counted, where it begins and ends."""
    node = yaml.compose(text, _PARSER)
    return [*_below(node, "")] if node is not None else []


def _below(node: Any, path: str) -> Iterator[tuple[str, int, int]]:
    if path:
        yield path, node.start_mark.index, node.end_mark.index
    if isinstance(node, yaml.MappingNode):
        names = _are_names(node)
        for key, value in node.value:
            yield from _below(value, f"{path}.*" if names else f"{path}.{key.value}")
    elif isinstance(node, yaml.SequenceNode):
        for item in node.value:
            yield from _below(item, f"{path}[]")


def _are_names(node: Any) -> bool:
    """Whether the keys of a mapping are names that its author chose, and not a schema's: many keys
    with values alike."""
    kinds = {type(value) for _, value in node.value}
    if len(node.value) <= MOST_KEYS or len(kinds) > 1:
        return False
    return yaml.ScalarNode not in kinds or all(_NUMBER.fullmatch(v.value) for _, v in node.value)


def values(old: str) -> tuple[str, ...]:
    """What is put in place of a value, as YAML of one line."""
    more: tuple[str, ...] = TIMES if _TIME.match(old) else ()
    if found := _AMOUNT.fullmatch(old):
        more += tuple(f"{amount} {found[1]}" for amount in AMOUNTS)
    return (*NUMBERS, *SHAPES, *TEXTS, *more)


@dataclass(frozen=True)
class Spot:
    """One place of one document: its kind, what stands there, and how another value gets there."""

    kind: str
    old: str | None
    put: Callable[[Any], str]

    @property
    def news(self) -> tuple[Any, ...]:
        """What is put there in turn."""
        return _JSON if self.old is None else values(self.old)


def yaml_spots(text: str) -> Iterator[Spot]:
    """Every place of a YAML document."""
    for path, start, end in spans(text):
        yield Spot(
            path, text[start : min(end, start + 80)].strip(), partial(_put, text, start, end)
        )


def _put(text: str, start: int, end: int, new: str) -> str:
    """The document with something else there; a block keeps the line end that belongs to it."""
    old = text[start:end]
    tail = old[len(old.rstrip()) :]
    gap = " " if start and text[start - 1] == ":" else ""
    return text[:start] + gap + new + tail + text[end:]


def line_spots(text: str) -> Iterator[Spot]:
    """Every place of a file of JSON lines."""
    lines = text.splitlines(keepends=True)
    for number, line in enumerate(lines):
        for path, changed in _json_places(json.loads(line)):
            yield Spot(f"{number == 0}{path}", None, partial(_put_line, lines, number, changed))


def _put_line(lines: list[str], number: int, changed: Callable[[Any], Any], new: Any) -> str:
    body = json.dumps(changed(new)) + "\n"
    return "".join([*lines[:number], body, *lines[number + 1 :]])


def few_of_a_kind(spots: Iterable[Spot], most: int = 1) -> list[Spot]:
    """Those left when each kind of place stands at most so often."""
    seen: Counter[str] = Counter()
    kept = []
    for spot in spots:
        seen[spot.kind] += 1
        if seen[spot.kind] <= most:
            kept.append(spot)
    return kept


_JSON: tuple[Any, ...] = (
    0, -1, -1.5, 5e-324, 1e300, 2**63, 10**400, float("nan"), float("inf"), None, True, "", " ",
    [], {}, [1], {"a": 1}, "text", "1", "x" * 5_000, "水" * 500, "\u202e\x1b[2J\0", "../../x",
    "0026-03-02 09:00:00 UTC", "9999-12-31 23:59:59 UTC", "٣", "\ud800",
)  # fmt: skip


def _json_places(value: Any) -> Iterator[tuple[str, Any]]:
    """Each place of a JSON value: its path, and what the value is with another one put there."""
    if isinstance(value, dict | list):
        for key in [*value] if isinstance(value, dict) else range(len(value)):
            name = f".{key}" if isinstance(value, dict) else "[]"
            yield name, lambda new, key=key: _with(value, key, new)
            for path, changed in _json_places(value[key]):
                yield (
                    name + path,
                    lambda new, key=key, changed=changed: _with(value, key, changed(new)),
                )


def _with(value: Any, key: Any, new: Any) -> Any:
    copy = {**value} if isinstance(value, dict) else [*value]
    copy[key] = new
    return copy
