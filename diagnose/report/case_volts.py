"""The volts of one case: what its rig keeps when sound, what the fault leaves, what was read."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from math import log1p

from diagnose.casebook.record import Case, ReadAt
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.meter import Reading
from diagnose.circuit.model import Model
from diagnose.circuit.reading_words import fits
from diagnose.design.volt_plot import Level
from diagnose.errors import DiagnoseError
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.expectations import SEVERITIES, Fault, Healthy, fault_in
from diagnose.reasoning.words import value
from diagnose.report.markup import Html, joined, tag
from diagnose.report.volts_svg import SHOWN_AT, levels, volts_svg

MINUS = ("battery-", "lug-")
"""Where the black probe stands in readings that belong into the picture: the two differ by one
good joint, or by one that is looked for."""


def case_volts(case: Case, book: Catalogue) -> Html:
    """The picture of a case, and a line on where its figures come from. It never contradicts the
    meter: what was measured is drawn in the place of what was computed, and where the two do not
    go together the fault is left out."""
    healthy = Healthy(book, Model.of(case.rig))
    read = [item for item in case.read if fits(item.reading, case.rig)]
    fault = _fault(case, healthy, read)
    volts = [item for item in read if _belongs(item)]
    at = {item.reading.points[0]: item for item in volts if item.reading.points[1] in MINUS}
    off = [item for item in volts if fault and _off(fault, item, healthy) > TOLD]
    odd = next((item for item in off if fault and _denies(fault, item, healthy)), None)
    drawn = _as_measured(levels(case.rig, healthy, None if odd else fault), at, off)
    if odd is None and not _falls(drawn, healthy):
        odd = next(iter(off), None)
        drawn = levels(case.rig, healthy, None) if odd else drawn
    measured = {point: item.value for point, item in at.items()}
    picture = volts_svg(drawn, measured, fault.mode.title if fault and odd is None else "")
    said = _left_out(odd) if odd else _caption(fault, bool(read)) + _differing(off)
    return joined([picture, tag("p", said, class_="soft")])


def _belongs(item: ReadAt) -> bool:
    return item.reading.quantity == "voltage" and item.reading.condition == "calling"


def _as_measured(
    drawn: tuple[Level, ...], at: Mapping[str, ReadAt], off: Sequence[ReadAt]
) -> tuple[Level, ...]:
    """The levels with the measured volts where the computed ones are others."""
    here = {point: item.value for point, item in at.items() if item in off}
    return tuple(
        replace(one, faulty=here[one.point])
        if one.point in here and one.faulty is not None
        else one
        for one in drawn
    )


def _falls(drawn: Sequence[Level], healthy: Healthy) -> bool:
    """Whether the volts fall all the way along the copper, as they must, or as near as a meter
    tells."""
    power = [one for one in drawn[: _end_of_copper(drawn)] if one.faulty is not None]
    for before, after in pairwise(power):
        sound = healthy.expected(Reading("voltage", (after.point, "battery-"), "calling"))
        if (after.faulty or 0.0) - (before.faulty or 0.0) > (sound.high - sound.low) / 2:
            return False
    return True


def _end_of_copper(drawn: Sequence[Level]) -> int:
    """How many of the levels lie on the motor's own way round; the coil's come after them."""
    points = [one.point for one in drawn]
    return points.index("lug-") + 1 if "lug-" in points else len(points)


def _denies(fault: Fault, item: ReadAt, healthy: Healthy) -> bool:
    """Whether the meter says something else than the picture would: good where that has a loss, or
    the other way round; or, between two points, of which no bar can show it, more than SIZE times
    as much or as little."""
    computed = float(fault.circuits.predict(item.reading)[0][0])
    if healthy.verdict(Measured(item.reading, computed)) != item.verdict:
        return True
    larger, less = max(abs(computed), abs(item.value)), min(abs(computed), abs(item.value))
    return item.reading.points[1] not in MINUS and larger > SIZE * less


SIZE = 2.0
"""How many times as large a drop may be as the picture has it; a choice of the picture."""


def _left_out(odd: ReadAt) -> str:
    return (
        "Black on battery-, the pump asked to run: the sound rig, and what was measured. The fault "
        f"is not drawn, since {_named(odd)} does not go together with what is computed for it."
    )


def _differing(off: Sequence[ReadAt]) -> str:
    if not off:
        return ""
    named = "; ".join(map(_named, off))
    return f" The meter showed other volts than were computed, and counts: {named}."


def _named(item: ReadAt) -> str:
    red, black = item.reading.points
    return f"{red} to {black} {item.typed or value(item.value, item.reading)}"


def _caption(fault: Fault | None, measured: bool) -> str:
    said = "Black on battery-, the pump asked to run. Computed for this rig"
    if fault is None:
        return f"{said}."
    how = "as far gone as fits the readings best" if measured else fault.severity
    return f"{said}, with the fault {how}."


def _fault(case: Case, healthy: Healthy, read: Sequence[ReadAt]) -> Fault | None:
    """The cause in this rig's circuit, as far gone as fits the case's readings best; None where
    today's book or the rig has it not."""
    name, severities = case.true_cause or case.cause, [*_severities(read)]
    try:
        found = [fault_in(healthy.catalogue, healthy.model, name, one) for one in severities]
    except DiagnoseError:
        return None
    return min(found, key=lambda fault: sum(log1p(_off(fault, item, healthy)) for item in read))


def _severities(read: Sequence[ReadAt]) -> Iterator[str]:
    """Those that the readings may tell apart: only volts tell a total one from a slight one, since
    nothing gets warm in either."""
    if not read:
        yield SHOWN_AT
        return
    volts = any(map(_belongs, read))
    yield from (name for name, size in SEVERITIES.items() if size <= 1 or volts)


TOLD = 1.0
"""Half-widths of the sound band by which computed and measured volts differ for it to be told."""


def _off(fault: Fault, item: ReadAt, healthy: Healthy) -> float:
    """How far a fault's reading is from what was read, in half-widths of the sound band. Summed by
    logarithms, so that one slip of the meter does not decide."""
    sound = healthy.expected(item.reading)
    wide = max((sound.high - sound.low) / 2, 1e-9)
    return abs(float(fault.circuits.predict(item.reading)[0][0]) - item.value) / wide
