"""The words in which screens and pages speak: states of the rig, values, chances."""

from __future__ import annotations

from collections.abc import Iterable

from diagnose.catalogue.part_names import MANY
from diagnose.circuit.meter import LARGEST_OHMS, Reading
from diagnose.circuit.reading_words import OF_ANY_PART, SPOKEN, in_words, reading_of
from diagnose.circuit.rig import Rig
from diagnose.errors import DiagnoseError
from diagnose.units import show_quantity

STATES = {
    "calling": "Pump asked to run: master on, outlet open or tank low.",
    "satisfied": "Pump not asked to run: master on, outlet shut or tank full.",
    "rest": "Rig at rest: everything off, nothing drawn.",
    "unplugged": "Motor unplugged: its leads off at the motor, the pump asked to run.",
    "isolated": "Battery off: disconnected, negative first.",
    "off": "Rig off: master switch off.",
}
"""What each state of the rig asks of the person, in a sentence."""


def in_state(state: str) -> str:
    """A state of the rig in a word or two: "asked to run"."""
    return {**SPOKEN, "isolated": "battery off"}.get(state, state)


NAMES = {"pump-when-satisfied": "pump when not asked to run"}
"""Ids that no person says, and what stands for them on the screen."""

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
    current, fuse = show_quantity(rig.pump_current, "A"), show_quantity(rig.main_fuse_rating, "A")
    return f"{rig.name}: {rig.topology}, {called}, {current} pump, {fuse} fuse, {rig.wire_gauge}"


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
    return NAMES.get(name) or name.replace(MANY, ", ").replace("-", " ")


def as_id(text: str) -> str:
    """The id of what stands on the screen in words: "replace fuse holder", or the id itself."""
    plain = " ".join(text.lower().split())
    known = next((name for name, said in NAMES.items() if said == plain), None)
    return known or plain.replace(", ", MANY).replace(" ", "-")


def of_test(name: str) -> str:
    """A test of the book by its id, as it is called on the screen."""
    try:
        return in_words(reading_of(name, points_too=OF_ANY_PART))
    except DiagnoseError:
        return spaced(name)


def usual(keys: Iterable[str]) -> str:
    """Values of a rig that were taken as usual, by their names: "wire length, relay coil"."""
    return ", ".join(key.replace(".", " ").replace("_", " ") for key in keys)


def time(minutes: float) -> str:
    """Minutes as people say them."""
    if minutes < 1:
        return "half a minute" if minutes <= 0.5 else "1 min"
    return f"{minutes:.1f}".rstrip("0").rstrip(".") + " min"


def band(low: float, high: float, reading: Reading) -> str:
    """A band of values in the reading's unit; volts lost under the pump's current are shown from 0
    where the band goes below: the current flows one way, and only the meter errs to both sides."""
    lost = reading.quantity == "voltage" and reading.condition == "calling"
    if lost and low < 0 < low + high:
        low = 0.0
    if reading.quantity == "resistance" and high >= LARGEST_OHMS:
        return f"above {show_quantity(low, 'ohm')}"
    first, last = rough(low, reading), rough(high, reading)
    number, _, unit = first.partition(" ")
    short = low == 0 or last.endswith(f" {unit}")
    return f"{number} to {last}" if short else f"{first} to {last}"


def rough(number: float, reading: Reading) -> str:
    """A predicted value with no more digits than the prediction is worth."""
    if reading.quantity == "temperature":
        number = float(round(number))
    elif reading.quantity != "voltage":
        number = float(f"{number:.3g}")
    return value(number, reading)


def value(number: float, reading: Reading) -> str:
    """One value as the meter shows it."""
    if reading.quantity == "resistance" and number >= LARGEST_OHMS:
        return "OL"
    return show_quantity(number, reading.unit)
