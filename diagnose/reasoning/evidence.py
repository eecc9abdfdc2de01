"""What has been seen and measured, as records; read from words and checked against the rig."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from diagnose.catalogue.records import Catalogue
from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.network import points_on
from diagnose.circuit.reading_words import fits, in_words, reading_of
from diagnose.circuit.rig import Rig
from diagnose.documents import Section
from diagnose.errors import BadQuantity, DiagnoseError, Place, UnknownName, nearest, quoted
from diagnose.reasoning.stated import Stated, stated
from diagnose.reasoning.words import as_id


@dataclass(frozen=True)
class Seen:
    """One answer to an observation; sure: given twice alike; reported: told unasked at first."""

    observation: str
    option: str
    sure: bool = False
    reported: bool = field(default=False, compare=False)

    @property
    def id(self) -> str:
        return self.observation


@dataclass(frozen=True)
class Measured:
    """One reading taken; value in the reading's unit, ohms above the range as LARGEST_OHMS;
    sure: taken twice alike; resolution: width of what was stated, 12 V being 11.5 to 12.5 V, 0
    where only the meter limits it; typed: as it was typed, "" where nobody typed it."""

    reading: Reading
    value: float
    sure: bool = False
    resolution: float = 0.0
    typed: str = field(default="", compare=False)

    @property
    def id(self) -> str:
        return str(self.reading)

    @property
    def ends(self) -> tuple[float, float]:
        """The least and the most that was stated."""
        return self.value - self.resolution / 2, self.value + self.resolution / 2


def apart(a: Measured, b: Measured) -> float:
    """How far two readings are apart, beyond what their last digits leave open."""
    return abs(a.value - b.value) - (a.resolution + b.resolution) / 2


Evidence = Seen | Measured
OVER_RANGE = {"ol", "o.l", "o.l.", "0l", "open", "inf", "infinite", "over", "overload"}


class NotOnThisRig(DiagnoseError):
    """A test point, a reading or an observation that this rig does not have."""


class Impossible(DiagnoseError):
    """A value that no meter on a 12 V rig can show."""


def seen(
    catalogue: Catalogue,
    facts: Mapping[str, str],
    name: str,
    option: str,
    place: Place | None = None,
) -> Seen:
    """A checked answer to an observation. Raises UnknownName or NotOnThisRig."""
    observation = catalogue.observations.get(name)
    if observation is None:
        hint = nearest(name, catalogue.observations)
        raise UnknownName("observation", name, place, hint)
    if option not in observation.options:
        hint = nearest(option, observation.options)
        raise UnknownName(f"answer to {name}", option, place, hint, tuple(observation.options))
    for fact, values in observation.applies.items():
        if facts.get(fact) not in values:
            raise NotOnThisRig(
                f"{name} needs {fact} {' or '.join(values)}; this rig has {facts.get(fact)}.", place
            )
    return Seen(name, option)


def value_of(text: str, reading: Reading, place: Place | None = None) -> float:
    """A typed value in the reading's unit; "OL" counts for ohms. Raises BadQuantity."""
    return stated_of(text, reading, place).value


def stated_of(text: str, reading: Reading, place: Place | None = None) -> Stated:
    """The same with how exactly it was stated."""
    over = Stated(LARGEST_OHMS, 0.0, "")
    if text.strip().lower().removesuffix("ohm").strip() in OVER_RANGE:
        if reading.quantity == "resistance":
            return over
        said = f"{quoted(text)} is an ohms display; {in_words(reading)} needs a value"
        raise BadQuantity(said, place)
    found = stated(text, reading.unit, place)
    return over if reading.quantity == "resistance" and found.value >= LARGEST_OHMS else found


def measured(
    catalogue: Catalogue, rig: Rig, reading: Reading, text: str | float, place: Place | None = None
) -> Measured:
    """A checked reading, as exact as its text says; a bare number is as exact as the meter.
    Raises NotOnThisRig, BadQuantity or Impossible."""
    if not fits(reading, rig):
        raise NotOnThisRig(f"{in_words(reading)}: this rig has no such point.", place)
    found = stated_of(str(text), reading, place)
    value = found.value
    limits = catalogue.quantities[reading.quantity]
    outside = not limits.impossible_below <= value <= limits.impossible_above
    if outside and value != LARGEST_OHMS:
        said = f"{value:g} {reading.unit} is not possible here: {limits.why.strip()}"
        raise Impossible(f"{in_words(reading)}: {said}", place)
    if not isinstance(text, str):
        return Measured(reading, value)
    return Measured(reading, value, resolution=found.resolution, typed=found.typed)


_READ = re.compile(r"(?P<what>[^=]+)=(?P<value>.+)", re.DOTALL)
_SEEN = re.compile(r"(?P<what>[^=]+)=(?P<option>[^=]+)")


def seen_of(text: str, catalogue: Catalogue, facts: Mapping[str, str], place: Place) -> Seen:
    """`relay-sound=chatters`, or the same as it stands on the screen, as a Seen."""
    match = _SEEN.fullmatch(text)
    if not match:
        raise BadQuantity(f"{quoted(text)} is not observation=answer", place)
    return seen(catalogue, facts, as_id(match["what"]), as_id(match["option"]), place)


def measured_of(text: str, catalogue: Catalogue, rig: Rig, place: Place) -> Measured:
    """`voltage motor+ motor- calling = 11.2 V` as a Measured."""
    match = _READ.fullmatch(text)
    if not match:
        raise BadQuantity(f"{quoted(text)} is not 'reading = value'", place)
    reading = reading_of(match["what"], place, points_on(rig))
    return measured(catalogue, rig, reading, match["value"].strip(), place)


def answers_of(
    document: Section, catalogue: Catalogue, rig: Rig, facts: Mapping[str, str]
) -> list[Evidence]:
    """The evidence of an answers file: `seen:` a mapping, `read:` a list of readings.

    Raises Mistakes with every problem of the file at once.
    """
    found: list[Evidence] = []
    if document.has("seen"):
        part = document.section("seen")
        for name in part:
            try:
                found.append(seen(catalogue, facts, name, part.text(name), part.place_of(name)))
            except DiagnoseError as problem:
                document.problem(problem)
    for line, place in document.placed("read"):
        try:
            found.append(measured_of(line, catalogue, rig, place))
        except DiagnoseError as problem:
            document.problem(problem)
    document.finish()
    return found


def latest(evidence: list[Evidence]) -> tuple[Evidence, ...]:
    """Each test once, its last answer, in a fixed order: asking again replaces, it never adds."""
    return tuple(item for _, item in sorted({item.id: item for item in evidence}.items()))
