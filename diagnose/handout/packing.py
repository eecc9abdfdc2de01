"""The trees of a page as compact data: texts once in a list, everything else as numbers into it.

A node is one of
    7                       the ending of that number
    [7, 1, {...}]           the same with cautions and stops
    [q, [node, ...], {...}] question q and where each answer leads; "cannot tell" is the last
    {h, x, n, w}            stop h with its text x; n: where "done" and "not yet" lead; w: waiting
In the braces: a cautions in full, b cautions as before, p stops that stand, g asked again, d doubt
by the number of the answer, e edges of a reading's bins, v the value of each bin.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from diagnose.bench import Bench
from diagnose.catalogue.records import Observation, ReadingEntry
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.errors import one_line
from diagnose.handout.code import close, plain
from diagnose.handout.ending import Ending
from diagnose.handout.growing import Grove
from diagnose.handout.strings import chance_word
from diagnose.handout.tree import Asked, Ended, Halted, Node
from diagnose.outcome import cause_title
from diagnose.pages.cautions import Alert
from diagnose.pages.complaints import groups_of
from diagnose.reasoning import words
from diagnose.reasoning.stops import ActiveStop
from diagnose.steps import Question
from diagnose.units import read_quantity
from diagnose.walkthrough import Walk

UNITS = {
    "V": ("V", "mV"),
    "A": ("A", "mA"),
    "ohm": ("ohm", "kohm", "Mohm"),
    "degC": ("degC", "degF"),
    "psi": ("psi", "bar", "kPa"),
    "gal/min": ("gal/min", "L/min"),
}
"""Units that a reading may be typed in, the one that it is asked for in first."""

DECIMALS = 6
"""Significant digits of a bin's edge."""


