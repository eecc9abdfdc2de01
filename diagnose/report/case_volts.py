"""The volts of one case: what its rig keeps when sound, what the fault leaves, what was read."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.casebook.record import Case, ReadAt
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.operate import Model
from diagnose.circuit.reading_words import fits
from diagnose.design.volt_plot import Level, way_round
from diagnose.errors import DiagnoseError
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.expecting import SEVERITIES, Fault, along, fault_in
from diagnose.report.markup import Html
from diagnose.report.volts_svg import volts_svg

MINUS = ("battery-", "lug-")
"""Where the black probe stands in readings that belong into the picture: the two differ by one
good joint, or by one that is looked for."""


def case_volts(case: Case, book: Catalogue) -> Html:
    """The picture of a case."""
    model = Model.of(case.rig)
    fault = _fault(case, book, model)
    lines = {one.reading.points[0]: one for one in along(case.rig, Healthy(book, model), fault)}
    levels = [
        Level(point, lines[point].sound.value, lines[point].faulty)
        for point in way_round(case.rig)
        if point in lines
    ]
    measured = {
        item.reading.points[0]: item.value
        for item in _volts(case)
        if item.reading.condition == "calling" and item.reading.points[1] in MINUS
    }
    return volts_svg(levels, measured, fault.mode.title if fault else "")


def _fault(case: Case, book: Catalogue, model: Model) -> Fault | None:
    """The cause in this rig's circuit, as far gone as fits the case's readings best; None where
    today's book or the rig has it not."""
    name = case.true_cause or case.cause
    try:
        found = [fault_in(book, model, name, severity) for severity in SEVERITIES]
    except DiagnoseError:
        return None
    return min(found, key=lambda fault: _misfit(fault, case))


def _misfit(fault: Fault, case: Case) -> float:
    """How far the volts of a fault are from those that were read [V]; nothing read, nothing off."""
    return sum(
        abs(float(fault.bench.predict(item.reading)[0][0]) - item.value) for item in _volts(case)
    )


def _volts(case: Case) -> Iterator[ReadAt]:
    """The volts that were read, where the rig has such points: a file may be mended by hand."""
    for item in case.read:
        if item.reading.quantity == "voltage" and fits(item.reading, case.rig):
            yield item
