"""What a failure mode is made of: what it does to the circuit, how often it comes, its proof."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from diagnose.annotations import At, From, In, Limits, Name, Unsaid, Unwritten
from diagnose.catalogue.entry_parts import Amount, AReading, Basis, Shows, Some, When
from diagnose.circuit.parameters import NAMES, OF_A_PART, OPEN, unit_of
from diagnose.documents import Section
from diagnose.errors import BadQuantity, UnknownName, nearest
from diagnose.units import read_quantity

OPERATIONS, AXES = ("add", "times", "set"), ("a", "b")
PARAMETERS = frozenset((*NAMES, *OF_A_PART))


@dataclass(frozen=True)
class Change:
    """What an effect does to one circuit parameter: operation add, times or set, from mild to
    severe, in the parameter's unit (circuit.parameters.unit_of). axis: changes on one axis grow
    worse together; bounded: it never goes further than severe, and not to the physical end."""

    parameter: Annotated[str, Name()]
    operation: str
    mild: float
    severe: float
    axis: str = "a"
    bounded: bool = False

    @property
    def has_range(self) -> bool:
        return self.mild != self.severe


def _changes(section: Section, _: object) -> tuple[Change, ...]:
    """What stands under `sets`: parameter to operation and amounts."""
    sets = section.section("sets", default=None)
    changes = () if sets is None else [_change(sets, name) for name in sets]
    return tuple(change for change in changes if change)


def _change(sets: Section, parameter: str) -> Change | None:
    part = sets.section(parameter)
    operation = part.only(OPERATIONS)
    axis, bounded = part.choice("axis", AXES, AXES[0]), part.flag("bounded", default=False)
    if parameter not in PARAMETERS:
        hint = nearest(parameter, PARAMETERS)
        sets.problem(UnknownName("circuit parameter", parameter, sets.place_of(parameter), hint))
    elif operation:
        raw = part.raw(operation)
        ends = raw if isinstance(raw, list) else [raw]
        if ends is not raw or len(ends) == 2:
            amounts = [_amount(part, operation, parameter, end) for end in ends]
            return Change(parameter, operation, amounts[0], amounts[-1], axis, bounded)
        part.wrong(operation, "give one value, or [mild, severe]")
    return None


def _amount(part: Section, operation: str, parameter: str, value: object) -> float:
    """One end of a change: `open`, or a float in the parameter's unit, or a ratio for `times`."""
    unit = "1" if operation == "times" else unit_of(parameter)
    if value == "open" and operation == "set" and unit == "ohm":
        return OPEN
    try:
        text = value if isinstance(value, str | int | float) else str(value)
        return read_quantity(text, "" if unit == "1" else unit, part.place_of(operation))
    except BadQuantity as error:
        part.problem(error)
        return 1.0


@dataclass(frozen=True)
class Effect:
    """One way in which a failure mode changes the circuit; `share` of its cases."""

    name: str
    share: Annotated[float, Limits(0.0, 1.0), Unsaid(1.0)]
    changes: Annotated[tuple[Change, ...], From(_changes)]
    basis: Basis
    why: str
    shows: Shows


@dataclass(frozen=True)
class Prior:
    """Cases per 1000 on rigs where the failure mode applies, estimated; counted: what recorded
    cases make of the estimate, times (base_rates.py)."""

    weight: Amount
    basis: Basis
    why: str
    counted: Annotated[float, Unwritten()] = 1.0


@dataclass(frozen=True)
class PriorFactor:
    """What multiplies the prior on rigs where `when` holds."""

    when: When
    times: Amount
    because: str


@dataclass(frozen=True)
class RootCause:
    """Why the failure mode came about, and what mends that; `when` rig facts it depends on."""

    cause: str
    mend: str
    when: When


@dataclass(frozen=True)
class Verify:
    """The reading that proves the fix. below, above: limits in the reading's unit, or None for
    the healthy band of the rig."""

    reading: Annotated[AReading, At("read")]
    below: Annotated[float | None, In(of="reading.unit"), Unsaid(None)]
    above: Annotated[float | None, In(of="reading.unit"), Unsaid(None)]
    why: Some
    expect: Literal["healthy"] = "healthy"