class Packing:
    """Gathers what nodes say as numbers. bench: of the rig."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self._walk = Walk(bench)
        self.texts = _Numbers()
        self.lists = _Numbers()
        self.questions = _Numbers()
        self.stops = _Numbers()
        self.endings = _Numbers()
        self._stops: list[dict[str, Any]] = []

    def packed(self, grove: Grove) -> dict[str, Any]:
        """All that the page's script needs of the trees."""
        groups = [
            [group.title, [grove.complaints.index(one) for one in group.items]]
            for group in groups_of(grove.complaints)
        ]
        trees = [[self.node(tree) for tree in kind] for kind in grove.trees]
        return {
            "groups": groups,
            "complaints": [[plain(one.id), one_line(one.say)] for one in grove.complaints],
            "trees": trees,
            "endings": [*self.endings],
            "questions": [self._question(name) for name in self.questions],
            "stops": self._stops,
            "lists": [*self.lists],
            "texts": [*self.texts],
        }

    # -- nodes -----------------------------------------------------------------------------------

    def node(self, node: Node) -> Any:
        more = self._more(node)
        if isinstance(node, Ended):
            number = self.endings.of(self._ending(node.ending))
            return [number, 1, more] if more else number
        if isinstance(node, Halted):
            stop = {"h": self._stop(node.stop), "x": self.texts.of(node.stop.text)}
            waits = {"w": 1} if node.waiting else {}
            return stop | waits | more | {"n": [self.node(way.to) for way in node.ways]}
        assert isinstance(node, Asked)
        ways = [self.node(way.to) for way in node.ways]
        question = self.questions.of(node.question.id)
        return [question, ways, more] if more else [question, ways]

    def _more(self, node: Node) -> dict[str, Any]:
        found: dict[str, Any] = {
            "a": [self.texts.of(one.sentence) for one in _spoken(node.alerts)],
            "p": [self._stop(one) for one in node.standing],
        }
        if isinstance(node, Asked):
            doubts = {str(i): self.texts.of(w.doubt) for i, w in enumerate(node.ways) if w.doubt}
            bins = [way.bin for way in node.ways if way.bin]
            edges = [one.high for one in bins if one.high is not None]
            found |= {
                "b": [self.texts.of(self._caution(name)) for name in node.before],
                "g": 1 if node.question.again else 0,
                "d": doubts,
                "e": [float(f"{edge:.{DECIMALS}g}") for edge in edges],
                "v": [self.texts.of(one.stands_for) for one in bins],
            }
        return {key: value for key, value in found.items() if value}

    def _caution(self, name: str) -> str:
        return one_line(self.bench.shop.catalogue.cautions[name].text)

    def _stop(self, stop: ActiveStop) -> int:
        number = self.stops.of(stop.id)
        if number == len(self._stops):
            said = {"id": plain(stop.id), "title": stop.stop.title, "do": [*stop.do]}
            self._stops.append(said | {"ends": stop.ends, "endless": int(stop.endless)})
        return number

    def _ending(self, ending: Ending) -> tuple[Any, ...]:
        text = self.texts.of
        causes = tuple(
            part
            for name, p in ending.causes
            for part in (text(self._title(name)), text(chance_word(p)))
        )
        return (
            text(ending.headline),
            text(words.chance(ending.sure)),
            text(words.per_cent(ending.sure)),
            int(ending.settled),
            int(ending.whole),
            causes,
            self._list(ending.steps),
            self._list(ending.mends),
            text(ending.proof),
            self._list(ending.avoid),
        )

    def _title(self, mode: str) -> str:
        return cause_title(self.bench, mode)

    def _list(self, texts: Iterable[str]) -> int:
        return self.lists.of(tuple(map(self.texts.of, texts)))

    # -- questions -------------------------------------------------------------------------------

    def _question(self, name: str) -> dict[str, Any]:
        question = self._walk.ask(name)
        entry = question.entry
        asked = {
            "id": plain(name),
            "ask": one_line(question.sentence),
            "state": words.STATES[entry.state] if entry.state != "off" else "",
            "how": one_line(entry.how),
            "why": one_line(entry.why),
        }
        if isinstance(entry, ReadingEntry):
            return asked | self._reading(question, entry)
        assert isinstance(entry, Observation)
        told = {name: one_line(meaning) for name, meaning in entry.options.items()}
        return asked | {
            "options": [[close(name), words.spaced(name), told[name]] for name in told],
            "takes": " and ".join(question.takes),
            "unsafe": [*map(one_line, entry.unsafe_when)],
        }

    def _reading(self, question: Question, entry: ReadingEntry) -> dict[str, Any]:
        reading, sound = entry.reading, question.expected
        assert sound is not None
        limits = self.bench.shop.catalogue.quantities[reading.quantity]
        points, known = reading.points, shipped_vocabulary().test_points
        bands = [words.band(sound.low, sound.high, reading)]
        if sound.book:
            bands.append(words.band(sound.book.low, sound.book.high, reading))
        return {
            "meter": one_line(limits.how),
            "units": [_unit(unit, reading.unit) for unit in UNITS[reading.unit]],
            "points": [[one, known.get(one, words.spaced(one))] for one in points],
            "sound": bands,
            "least": limits.impossible_below,
            "most": limits.impossible_above,
            "limits": one_line(limits.why),
            "open": int(reading.quantity == "resistance"),
        }


def _spoken(alerts: Iterable[Alert]) -> list[Alert]:
    """Those that say anything here."""
    return [one for one in alerts if one.sentence]


def _unit(unit: str, wanted: str) -> list[Any]:
    """A unit, as it stands in a line of answers, and what turns it into the one wanted: a factor
    and an amount to add."""
    none, one = (read_quantity(f"{number} {unit}", wanted) for number in (0, 1))
    return [unit, close(unit), one - none, none]


class _Numbers:
    """Things in the order in which they were first met, each with its number."""

    def __init__(self) -> None:
        self._known: dict[Any, int] = {}

    def of(self, thing: Any) -> int:
        return self._known.setdefault(thing, len(self._known))

    def __iter__(self) -> Any:
        return iter(self._known)

    def __len__(self) -> int:
        return len(self._known)
