"""The words in which the screens speak: states of the rig, test points, chances, repairs."""

from __future__ import annotations

from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.rig import Rig
from diagnose.units import show_quantity

STATES = {
    "calling": "master on, outlet open or tank low: the pump ought to run",
    "satisfied": "master on, outlet shut or tank full: the pump ought to be off",
    "rest": "everything off, nothing drawn for half an hour",
    "unplugged": "as calling, but with the motor leads off at the motor",
    "isolated": "battery disconnected, negative first",
    "off": "master switch off",
}
"""What each state of the rig asks of the person."""

POINTS = {
    "battery+": "positive battery post, the lead itself",
    "battery-": "negative battery post",
    "lug+": "cable lug or clamp on the positive post",
    "lug-": "cable lug or clamp on the negative post",
    "fuse.in": "main fuse holder, battery side",
    "fuse.out": "main fuse holder, load side",
    "master.in": "master switch, supply side",
    "master.out": "master switch, load side",
    "relay.30": "relay contact, supply",
    "relay.87": "relay contact, load (normally open)",
    "relay.87a": "relay contact, normally closed",
    "relay.86": "relay coil, control side",
    "relay.85": "relay coil, ground side",
    "cfuse.in": "control fuse, supply side",
    "cfuse.out": "control fuse, load side",
    "remote.in": "remote receiver's output contact, supply side",
    "remote.out": "remote receiver's output contact, load side",
    "pswitch.in": "pressure switch, supply side",
    "pswitch.out": "pressure switch, load side",
    "float.in": "float switch, supply side",
    "float.out": "float switch, load side",
    "motor+": "motor's positive lead, at the motor",
    "motor-": "motor's negative lead, at the motor",
    "ground": "chassis ground stud or negative bus of the return",
    "motor-feed": "the one wire that feeds the motor",
    "coil": "a wire of the relay's coil",
    "battery": "the one wire that leaves the battery",
    "outlet": "at the pump's outlet",
    "fuse-holder": "main fuse holder",
    "relay": "relay",
    "pressure-switch": "pressure switch",
    "motor": "motor",
    "wire": "the feed wire, at its warmest",
    "master-switch": "master switch",
}
"""Where a probe, a clamp or a thermometer goes. Relay numbers: DIN 72552."""

CONTROLS = {
    "pressure_switch": "pressure switch",
    "float_switch": "float switch",
    "manual": "hand switch",
}

CHANCES = (
    (0.97, "almost certain"),
    (0.85, "very likely"),
    (0.65, "likely"),
    (0.50, "more likely than not"),
    (0.25, "the best guess so far"),
    (0.0, "one of several guesses"),
)
"""Words for the probability of a repair, from these values up."""


def rig_line(rig: Rig) -> str:
    """A rig in one line."""
    called = CONTROLS[rig.control] + (" and remote" if rig.remote else "")
    switched = f"relay, called by {called}" if rig.has_relay else f"direct, {called}"
    current, fuse = show_quantity(rig.pump_current, "A"), show_quantity(rig.main_fuse_rating, "A")
    return f"{rig.name}: {switched}; {current} pump, {fuse} fuse, {rig.wire_gauge}"


def per_cent(probability: float) -> str:
    """Never 0 and never 100: the book does not know that well."""
    if probability > 0.99:
        return ">99 %"
    return "<1 %" if probability < 0.01 else f"{round(100 * probability)} %"


def chance(probability: float) -> str:
    """A probability in words."""
    return next(words for least, words in CHANCES if probability >= least)


def spaced(name: str) -> str:
    """An id in words: replace-fuse-holder is "replace fuse holder"."""
    return name.replace("-", " ")


def time(minutes: float) -> str:
    """Minutes as people say them."""
    if minutes < 1:
        return "half a minute" if minutes <= 0.5 else "1 min"
    return f"{minutes:.1f}".rstrip("0").rstrip(".") + " min"


def band(low: float, high: float, reading: Reading) -> str:
    """A band of values in the reading's unit."""
    if reading.quantity == "resistance" and high >= LARGEST_OHMS:
        return f"OL, or above {show_quantity(low, 'ohm')}"
    first, last = show_quantity(low, reading.unit), show_quantity(high, reading.unit)
    number, _, unit = first.partition(" ")
    return f"{number} to {last}" if last.endswith(f" {unit}") else f"{first} to {last}"


def value(number: float, reading: Reading) -> str:
    """One value as the meter shows it."""
    if reading.quantity == "resistance" and number >= LARGEST_OHMS:
        return "OL"
    return show_quantity(number, reading.unit)
