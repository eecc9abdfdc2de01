"""Reads the values of one rig file as the form has them, noting what took its usual value."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

from diagnose.circuit.bounds import GAUGE, NAME, bounds
from diagnose.circuit.form import COUNT, Field, shipped_form
from diagnose.documents import Section
from diagnose.errors import BadDocument, BadQuantity, UnknownName, nearest
from diagnose.figures import Figures
from diagnose.units import read_gauge, show_gauge

SERIES = "series"
"""How batteries are joined whose volts add up."""

Usual = Callable[[Field], float]
"""What a quantity is where nobody says it [SI]."""


class Reader:
    """One rig file. usual: what is taken for a quantity that is not there; it may be set later,
    once it is known what it follows from."""

    def __init__(self, document: Section, figures: Figures) -> None:
        self.document, self.figures = document, figures
        self.bounds = bounds(figures)
        self.form = shipped_form()
        self.assumed: list[str] = []
        self.usual: Usual = lambda field: field.usual_si
        self.times_12 = 1.0
        """The voltage of the system over 12 V, once the batteries are read."""

    def name(self, default: str) -> str:
        """What the rig is called, in no more characters than a name has."""
        try:
            text = self.document.text(NAME, default=default)
            return self.bounds[NAME].read_name(text, self.document.place_of(NAME))
        except BadDocument as error:
            self.document.problem(error)
            return default

    def part(self, field: Field) -> Section | None:
        """The part of the file that holds a field; without it, the field counts as assumed."""
        found = self._section(field)
        if found is not None and found.has(field.name):
            return found
        self.assumed.append(field.key)
        return None

    def _section(self, field: Field) -> Section | None:
        name = field.section
        return self.document.section(name, default=None) if name else self.document

    def word(self, key: str) -> str:
        """One of a field's options; the usual one, without a note, where the file has none."""
        field = self.form[key]
        found = self._section(field)
        if found is None:
            return field.usual
        return found.choice(field.name, tuple(field.options), default=field.usual)

    def choice(self, key: str) -> str:
        """One of a field's options; the usual one counts as assumed."""
        field = self.form[key]
        part = self.part(field)
        return part.choice(field.name, tuple(field.options)) if part else field.usual

    def quantity(self, key: str) -> float:
        """A quantity [SI]; the usual one counts as assumed."""
        field = self.form[key]
        part = self.part(field)
        return self.needed(part, field) if part else self.usual(field)

    def needed(self, part: Section, field: Field) -> float:
        """A quantity that is there or missed, within its bounds."""
        bound = self.bounds[field.bound].at(self.times_12**field.per_12)
        if field.unit == COUNT:
            value = part.number(field.name)
        else:
            value = part.quantity(field.name, field.si, minimum=-math.inf)
        if math.isfinite(value) and not bound.holds(value, field.si):
            refused = bound.refusal(part.raw(field.name), part.place_of(field.name))
            self.document.problem(refused)
        return value if bound.holds(value, field.si) else bound.ends(field.si)[0]

    def gauge(self) -> tuple[str, float]:
        """The pump's wire as cable is printed, and its copper area [mm2]."""
        field = self.form[GAUGE]
        part = self.part(field)
        return self.area(part) if part else (field.usual, read_gauge(field.usual))

    def area(self, part: Section) -> tuple[str, float]:
        """The size that stands in one part of the file, with its copper area [mm2]."""
        text, default = part.text("gauge"), self.form[GAUGE].usual
        if not text:
            return default, read_gauge(default)
        try:
            return show_gauge(text), self.bounds[GAUGE].read_gauge(text, part.place_of("gauge"))
        except BadQuantity as error:
            self.document.problem(error)
            return default, read_gauge(default)

    def batteries(self) -> dict[str, Any]:
        """How many volts each battery has, and how many there are in parallel or in series; by the
        names of a Rig's fields. What the rest of the file leaves out goes by their voltage."""
        battery, field = self.document.section("battery", default=None), self.form["battery.count"]
        twelve = self.figures.get("nominal-voltage", "V")
        if battery is None:
            return {"battery_volts": twelve, "battery_count": int(field.usual)}
        volts = battery.quantity("voltage", "V", default=twelve, minimum=-math.inf)
        count = self.needed(battery, field) if battery.has(field.name) else float(field.usual)
        if count != int(count):
            told = f"there cannot be {count:g} batteries; give a whole number"
            self.document.problem(BadQuantity(told, battery.place_of("count")))
        in_series = self.word("battery.joined") == SERIES
        if in_series and count != 2:
            told = "only two batteries in series can be worked out; say count: 2, or one of 24 V"
            self.document.problem(BadDocument(told, battery.place_of("joined")))
        system = volts * 2 if in_series else volts
        if math.isfinite(volts) and system not in (twelve, 2 * twelve):
            told = f"{system:g} V in all cannot be worked out; only 12 V and 24 V circuits can"
            self.document.problem(BadQuantity(told, battery.place_of("voltage")))
            return {}
        self.times_12 = system / twelve if math.isfinite(volts) else 1.0
        self.figures = self.figures.at(self.times_12)
        if in_series:
            return {"battery_volts": volts, "battery_series": 2}
        return {"battery_volts": volts, "battery_count": int(count)}

    def words(self, key: str) -> tuple[str, ...]:
        """A list of a field's options; none of them is none."""
        known = (*self.form[key].options, "none")
        found = self.document.placed(key)
        for name, place in found:
            if name not in known:
                self.document.problem(UnknownName(key, name, place, nearest(name, known), known))
        return tuple(name for name, _ in found if name != "none")

    def water(self) -> tuple[tuple[str, str], ...]:
        """What is told of the water's way."""
        part = self.document.section("water", default=None)
        if part is None:
            return ()
        told = {}
        for key in self.form["water"].options:
            if part.has(key):
                told[key] = "yes" if part.flag(key) else "no"
        for field in (self.form["water.supply"], self.form["water.outlet"]):
            if part.has(field.name):
                told[field.name] = part.choice(field.name, tuple(field.options))
        if told.get("heater") == "yes":  # one that stores hot water has its own
            told.setdefault("relief_valve", "yes")
        return tuple(sorted(told.items()))
