"""Readings in words: "12.4 at the battery with it off", "motor- lug- 2.2"."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from diagnose.catalogue.probe_words import ProbeWords
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.network import points_on
from diagnose.circuit.reading_words import FIXED_CONDITION, fits, points_for
from diagnose.circuit.rig import Rig
from diagnose.phrases.figures_told import BEFORE_A_POINT, ENDS, USUAL_UNITS, Told, told_in
from diagnose.phrases.numbers import Word, words_of
from diagnose.phrases.records import CLEAR, EITHER, ReadingMatch

PROBED = ("voltage", "resistance")
USUAL_PLACES = {"current": "motor-feed", "pressure": "outlet", "flow-rate": "outlet"}
"""Where a figure belongs when no place is named."""

OF_CURRENT = ("clamp", "amp", "amps", "draws", "drawing")
"""Words before a bare figure that is in amps."""

LONGEST_NAME = 7
"""Words of the longest name that is looked for."""


@dataclass(frozen=True)
class ReadingsTold:
    """The readings in a text, and the stretches of it that they were made of."""

    matches: tuple[ReadingMatch, ...]
    stretches: tuple[tuple[int, int], ...]


def readings_of(
    text: str, probes: ProbeWords, book: Catalogue, rig: Rig, asked: str = ""
) -> ReadingsTold:
    """The readings that a text tells of a rig; asked: the reading that was asked for."""
    said = _Said(text, words_of(text), probes, book, rig)
    found = list(said.answers(asked)) if asked in book.readings else []
    found = found or list(said.readings())
    matches = tuple(dict.fromkeys(one for one, _ in found))
    return ReadingsTold(matches, tuple(stretch for _, stretch in found))


@dataclass(frozen=True)
class _Names:
    """What is named round a figure. rated: it is a figure that was not measured."""

    points: tuple[str, ...]
    parts: tuple[str, ...]
    places: tuple[str, ...]
    states: tuple[str, ...]
    rated: bool


@dataclass(frozen=True)
class _Segment:
    """A figure, the pieces that belong to it, and what they name."""

    told: Told
    first: int
    last: int
    names: _Names


_Found = tuple[ReadingMatch, tuple[int, int]]


@dataclass(frozen=True)
class _Said:
    """A text about a rig, cut into pieces."""

    text: str
    words: Sequence[Word]
    probes: ProbeWords
    book: Catalogue
    rig: Rig

    def answers(self, asked: str) -> Iterator[_Found]:
        """The one figure of an answer, as a value of what was asked for."""
        wanted = self.book.readings[asked].reading
        told = told_in(self.words, self._points, wanted.quantity)
        if len(told) == 1 and told[0].quantity == wanted.quantity:
            yield from self._values(asked, told[0], CLEAR, 0, len(self.words))

    def readings(self) -> Iterator[_Found]:
        """What is told with the place where it was read."""
        segments = self._segments(told_in(self.words, self._points))
        common = set(self._names(0, len(self.words)).states)
        black, before = "", ""
        for one in segments:
            told = replace(one.told, quantity=one.told.quantity or before or self._guessed(one))
            placed = one.names.points or one.names.parts
            if one.names.rated or not told.quantity or (told.bare and not placed):
                continue
            states = one.names.states or (tuple(common) if len(common) == 1 else ())
            for reading, sure in self._readings(told, one.names, states, black):
                how = CLEAR if sure else EITHER
                yield from self._values(reading, told, how, one.first, one.last)
            black = one.names.points[1] if len(one.names.points) == 2 else black
            before = "voltage" if told.quantity == "voltage" else ""

    def _segments(self, told: Sequence[Told]) -> list[_Segment]:
        """Each figure with what belongs to it: up to the last end before the next figure."""
        ends = [self._end(a, b) for a, b in pairwise(told)]
        borders = [0, *ends, len(self.words)]
        return [
            self._segment(one, first, last)
            for one, first, last in zip(told, borders, borders[1:], strict=False)
        ]

    def _segment(self, told: Told, first: int, last: int) -> _Segment:
        """A figure with its own clause, or with all that is left to it where that names nothing."""
        before = [at for at in range(first, told.first) if self._ends(at)]
        behind = [at for at in range(told.end, last) if self._ends(at)]
        own = (before or [first - 1])[-1] + 1, (behind or [last])[0]
        names = self._names(*own)
        if not (names.points or names.parts or names.places):
            names = self._names(first, last)
        return _Segment(told, *own, names)

    def _ends(self, at: int) -> bool:
        """Whether a clause ends in that place; not at the "and" of "between 30 and 87"."""
        word = self.words[at].text
        between = any(one.text in ("between", "across", "from") for one in self.words[:at])
        return word in ENDS or (word == "and" and not between)

    def _end(self, one: Told, other: Told) -> int:
        between = range(one.end, other.first)
        ends = [at for at in between if self.words[at].text in ENDS]
        joins = [at for at in between if self.words[at].text == "and"]
        return (ends or joins or [one.end - 1])[-1] + 1

    def _values(
        self, reading: str, told: Told, strength: str, first: int, last: int
    ) -> Iterator[_Found]:
        inner = [one for one in self.words[first:last] if one.text not in ENDS]
        stretch = inner[0].start, inner[-1].end
        units = (told.unit,) if told.unit else USUAL_UNITS[told.quantity]
        for unit in units:
            value = told.digits if told.digits == "open" else f"{told.digits} {unit}"
            how = strength if len(units) == 1 else EITHER
            yield ReadingMatch(reading, value, self.text[slice(*stretch)], how), stretch

    @cached_property
    def _points(self) -> frozenset[str]:
        return frozenset(name for names in self.probes.points.values() for name in names)

    def _names(self, first: int, last: int) -> _Names:
        """What is named between two places of the text, the longest names first."""
        found: dict[str, list[str]] = {kind: [] for kind in ("point", "part", "place", "state")}
        pieces = [self._spelt(one.text) for one in self.words]
        at, rated = first, False
        while at < last:
            for count in range(min(LONGEST_NAME, last - at), 0, -1):
                phrase = " ".join(pieces[at : at + count])
                state = self.probes.told_states.get(phrase, "")
                named = (("state", state),) if state else self.probes.named.get(phrase, ())
                for kind, name in named:
                    found[kind].append(name)
                rated |= phrase in self.probes.no_figure
                if named:
                    at += count - 1
                    break
            at += 1
        points, parts, places, states = (tuple(names) for names in found.values())
        return _Names(points, parts, places, states, rated)

    def _spelt(self, word: str) -> str:
        """A word without its apostrophe: "coil's" is the coil, "it's" is "its"."""
        owner = word.removesuffix("'s")
        return owner if owner in self.probes.named else word.replace("'", "")

    def _readings(
        self, told: Told, names: _Names, states: Collection[str], black: str
    ) -> Iterator[tuple[str, bool]]:
        """The reading of the book that a figure is, and whether all of it was said."""
        for points, sure in self._placed(told, names, black):
            at_rest = set(points) <= {"battery+", "battery-"}
            condition = next(iter(states), "") or ("rest" if at_rest else "calling")
            fixed = told.quantity in FIXED_CONDITION
            stated = bool(states) or fixed or told.quantity == "current"
            for ordered in dict.fromkeys((points, points[::-1])):
                name = " ".join((told.quantity, *ordered, *(() if fixed else (condition,))))
                entry = self.book.readings.get(name)
                if entry is not None and fits(entry.reading, self.rig):
                    yield name, sure and stated
                    break

    def _placed(
        self, told: Told, names: _Names, black: str
    ) -> Iterator[tuple[tuple[str, ...], bool]]:
        """The points or the place of a figure, and whether they were said in full."""
        parts = self.probes.parts
        if told.quantity not in PROBED:
            allowed = points_for(told.quantity)[1]
            fitting = [one for one in names.places if one in allowed]
            if fitting or told.quantity in USUAL_PLACES:
                yield (fitting[0] if fitting else USUAL_PLACES[told.quantity],), True
        elif len(names.points) == 2:
            yield names.points, True
        elif len(names.points) == 1 and names.parts:
            minus = names.points[0].endswith("-") or names.points[0] == "ground"
            for part in self._meant(names.parts[0]):
                yield (names.points[0], parts[part][minus]), False
        elif len(names.points) == 1:
            yield (names.points[0], black or self.probes.black), bool(black)
        elif names.parts:
            meant = self._meant(names.parts[0])
            for part in meant:
                yield parts[part], len(names.parts) == len(meant) == 1
        elif told.quantity == "voltage" and not names.places:
            yield ("battery+", "battery-"), bool(names.states)

    def _meant(self, part: str) -> tuple[str, ...]:
        """The parts of this rig that a name can mean."""
        known, here = self.probes.parts, set(points_on(self.rig))
        return tuple(
            one for one in self.probes.either.get(part, (part,)) if here.issuperset(known[one])
        )

    def _guessed(self, one: _Segment) -> str:
        """The quantity of a bare figure: volts, where it has a decimal, stands beside a point, or
        right before where it was read, as "12 at the battery"."""
        behind = self.words[one.told.end].text if one.told.end < len(self.words) else ""
        placed = one.names.points or one.names.parts or one.names.states
        if any(word.text in OF_CURRENT for word in self.words[: one.told.first]):
            return "current"
        volts = "." in one.told.digits or one.names.points or behind in BEFORE_A_POINT
        return "voltage" if placed and volts else ""
