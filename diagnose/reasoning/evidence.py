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
from diagnose.reasoning.words import as_id
from diagnose.units import read_quantity


@dataclass(frozen=True)
class Seen:
    """One answer to an observation. sure: given twice alike; reported: told unasked at first."""

    observation: str
    option: str
    sure: bool = False
    reported: bool = field(default=False, compare=False)

    @property
    def id(self) -> str:
        """That of the test."""
        return self.observation


@dataclass(frozen=True)
class Measured:
    """One reading taken.

    value: in the reading's unit, ohms above the meter's range as LARGEST_OHMS; sure: taken twice
    alike; resolution: width of what was stated, 12 V being 11.5 to 12.5 V, 0 where only the meter
    limits it; typed: as it was typed, "" where nobody typed it.
    """

    reading: Reading
    value: float
    sure: bool = False
    resolution: float = 0.0
    typed: str = field(default="", compare=False)

    @property
    def id(self) -> str:
        """That of the test."""
        return str(self.reading)

    @property
    def ends(self) -> tuple[float, float]:
        """The least and the most that was stated, in the reading's unit."""
        return self.value - self.resolution / 2, self.value + self.resolution / 2


Evidence = Seen | Measured


def gap(a: Measured, b: Measured) -> float:
    """How far two readings are apart, beyond what their last digits leave open, in their unit."""
    return abs(a.value - b.value) - (a.resolution + b.resolution) / 2


def latest(evidence: list[Evidence]) -> tuple[Evidence, ...]:
    """Each test once, its last answer, in a fixed order: asking again replaces, it never adds.

    >>> [item.option for item in latest([Seen("flow", "weak"), Seen("flow", "none")])]
    ['none']
    """
    return tuple(item for _, item in sorted({item.id: item for item in evidence}.items()))


class NotOnThisRig(DiagnoseError):
    """A test point, a reading or an observation that this rig does not have."""


class Impossible(DiagnoseError):
    """A value that no meter on a 12 V rig can show."""


OVER_RANGE = {"ol", "o.l", "o.l.", "0l", "open", "inf", "infinite", "over", "overload"}
"""What an ohmmeter's display says, as people type it, where the resistance is beyond its range."""

_ABOUT = re.compile(
    r"\s*(?:~|≈|(?:about|approximately|approx\.?|around|roughly|circa|ca\.?)(?![a-z]))\s*", re.I
)
_NUMBER = re.compile(
    r"\s*(?P<whole>[-+−]?[0-9]*)(?:[.,](?P<after>[0-9]+))?(?:[eE](?P<power>[-+]?[0-9]+))?"
    r"(?P<unit>.*)",
    re.DOTALL,
)
_READ = re.compile(r"(?P<what>[^=]+)=(?P<value>.+)", re.DOTALL)
_SEEN = re.compile(r"(?P<what>[^=]+)=(?P<option>[^=]+)")


@dataclass(frozen=True)
class StatedValue:
    """A value as it was stated, in the unit wanted. resolution: width of what it may stand for, the
    step of its last digit: "12" is anything from 11.5 to 12.5; typed: as it is shown."""

    value: float
    resolution: float
    typed: str


def parse_stated(text: str, unit: str, place: Place | None = None) -> StatedValue:
    """What was typed, and how exactly. Raises BadQuantity.

    "about" adds a whole step of the last digit on top of its rounding: "about 12" may be anything
    from 11 to 13.

    >>> parse_stated("12.4", "V")
    StatedValue(value=12.4, resolution=0.1, typed='12.4 V')
    >>> parse_stated("about 12", "V").resolution
    2.0
    """
    hedge = _ABOUT.match(text)
    number = text[hedge.end() :] if hedge else text
    value = read_quantity(number, unit, place)
    resolution = _step(number, unit) * (2 if hedge else 1)
    return StatedValue(value, resolution, f"{'about ' if hedge else ''}{_tidy(number, unit)}")


def _step(number: str, unit: str) -> float:
    """One step of the last digit that was given, in the unit wanted."""
    found = _NUMBER.fullmatch(number)
    assert found is not None  # read_quantity took it
    power = int(found["power"] or 0) - len(found["after"] or "")
    ends = (read_quantity(f"{size}{found['unit']}", unit) for size in ("0", f"1e{power}"))
    none, one = ends
    return one - none


