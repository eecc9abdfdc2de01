"""The volts along a circuit, sound and with a fault in it, as levels to draw."""

from __future__ import annotations

from diagnose.bench import Bench
from diagnose.catalogue.records import FailureMode
from diagnose.circuit.rig import Rig
from diagnose.design.volt_plot import Level, way_round
from diagnose.reasoning.expectations import Fault, Healthy, fault_in, volts_along_the_circuit

SHOWN_AT = "middling"
"""How far gone a fault is in the pictures of the book (reasoning.expecting)."""


def levels(rig: Rig, healthy: Healthy, fault: Fault | None) -> tuple[Level, ...]:
    """Each test point on the way round, black on battery-, the pump called."""
    lines = {one.reading.points[0]: one for one in volts_along_the_circuit(rig, healthy, fault)}
    return tuple(
        Level(point, lines[point].sound.value, lines[point].faulty)
        for point in way_round(rig)
        if point in lines
    )


def mode_levels(bench: Bench, mode: FailureMode) -> tuple[Level, ...]:
    """The levels of a failure mode; none where it leaves the volts as they are."""
    fault = fault_in(bench.shop.catalogue, bench.model, mode.id, SHOWN_AT)
    shows = any(line.differs for line in volts_along_the_circuit(bench.rig, bench.healthy, fault))
    return levels(bench.rig, bench.healthy, fault) if shows else ()
