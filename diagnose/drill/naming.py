"""Names in what was typed: points, parts, places and states of the rig."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from diagnose.circuit.reading_words import points_for
from diagnose.drill.words import Words
from diagnose.errors import DiagnoseError, UnknownName, nearest

PROBED = ("voltage", "resistance")
"""Quantities that are read between two points."""

Named = list[tuple[str, str]]
"""Kind and name: ("point", "relay.30"), ("part", "coil"), ("place", "motor"), ("state", "rest")."""


class NotAnAct(DiagnoseError):
    """What was typed is nothing that can be done at the rig."""


def meanings(quantity: str, words: Words) -> dict[str, tuple[str, str]]:
    """What a phrase may stand for behind the verb of a quantity."""
    found = _kind("state", words.probes.states)
    if quantity in PROBED:
        return found | probed(words)
    places = {name: words.probes.places[name] for name in points_for(quantity)[1]}
    return found | _kind("place", places)


def probed(words: Words) -> dict[str, tuple[str, str]]:
    """Phrases for what lies under two probes or the clips of a jumper."""
    return {name: ("part", name) for name in words.probes.parts} | _kind(
        "point", words.probes.points
    )


def _kind(kind: str, names: Mapping[str, tuple[str, ...]]) -> dict[str, tuple[str, str]]:
    return {phrase: (kind, name) for name, phrases in names.items() for phrase in phrases}


def named(rest: str, known: Mapping[str, tuple[str, str]]) -> Iterator[tuple[str, str]]:
    """The meaning of each name in a text, the longest names first. Raises UnknownName."""
    tokens = rest.split()
    longest = max((len(name.split()) for name in known), default=1)
    while tokens:
        for count in range(min(longest, len(tokens)), 0, -1):
            name = " ".join(tokens[:count])
            if name in known:
                yield known[name]
                tokens = tokens[count:]
                break
        else:
            near = nearest(tokens[0], known)
            raise UnknownName("point, part or state", tokens[0], None, near)


def points_of(quantity: str, found: Named, words: Words) -> tuple[str, ...]:
    """Red and black, or the one place. Raises NotAnAct."""
    if len(found) == 1 and found[0][0] == "part":
        return words.probes.parts[found[0][1]]
    found = [_plus_side(one, words) for one in found]
    kinds, names = [kind for kind, _ in found], tuple(name for _, name in found)
    if kinds == ["point"]:
        return names[0], words.probes.black
    if kinds in (["point", "point"], ["place"]):
        return names
    if not kinds and quantity not in PROBED and len(points_for(quantity)[1]) == 1:
        return tuple(points_for(quantity)[1])
    raise NotAnAct(f"A reading of {quantity} needs {_wanted(quantity)}.")


def _plus_side(one: tuple[str, str], words: Words) -> tuple[str, str]:
    """A part with a plus stands for it when a second point is named: "battery motor"."""
    red = words.probes.parts[one[1]][0] if one[0] == "part" else ""
    return ("point", red) if red.endswith("+") else one


def _wanted(quantity: str) -> str:
    if quantity not in PROBED:
        return f"one place: {', '.join(points_for(quantity)[1])}"
    example = "volts 30 87" if quantity == "voltage" else "ohms coil isolated"
    return f"two points or one part, such as: {example}"
