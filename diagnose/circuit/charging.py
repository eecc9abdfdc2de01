"""Whether a battery was on charge when its volts were read."""

from __future__ import annotations

from diagnose.circuit.meter import Reading
from diagnose.circuit.model import Model

AT_THE_BATTERY = ({"battery+", "battery-"}, {"lug+", "lug-"})
"""The points between which the whole battery is read."""


def span_on_charge(model: Model) -> tuple[float, float]:
    """Between what a full battery of this kind holds by itself and the most that a charger gives
    [V]. Source: figure tables battery-open-circuit and battery-charging, figure on-charge-margin.
    """
    figures, kind = model.figures, model.rig.battery_kind
    margin = figures.get("on-charge-margin", "V")
    full = max(figures.table("battery-open-circuit").column(kind))
    return full + margin, figures.table("battery-charging").row(kind)["highest"] + margin


def was_on_charge(model: Model, reading: Reading, volts: float) -> bool:
    """Whether volts at the battery are more than it holds: then something charges it, on a rig that
    has what may, and they say nothing of its charge."""
    if not model.rig.charging or reading.quantity != "voltage":
        return False
    low, high = span_on_charge(model)
    return set(reading.points) in AT_THE_BATTERY and low < volts <= high
