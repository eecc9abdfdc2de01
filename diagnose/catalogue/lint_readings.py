"""Checks on readings and on the quantities that are read."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.circuit.meter import Reading
from diagnose.errors import Place
from diagnose.field_types import unknown
from diagnose.record_places import under

_WITH_UNITS = ("meter.absolute", "impossible_above", "impossible_below")


@check("K601", Severity.MUST_FIX)
def reading_can_be_taken(knowledge: Knowledge) -> Found:
    """A reading can be taken on some rig: one that it applies to, and that has its points."""
    for entry in knowledge.catalogue.readings.values():
        if not any(shape.has(entry) for shape in knowledge.shapes):
            yield under(entry.place, "read"), "no rig that it applies to has these points"


@check("K602", Severity.MUST_FIX)
def state_is_the_condition(knowledge: Knowledge) -> Found:
    """The state of the rig during a reading is the condition that the reading names."""
    for entry in knowledge.catalogue.readings.values():
        if entry.state != entry.reading.condition:
            yield under(entry.place, "state"), f"the reading is for {entry.reading.condition}"


@check("K603", Severity.MUST_FIX)
def quantity_is_described(knowledge: Knowledge) -> Found:
    """Every reading is of a quantity that readings.yaml describes."""
    known = knowledge.catalogue.quantities
    for entry in knowledge.catalogue.readings.values():
        if entry.reading.quantity not in known:
            yield under(entry.place, "read"), unknown("quantity", entry.reading.quantity, known)


@check("K604", Severity.NOTE)
def quantity_is_read(knowledge: Knowledge) -> Found:
    """Every quantity of readings.yaml is read somewhere."""
    read = {entry.reading.quantity for entry in knowledge.catalogue.readings.values()}
    for quantity in knowledge.catalogue.quantities.values():
        if quantity.name not in read:
            yield quantity.place, "no reading is of this quantity"


@check("K605", Severity.MUST_FIX)
def limits_leave_room(knowledge: Knowledge) -> Found:
    """A meter has an error above 0, and what it can show lies between two limits."""
    for quantity in knowledge.catalogue.quantities.values():
        if quantity.relative <= 0 and quantity.absolute <= 0:
            yield under(quantity.place, "meter"), "a meter without any error does not exist"
        if quantity.impossible_below >= quantity.impossible_above:
            place = under(quantity.place, "impossible_below")
            yield place, "must be below impossible_above"


@check("K606", Severity.SHOULD_FIX)
def figure_of_a_meter_has_its_unit(knowledge: Knowledge) -> Found:
    """The error of a meter and its limits are written with their unit."""
    for quantity in knowledge.catalogue.quantities.values():
        for place in (under(quantity.place, key) for key in _WITH_UNITS):
            if isinstance(knowledge.written.value(place), int | float):
                yield place, f"say the unit, such as '1 {quantity.unit}'"


@check("K607", Severity.SHOULD_FIX)
def reading_stands_once(knowledge: Knowledge) -> Found:
    """No reading is there a second time with its probes exchanged."""
    first: dict[tuple[str, frozenset[str], str], Reading] = {}
    for place, reading in _readings(knowledge):
        key = (reading.quantity, frozenset(reading.points), reading.condition)
        if key in first:
            yield place, f"'{first[key]}' is the same with the probes exchanged"
        first.setdefault(key, reading)


def _readings(knowledge: Knowledge) -> Iterator[tuple[Place, Reading]]:
    for entry in knowledge.catalogue.readings.values():
        yield under(entry.place, "read"), entry.reading
