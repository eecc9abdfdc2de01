"""The sentences of the corpus, and how one that was read compares with what a fitter takes down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import holds
from diagnose.circuit.model import Model
from diagnose.circuit.reading_words import fits, reading_of
from diagnose.circuit.rig import Rig, open_rig
from diagnose.design.facts import rig_facts
from diagnose.phrases import EITHER, Understood, understand
from diagnose.phrases.likeness import Likeness
from diagnose.units import read_quantity

HERE = Path(__file__).parent
VERDICTS = ("fully", "partly", "not", "wrongly")
RIGS = ("bowser", "header-tank", "mist-bench")

Sign = tuple[str, str]
"""An observation and an option, or a reading and its value."""

IMPLIES: Mapping[Sign, tuple[Sign, ...]] = {
    **{
        ("cycling-interval", often): (("pump-when-satisfied", "restarts-by-itself"),)
        for often in ("seconds", "minutes", "hours")
    },
    ("priming", "never"): (("flow", "none"),),
    ("smoke", "still-smoking"): (("smoke", "seen"),),
    ("time-pattern", "after-minutes-until-cool"): (("pump-action", "starts-then-stops"),),
}
"""What holds wherever something else does, by what the answers mean in the book."""


@dataclass(frozen=True)
class Scored:
    """A text, what became of it, and what was missed or taken wrongly. named: all that it means
    stands among what is taken or asked."""

    id: str
    kind: str
    text: str
    verdict: str
    missed: tuple[str, ...]
    wrong: tuple[str, ...]
    named: bool


def texts(name: str) -> list[Mapping[str, Any]]:
    """The texts of a part of the corpus: open, second, kept, fourth or third."""
    found = yaml.safe_load((HERE / f"{name}.yaml").read_text(encoding="utf-8"))
    assert isinstance(found, list)
    return found


@cache
def _rig(name: str) -> tuple[Rig, Mapping[str, str]]:
    rig = open_rig(name)
    return rig, rig_facts(Model.of(rig))


def fits_a_rig(text: Mapping[str, Any]) -> bool:
    """Whether one of the rigs has everything that the text speaks of."""
    return any(_speaks_of(text, name) for name in RIGS)


def meant(text: Mapping[str, Any]) -> set[Sign]:
    """The signs that a text means, with what follows from them, without what it denies."""
    means = {(one["observation"], one["option"]) for one in text["means"]}
    denied = {(one["observation"], one["option"]) for one in text.get("denies", [])}
    return (means | {other for one in means for other in IMPLIES.get(one, ())}) - denied


def rig_for(text: Mapping[str, Any]) -> tuple[Rig, Mapping[str, str]]:
    """The first bundled rig that has everything that the text speaks of."""
    return next((_rig(name) for name in RIGS if _speaks_of(text, name)), _rig(RIGS[0]))


def _speaks_of(text: Mapping[str, Any], name: str) -> bool:
    rig, facts = _rig(name)
    book = shipped_catalogue().observations
    asked = text.get("question", "")
    names = [one["observation"] for one in text["means"]] + [asked] * (asked in book)
    here = all(holds(book[one].applies, facts) for one in names if one in book)
    return here and all(fits(reading_of(one), rig) for one, _ in _readings(text, "readings"))


def read(text: Mapping[str, Any], likeness: Likeness | None = None) -> Understood:
    """What the program makes of a text; likeness: another than it comes with."""
    rig, facts = rig_for(text)
    book, asked = shipped_catalogue(), text.get("question")
    return understand(text["text"], book, facts, rig, asked, likeness=likeness)


def score(text: Mapping[str, Any], likeness: Likeness | None = None) -> Scored:
    """What became of a text; likeness: another than the program comes with."""
    found = read(text, likeness)
    sure = {(one["observation"], one["option"]) for one in text["means"] if one["sure"] == "sure"}
    means = {(one["observation"], one["option"]) for one in text["means"]}
    taken = {(one.observation, one.option) for one in found.matches if one.strength != EITHER}
    named = {(one.observation, one.option) for one in found.matches}
    missed = [
        " ".join(one) for one in sorted(means) if one not in (taken if one in sure else named)
    ]
    wrong = [" ".join(one) for one in sorted(taken - meant(text))]
    missed_readings = list(_missed_readings(text, found))
    missed += missed_readings
    wrong += _wrong_readings(text, found)
    something = len(means) + len(_readings(text, "readings", "readings_likely"))
    return Scored(
        text["id"],
        text["kind"],
        text["text"],
        _verdict(something, missed, wrong),
        tuple(missed),
        tuple(wrong),
        means <= named and not missed_readings,
    )


def _verdict(something: int, missed: list[str], wrong: list[str]) -> str:
    if wrong:
        return "wrongly"
    if not missed:
        return "fully"
    return "partly" if len(missed) < something else "not"


def _readings(text: Mapping[str, Any], *keys: str) -> list[tuple[str, str]]:
    return [
        (name, value)
        for key in keys
        for name, value in (one.split(" = ") for one in text.get(key, []))
    ]


def _missed_readings(text: Mapping[str, Any], found: Understood) -> Iterator[str]:
    taken = [(one.reading, one.value) for one in found.readings if one.strength != EITHER]
    named = [(one.reading, one.value) for one in found.readings]
    for key, heard in (("readings", taken), ("readings_likely", named)):
        for one in _readings(text, key):
            if not any(_alike(one, other) for other in heard):
                yield " = ".join(one)


def _wrong_readings(text: Mapping[str, Any], found: Understood) -> Iterator[str]:
    meant = _readings(text, "readings", "readings_likely")
    for one in found.readings:
        told = one.reading, one.value
        if one.strength != EITHER and not any(_alike(told, other) for other in meant):
            yield " = ".join(told)


def _alike(one: Sign, other: Sign) -> bool:
    """Whether two readings are the same, whichever probe is which, with the same value."""
    a, b = reading_of(one[0]), reading_of(other[0])
    if (a.quantity, a.condition) != (b.quantity, b.condition):
        return False
    if set(a.points) != set(b.points):
        return False
    if "open" in (one[1], other[1]):
        return one[1] == other[1]
    first, second = (read_quantity(value, a.unit) for value in (one[1], other[1]))
    return abs(first - second) <= 0.01 * max(abs(first), abs(second))
