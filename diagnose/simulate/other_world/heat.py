"""How warm parts get: heat made, against a body that warms and gives its heat to the air."""

from __future__ import annotations

from math import exp

KELVIN_A_WATT = {
    "fuse-holder": 9.0,
    "relay": 9.0,
    "pressure-switch": 10.0,
    "master-switch": 8.0,
    "joint": 14.0,
    "wire": 7.0,
}
"""Rise in the long run [K/W]; of a wire for each watt a metre. A contact of 20 W is burnt within
minutes and one of 2 W is warm (trade practice); estimates."""

MINUTES = {
    "fuse-holder": 1.5,
    "relay": 3.0,
    "pressure-switch": 3.0,
    "master-switch": 3.0,
    "joint": 1.0,
    "wire": 2.5,
    "motor": 14.0,
}
"""Minutes to two thirds of that; estimates."""

HAND = 60.0
"""Too hot to keep a hand on [degC]; the touch test of the trade."""

WARM = 12.0
"""Rise over the air from which a hand says warm [K]; estimate."""

BROWNS = 180.0
"""Nylon browns [degC]; it melts at 220 to 262 (published; browning is common practice)."""


CHARRED = 320.0
"""Nothing of plastic gets hotter than this by much before it fails [K]; estimate."""


def rise(part: str, watts: float, minutes: float, kelvin: float | None = None) -> float:
    """Rise over the air [K] after so many minutes."""
    steady = watts * (KELVIN_A_WATT[part] if kelvin is None else kelvin)
    steady = CHARRED * (1 - exp(-steady / CHARRED))
    return steady * (1 - exp(-minutes / MINUTES[part]))
