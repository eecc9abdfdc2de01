"""The volts of one case: what its rig keeps when sound, what the fault leaves, what was read."""

from __future__ import annotations

from collections.abc import Sequence
from math import log1p

from diagnose.casebook.record import Case, ReadAt
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.operate import Model
from diagnose.circuit.reading_words import fits
from diagnose.errors import DiagnoseError
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.expecting import SEVERITIES, Fault, fault_in
from diagnose.report.fault_volts import SHOWN_AT, levels
from diagnose.report.markup import Html, joined, tag
from diagnose.report.volts_svg import volts_svg

MINUS = ("battery-", "lug-")
"""Where the black probe stands in readings that belong into the picture: the two differ by one
good joint, or by one that is looked for."""


def case_volts(case: Case, book: Catalogue) -> Html:
    """The picture of a case, and a line on where its figures come from."""
    healthy = Healthy(book, Model.of(case.rig))
    read = [item for item in case.read if fits(item.reading, case.rig)]
    fault = _fault(case, healthy, read)
    measured = {
        item.reading.points[0]: item.value
        for item in read
        if item.reading.quantity == "voltage"
        and item.reading.condition == "calling"
        and item.reading.points[1] in MINUS
    }
    title = fault.mode.title if fault else ""
    picture = volts_svg(levels(case.rig, healthy, fault), measured, title)
    return joined([picture, tag("p", _caption(fault, bool(read)), class_="soft")])


def _caption(fault: Fault | None, measured: bool) -> str:
    said = "Black on battery-, the pump called. Computed for this rig"
    if fault is None:
        return f"{said}."
    how = "as far gone as fits the readings best" if measured else fault.severity
    return f"{said}, with the fault {how}."


def _fault(case: Case, healthy: Healthy, read: Sequence[ReadAt]) -> Fault | None:
    """The cause in this rig's circuit, as far gone as fits the case's readings best; None where
    today's book or the rig has it not."""
    name, severities = case.true_cause or case.cause, SEVERITIES if read else (SHOWN_AT,)
    try:
        found = [fault_in(healthy.catalogue, healthy.model, name, one) for one in severities]
    except DiagnoseError:
        return None
    return min(found, key=lambda fault: sum(_off(fault, item, healthy) for item in read))


def _off(fault: Fault, item: ReadAt, healthy: Healthy) -> float:
    """How far a fault's reading is from what was read, in half-widths of the sound band; by its
    logarithm, so that one slip of the meter does not decide."""
    sound = healthy.expected(item.reading)
    wide = max((sound.high - sound.low) / 2, 1e-9)
    off = abs(float(fault.circuits.predict(item.reading)[0][0]) - item.value)
    return log1p(off / wide)
