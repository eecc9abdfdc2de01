"""What a label on a rig says: its fuses, wire and switches, and what it should read."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import parse
from diagnose.errors import DiagnoseError
from diagnose.reasoning.expectations import predicted_readings
from diagnose.reasoning.words import band
from diagnose.report.qr import Code, code_of
from diagnose.report.sheet import Sheet
from diagnose.report.sheet_parts import (
    Item,
    battery_of,
    in_coil_line,
    in_pump_line,
    protections,
    pump_of,
    thin,
)

SAFETY = "Switch off before you touch a wire; local codes go first."

HALVES = {
    "voltage battery+ battery- rest": "Battery, all off",
    "voltage battery+ battery- calling": "Battery, pumping",
    "voltage motor+ motor- calling": "Motor",
    "voltage battery+ motor+ calling": "Lost on the way out",
    "voltage motor- battery- calling": "Lost on the way back",
    "current motor-feed calling": "Motor's current",
}
"""The readings of a label and what they are called there: the source, the load, either half of the
way between them, and what flows. So each reading leaves half of the circuit out. Source:
half-splitting, common practice."""

CUT_OUT = {"pressure outlet satisfied": "Pump stops at"}
"""The same where pressure stops the pump."""

SHOWN = ("main_fuse.rating", "main_fuse.distance", "control_fuse.rating", "wire.gauge")
SHOWN_OF_RELAYS = ("relay.contact", "relay.coil")
"""Keys of a rig file whose values stand on a label."""


REMARK = re.compile(r"(?<!\S)#.*")


@dataclass(frozen=True)
class Value:
    """One reading. points: where the probes go, red first; "" where there are none."""

    name: str
    points: str
    sound: str


@dataclass(frozen=True)
class Label:
    """A label of the rig of a build sheet. address: where its code leads to, "" where the code is
    of the rig file; text: that file as it was read."""

    sheet: Sheet
    address: str = ""
    text: str = ""

    @property
    def rig(self) -> Rig:
        return self.sheet.rig

    @property
    def protections(self) -> tuple[Item, ...]:
        return tuple(protections(self.rig))

    @property
    def ends(self) -> str:
        """Battery and pump, in a line."""
        return "; ".join(map(_said, (battery_of(self.rig), pump_of(self.rig))))

    @property
    def wire(self) -> str:
        """Sizes of wire, in a line."""
        rig = self.rig
        other = rig.return_area and rig.return_area != rig.wire_area
        back = f"to the motor, {rig.return_area:.3g} mm2 back" if other else "to the motor and back"
        coil = f", {thin(self.sheet.plan)} mm2 to the coil" if rig.has_relay else ""
        return f"{rig.wire_gauge} {back}{coil}"

    @property
    def pump_line(self) -> str:
        """What the motor's current passes beside fuses and breakers, in a line."""
        return "; ".join(map(_said, in_pump_line(self.rig)))

    @property
    def coil_line(self) -> str:
        """The same of the coil's current; "" without a relay."""
        return "; ".join(_said(replace(one, note="")) for one in in_coil_line(self.rig))

    @cached_property
    def values(self) -> tuple[Value, ...]:
        stopped = CUT_OUT if self.rig.control == "pressure_switch" else {}
        wanted, sheet = HALVES | stopped, self.sheet
        lines = predicted_readings(sheet.rig, sheet.plan.model, sheet.healthy, None)
        found = {str(one.reading): one for one in lines}
        return tuple(
            Value(
                wanted[name],
                " ".join(one.reading.points) if one.reading.quantity == "voltage" else "",
                band(one.sound.low, one.sound.high, one.reading),
            )
            for name in wanted
            if (one := found.get(name))
        )

    @property
    def warning(self) -> str:
        """What the checks of the design say where something is unsafe."""
        unsafe = any(one.unsafe for one in self.sheet.changes)
        return f"{self.sheet.verdict} See diagnose rig check." if unsafe else ""

    @property
    def usual(self) -> str:
        """What of the label stands in no rig file, so that the rig is looked at first."""
        keys = (*SHOWN, *(SHOWN_OF_RELAYS if self.rig.has_relay else ()))
        found = (key.replace(".", " ").replace("_", " ") for key in self.sheet.usual if key in keys)
        told = ", ".join(found)
        return f"Taken as usual, not told by the rig file: {told}." if told else ""

    @cached_property
    def content(self) -> str:
        """What the code holds."""
        return self.address or lean(self.text, self.rig)

    @cached_property
    def code(self) -> Code | None:
        return code_of(self.content)

    @property
    def caption(self) -> str:
        """What stands under the code."""
        return self.address or "The rig file: scan it, keep it as NAME.yaml."


def _said(item: Item) -> str:
    """A part in a line, without how it is built in: "relay, 70 A contact, coil 85 ohm"."""
    note = item.note.partition(";")[0]
    return ", ".join(part for part in (item.what, item.rating, note) if part)


def lean(text: str, rig: Rig) -> str:
    """The text of a rig file without its remarks, which are nobody's business who passes by; "" if
    it is not this rig's. A row that says another thing without its end keeps it."""
    rows = text.splitlines()
    found = _joined(REMARK.sub("", row) for row in rows)
    if not _is_of(rig, found):
        for number, row in enumerate(rows):
            if REMARK.search(row):
                rows[number] = _without_remark(rows, number, rig)
        found = _joined(rows)
    return found if _is_of(rig, found) else ""


def _without_remark(rows: Sequence[str], number: int, rig: Rig) -> str:
    """One row up to the first # behind which nothing is said, else all of it."""
    row = rows[number]
    cut = (row[: one.start()] for one in re.finditer(r"(?<!\S)#", row))
    shorter = (
        one for one in cut if _is_of(rig, _joined((*rows[:number], one, *rows[number + 1 :])))
    )
    return next(shorter, row)


def _joined(rows: Iterable[str]) -> str:
    return "".join(f"{row.rstrip()}\n" for row in rows if row.strip())


def _is_of(rig: Rig, text: str) -> bool:
    try:
        return read_rig(parse(text, rig.name)) == rig
    except DiagnoseError:
        return False
