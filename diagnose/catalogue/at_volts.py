"""The knowledge for a system of other than 12 V, for which it is written.

What batteries, chargers, coils and motors have goes with the voltage of the system: it doubles on
24 V. What is lost in copper and contacts goes with the current and stays. So of the volts in a text
those of at least LEAST are taken as the system's and scaled, and those below as a loss; what is
about the battery itself is scaled in full. Entries about batteries in series speak of one of them,
and entries that ask for one voltage (`battery-volts` in `applies`) are written for it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar

from diagnose.catalogue.entry_parts import Change, Verify
from diagnose.catalogue.records import Catalogue, Caution, FailureMode, Quantity
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import unit_of
from diagnose.circuit.rig import Rig
from diagnose.errors import Place

LEAST = 4.0
"""Volts from which a figure in a text is one of the supply: a coil lets go at about this, and no
joint that lets a pump run loses so much [V]; common practice."""

COILS = (50.0, 400.0)
"""Ohms that stand for a coil in a text: those of a plug-in relay, and of one for twice the volts
[ohm]; of equal watts they go with the square of the voltage; common practice."""

OF_THE_BATTERY = "battery"
"""The group of failure modes whose volts are all those of the battery."""

_NUMBER = r"\d+(?:\.\d+)?"
_AMOUNT = re.compile(rf"(?<![\w.])((?:{_NUMBER}(?: to | and | or |, ))*{_NUMBER}) (V|ohm)\b")

E = TypeVar("E")


def at_volts_of(rig: Rig, catalogue: Catalogue) -> Catalogue:
    """The knowledge with the volts of this rig's system in place of those of 12 V."""
    if rig.times_12 == 1 and rig.battery_volts == 12:
        return catalogue

    def scaled(entry: E) -> E:
        made: E = _entry(rig, entry)
        return made

    return replace(
        catalogue,
        failure_modes={name: scaled(one) for name, one in catalogue.failure_modes.items()},
        observations={name: scaled(one) for name, one in catalogue.observations.items()},
        readings={name: scaled(one) for name, one in catalogue.readings.items()},
        cautions={name: _caution(rig, one) for name, one in catalogue.cautions.items()},
        quantities={name: _limits(rig, one) for name, one in catalogue.quantities.items()},
    )


def _entry(rig: Rig, entry: Any) -> Any:
    if "battery-volts" in entry.applies:
        return entry
    in_series = "batteries-in-series" in entry.applies or "link" in entry.applies.get("part", ())
    times = rig.battery_volts / 12.0 if in_series else rig.times_12
    all_of_it = isinstance(entry, FailureMode) and entry.group == OF_THE_BATTERY
    return entry if times == 1 else _Scale(times, 0.0 if all_of_it else LEAST).of(entry)


def _caution(rig: Rig, caution: Caution) -> Caution:
    return replace(caution, text=_Scale(rig.times_12, LEAST).text(caution.text))


def _limits(rig: Rig, quantity: Quantity) -> Quantity:
    """What no meter can show on such a rig."""
    if quantity.unit != "V" or rig.times_12 == 1:
        return quantity
    above, below = quantity.impossible_above, quantity.impossible_below
    told = _Scale(rig.times_12, LEAST)
    return replace(
        quantity,
        impossible_above=above * rig.times_12,
        impossible_below=below * rig.times_12,
        how=told.text(quantity.how),
        why=told.text(quantity.why),
    )


@dataclass(frozen=True)
class _Scale:
    """times: the voltage over 12 V; least: volts from which a figure in a text is scaled."""

    times: float
    least: float

    def of(self, value: Any) -> Any:
        """A value with its volts scaled, whatever it is made of."""
        if isinstance(value, str):
            return self.text(value)
        if isinstance(value, Change):
            return self._change(value)
        if isinstance(value, Reading | Place):
            return value
        if isinstance(value, tuple):
            return tuple(self.of(one) for one in value)
        if isinstance(value, Mapping):
            return {key: self.of(one) for key, one in value.items()}
        if is_dataclass(value) and not isinstance(value, type):
            made = {f.name: self.of(getattr(value, f.name)) for f in fields(value)}
            whole = replace(value, **made)
            return self._limits(whole) if isinstance(whole, Verify) else whole
        return value

    def _change(self, change: Change) -> Change:
        """An amount in volts; a multiple of what a sound rig has stays."""
        if unit_of(change.parameter) != "V" or change.operation == "times":
            return change
        return replace(change, mild=change.mild * self.times, severe=change.severe * self.times)

    def _limits(self, proof: Verify) -> Verify:
        if proof.reading.unit != "V":
            return proof
        return replace(proof, below=self._limit(proof.below), above=self._limit(proof.above))

    def _limit(self, volts: float | None) -> float | None:
        """A limit of the supply; one of a loss stays."""
        return volts * self.times if volts is not None and volts >= LEAST else volts

    def text(self, text: str) -> str:
        """A text with its volts, and the ohms of coils, scaled."""
        return _AMOUNT.sub(self._amounts, text)

    def _amounts(self, found: re.Match[str]) -> str:
        numbers, unit = found.groups()
        lowest = min(float(one) for one in re.findall(_NUMBER, numbers))
        highest = max(float(one) for one in re.findall(_NUMBER, numbers))
        if unit == "V" and (lowest < self.least or highest > 100):
            return found[0]
        if unit == "ohm" and not COILS[0] <= lowest <= highest <= COILS[1]:
            return found[0]
        times = self.times if unit == "V" else self.times**2
        made = re.sub(_NUMBER, lambda one: f"{float(one[0]) * times:.4g}", numbers)
        return f"{made} {unit}"
