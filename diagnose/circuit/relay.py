"""The relay's coil: what it needs to pull in, cold and warm, and when it lets go."""

from __future__ import annotations

from diagnose.circuit.parameters import Array
from diagnose.figures import Figures


def warmed(value: Array | float, temperature: Array | float, figures: Figures) -> Array | float:
    """A coil's resistance, or the voltage it pulls in at, at a coil temperature [degC].

    value: at 20 degC. The pull-in current does not change, so the voltage follows the resistance
    of the copper: V(T) = V(20) (1 + alpha (T - 20)).
    Source: relay temperature note; worked rows relay-r-125c, relay-v-125c in tests/tables.
    """
    alpha = figures.get("copper-temperature-coefficient", "K^-1")
    return value * (1 + alpha * (temperature - 20))
