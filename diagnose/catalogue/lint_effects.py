"""Checks on what a failure mode does to the circuit."""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.catalogue.entry_parts import Change, Effect
from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.catalogue.records import FailureMode
from diagnose.catalogue.rig_shapes import Shape
from diagnose.circuit.parameters import FLAGS, OPEN, RESISTANCES, unit_of
from diagnose.errors import Place, quoted
from diagnose.record_places import under

_NO_CHANGE = {"add": 0.0, "times": 1.0}


@check("K301", Severity.MUST_FIX)
def shares_sum_to_one(knowledge: Knowledge) -> Found:
    """The shares of a failure mode's effects sum to 1, and none is 0."""
    for mode in knowledge.catalogue.failure_modes.values():
        total = sum(effect.share for effect in mode.effects)
        if not math.isclose(total, 1.0, abs_tol=1e-6):
            yield under(mode.place, "effects"), f"the shares sum to {total:.3g}, not to 1"
        for number, effect in enumerate(mode.effects, 1):
            if effect.share == 0:
                yield under(mode.place, "effects", number, "share"), "an effect with no cases"


@check("K302", Severity.MUST_FIX)
def effect_does_something(knowledge: Knowledge) -> Found:
    """An effect changes the circuit or shows something of its own."""
    for place, effect, mode in knowledge.every(Effect):
        if not effect.changes and not effect.shows and not mode.shows:
            yield place, "changes nothing and shows nothing"


@check("K303", Severity.MUST_FIX)
def effect_bears_on_some_rig(knowledge: Knowledge) -> Found:
    """An effect changes a part that some rig with this failure mode has."""
    for place, effect, mode in knowledge.every(Effect):
        shapes = [*_on(knowledge, mode)]
        names = [change.parameter for change in effect.changes]
        if names and not any(shape.bears(mode, name) for shape in shapes for name in names):
            yield under(place, "sets"), "no rig that can have this failure mode has these parts"


@check("K304", Severity.SHOULD_FIX)
def every_change_bears_on_some_rig(knowledge: Knowledge) -> Found:
    """Every parameter of an effect has a part in some rig with this failure mode."""
    for place, effect, mode in knowledge.every(Effect):
        shapes = [*_on(knowledge, mode)]
        for name in (change.parameter for change in effect.changes):
            if not any(shape.bears(mode, name) for shape in shapes):
                yield under(place, "sets", name), f"no such rig has {quoted(name)}"


def _on(knowledge: Knowledge, mode: FailureMode) -> Iterator[Shape]:
    return (shape for shape in knowledge.shapes if shape.may(mode.applies))


def _changes(knowledge: Knowledge) -> Iterator[tuple[Place, Change]]:
    for place, effect, _ in knowledge.every(Effect):
        for change in effect.changes:
            yield under(place, "sets", change.parameter, change.operation), change


@check("K305", Severity.MUST_FIX)
def change_changes_something(knowledge: Knowledge) -> Found:
    """Nothing is multiplied by 1, and nothing has 0 added to it, at its worst."""
    for place, change in _changes(knowledge):
        if change.severe == _NO_CHANGE.get(change.operation):
            yield place, f"{change.operation} {change.severe:g} changes nothing"


@check("K306", Severity.MUST_FIX)
def change_is_possible(knowledge: Knowledge) -> Found:
    """A flag is set to 0 or 1, and no resistance falls below nothing."""
    for place, change in _changes(knowledge):
        ends = {change.mild, change.severe}
        if change.parameter in FLAGS:
            if change.operation != "set" or not ends <= {0.0, 1.0}:
                yield place, "a flag can only be set, to 0 or to 1"
        elif change.parameter in RESISTANCES and min(ends) < 0:
            yield place, "a resistance cannot fall below 0 ohm"


@check("K307", Severity.SHOULD_FIX)
def change_grows_worse(knowledge: Knowledge) -> Found:
    """A range goes from mild to severe: what is added or multiplied moves away from no change."""
    for place, change in _changes(knowledge):
        if change.operation != "set" and _size(change, change.mild) > _size(change, change.severe):
            yield place, "the first end is further from a sound rig than the second: [mild, severe]"


def _size(change: Change, value: float) -> float:
    """How far a value is from changing nothing."""
    if change.operation == "add":
        return abs(value)
    return abs(math.log(value)) if value > 0 else math.inf


@check("K308", Severity.NOTE)
def effect_has_a_range(knowledge: Knowledge) -> Found:
    """An effect that is neither a flag nor an open part reaches from mild to severe."""
    for place, effect, _ in knowledge.every(Effect):
        if effect.changes and not any(map(_is_graded, effect.changes)):
            yield under(place, "sets"), "comes in one size only: is it never milder or worse?"


def _is_graded(change: Change) -> bool:
    """Whether a change has a range, or is of a kind that needs none."""
    return change.mild != change.severe or change.parameter in FLAGS or change.severe == OPEN


@check("K309", Severity.SHOULD_FIX)
def quantity_has_its_unit(knowledge: Knowledge) -> Found:
    """A quantity is written with its unit."""
    for place, unit in _quantities(knowledge):
        value = knowledge.written.value(place)
        ends = value if isinstance(value, list) else [value]
        if any(isinstance(end, int | float) for end in ends):
            yield place, f"say the unit, such as '1 {unit}'"


def _quantities(knowledge: Knowledge) -> Iterator[tuple[Place, str]]:
    """Every place where a quantity stands, with its unit."""
    for place, change in _changes(knowledge):
        unit = unit_of(change.parameter)
        if change.operation != "times" and unit != "1":
            yield place, unit
    for mode in knowledge.catalogue.failure_modes.values():
        for key in ("below", "above"):
            yield under(mode.place, "verify", key), mode.verify.reading.unit


@check("K310", Severity.SHOULD_FIX)
def effects_have_names_of_their_own(knowledge: Knowledge) -> Found:
    """The effects of a failure mode are told apart by their names."""
    for mode in knowledge.catalogue.failure_modes.values():
        names = [effect.name for effect in mode.effects]
        for number, name in enumerate(names):
            if name in names[:number]:
                yield under(mode.place, "effects", number + 1, "name"), f"{quoted(name)} is taken"