def _tidy(number: str, unit: str) -> str:
    """The number with the digits given, and its unit in one spelling."""
    found = _NUMBER.fullmatch(number)
    assert found is not None
    written = found["unit"].strip()
    same = not written or read_quantity(f"1 {written}", unit) == 1.0
    digits = number[: found.start("unit")].strip().replace(",", ".")
    return f"{digits} {unit if same else written}".strip()


def parse_reading_value(text: str, reading: Reading, place: Place | None = None) -> StatedValue:
    """A typed value in the reading's unit, and how exactly it was stated; "OL" counts for ohms.
    Raises BadQuantity."""
    over = StatedValue(LARGEST_OHMS, 0.0, "")
    if text.strip().lower().removesuffix("ohm").strip() in OVER_RANGE:
        if reading.quantity == "resistance":
            return over
        said = f"{quoted(text)} is an ohms display; {in_words(reading)} needs a value"
        raise BadQuantity(said, place)
    found = parse_stated(text, reading.unit, place)
    return over if reading.quantity == "resistance" and found.value >= LARGEST_OHMS else found


def value_of(text: str, reading: Reading, place: Place | None = None) -> float:
    """The value alone, in the reading's unit. Raises BadQuantity."""
    return parse_reading_value(text, reading, place).value


def check_answer(
    catalogue: Catalogue,
    facts: Mapping[str, str],
    name: str,
    option: str,
    place: Place | None = None,
) -> Seen:
    """An answer to an observation, by its ids, checked against the book and the rig.

    facts: of the rig (design.facts.rig_facts). Raises UnknownName or NotOnThisRig.
    """
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


def check_reading(
    catalogue: Catalogue, rig: Rig, reading: Reading, text: str | float, place: Place | None = None
) -> Measured:
    """A reading checked against the book and the rig, as exact as its text says; a bare number is
    as exact as the meter. Raises NotOnThisRig, BadQuantity or Impossible."""
    if not fits(reading, rig):
        raise NotOnThisRig(f"{in_words(reading)}: this rig has no such point.", place)
    found = parse_reading_value(str(text), reading, place)
    value = found.value
    limits = catalogue.quantities[reading.quantity]
    outside = not limits.impossible_below <= value <= limits.impossible_above
    if outside and value != LARGEST_OHMS:
        said = f"{value:g} {reading.unit} is not possible here: {limits.why.strip()}"
        raise Impossible(f"{in_words(reading)}: {said}", place)
    if not isinstance(text, str):
        return Measured(reading, value)
    return Measured(reading, value, resolution=found.resolution, typed=found.typed)


def parse_answer(text: str, catalogue: Catalogue, facts: Mapping[str, str], place: Place) -> Seen:
    """`relay-sound=chatters`, or the same as it stands on the screen, as a Seen. Raises as
    check_answer does, or BadQuantity where there is no `=`."""
    match = _SEEN.fullmatch(text)
    if not match:
        raise BadQuantity(f"{quoted(text)} is not observation=answer", place)
    return check_answer(catalogue, facts, as_id(match["what"]), as_id(match["option"]), place)


def parse_reading(text: str, catalogue: Catalogue, rig: Rig, place: Place) -> Measured:
    """`voltage motor+ motor- calling = 11.2 V` as a Measured. Raises as check_reading does, or
    BadQuantity where there is no `=`."""
    match = _READ.fullmatch(text)
    if not match:
        raise BadQuantity(f"{quoted(text)} is not 'reading = value'", place)
    reading = reading_of(match["what"], place, points_on(rig))
    return check_reading(catalogue, rig, reading, match["value"].strip(), place)


def read_answers(
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
                place = part.place_of(name)
                found.append(check_answer(catalogue, facts, name, part.text(name), place))
            except DiagnoseError as problem:
                document.problem(problem)
    for line, place in document.placed("read"):
        try:
            found.append(parse_reading(line, catalogue, rig, place))
        except DiagnoseError as problem:
            document.problem(problem)
    document.finish()
    return found
