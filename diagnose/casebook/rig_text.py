"""A rig as its file would say it: every value with the unit in which it is shortest."""

from __future__ import annotations

from functools import cache

from diagnose.circuit.form import CONTROL_FUSE, shipped_form
from diagnose.circuit.kinds import Part
from diagnose.circuit.listing import ANY, LOAD
from diagnose.circuit.rig import PUMP_KINDS, Rig
from diagnose.units import gauge_text, read_quantity

LENGTHS, PRESSURES = ("ft", "in", "cm", "m"), ("psi", "bar", "kPa", "Pa")
FLOWS = ("gal/min", "L/min", "m^3/s")
MOST_DIGITS = 9
SMALL = "control fuse"
"""What the fuse in the coil's line is called where its file does not name it."""


@cache
def _one(unit: str, base: str) -> float:
    return read_quantity(f"1 {unit}", base)


def as_written(value: float, *units: str) -> str:
    """The shortest text that is read back as exactly `value`.

    value: in the last of `units`; the first units are tried first.
    """
    return min(_writings(value, units), key=len)


def exactly(value: float, unit: str) -> str:
    """`value` with its unit, and with every digit that it has."""
    return f"{repr(value).removesuffix('.0')} {unit}".rstrip()


@cache
def _writings(value: float, units: tuple[str, ...]) -> list[str]:
    base = units[-1]
    found = []
    for unit in units[:-1]:
        amount = value / _one(unit, base)
        texts = (f"{amount:.{digits}g} {unit}" for digits in range(1, MOST_DIGITS + 1))
        good = (t for t in texts if "e" not in t and read_quantity(t, base) == value)
        found += [text for text in (next(good, None),) if text]
    return [*found, exactly(value, base)]


def rig_values(rig: Rig) -> dict[str, object]:
    """The rig as plain values in the form of a rig file, nothing left out."""
    return _listed(rig) if rig.feed else _short(rig)


def _short(rig: Rig) -> dict[str, object]:
    """A rig whose file says what it is like."""
    return {
        "name": rig.name,
        "topology": rig.topology,
        "control": rig.control,
        "remote": rig.remote,
        **_use(rig),
        "control_tap": rig.control_tap,
        "pump": _pump(rig),
        "wire": _wire(rig),
        "main_fuse": {
            "rating": as_written(rig.main_fuse_rating, "A"),
            "distance": _length(rig.main_fuse_distance),
        },
        "control_fuse": {"rating": as_written(rig.control_fuse_rating, "A")},
        "relay": {
            "contact": as_written(rig.relay_contact, "A"),
            "coil": as_written(rig.relay_coil, "ohm"),
        },
        "battery": _battery(rig),
        **_switch(rig),
        **_charging(rig),
        **_water(rig),
    }


def _listed(rig: Rig) -> dict[str, object]:
    """A rig whose file lists its parts."""
    control = {"tap": rig.control_tap, "parts": [*map(_in_control, rig.control_parts)]}
    loads = [{"name": one.name, **_values(one, LOAD)} for one in rig.loads]
    return {
        "name": rig.name,
        "battery": _battery(rig),
        **_charging(rig),
        "feed": [_part(one, one.kind) for one in rig.feed],
        **({"control": control} if rig.has_relay else {}),
        "pump": _pump(rig),
        **({"loads": loads} if loads else {}),
        **_water(rig),
        **_return(rig),
        "wire": _wire(rig),
        **_use(rig),
        **_switch(rig),
    }


def _in_control(part: Part) -> object:
    if part.branches:
        return {ANY: [*map(_in_control, part.branches)]}
    return _part(part, SMALL if part.kind == "fuse" else part.kind)


def _part(part: Part, usual: str) -> object:
    """One part of a list. usual: what it is called where its file does not name it."""
    name = {} if part.name == usual else {"name": part.name}
    said = name | _values(part, CONTROL_FUSE if usual == SMALL else part.kind)
    return {part.kind: said} if said else part.kind


def _values(part: Part, kind: str) -> dict[str, str]:
    """What a file says of a part: words as they are, quantities in the unit of its form."""
    units = {field.name: field.si for field in shipped_form().of_part(kind)}
    return {
        key: value if isinstance(value, str) else as_written(value, *_units(units[key]))
        for key, value in part.values
    }


def _units(unit: str) -> tuple[str, ...]:
    return LENGTHS if unit == "m" else (unit,)


def _pump(rig: Rig) -> dict[str, str]:
    kind = {} if rig.pump_kind == PUMP_KINDS[0] else {"kind": rig.pump_kind}
    return kind | {
        "current": as_written(rig.pump_current, "A"),
        "pressure": as_written(rig.pump_pressure, *PRESSURES),
        "flow": as_written(rig.pump_flow, *FLOWS),
        "at": rig.pump_at,
    }


def _wire(rig: Rig) -> dict[str, str]:
    return {"gauge": rig.wire_gauge, "length": _length(rig.wire_length)}


def _return(rig: Rig) -> dict[str, object]:
    """The minus wire, where it is not like the other."""
    length = {"length": _length(rig.return_length)} if rig.return_length else {}
    wire = ({"gauge": gauge_text(rig.return_area)} if rig.return_area else {}) | length
    return {"return": {"wire": wire}} if wire else {}


def _battery(rig: Rig) -> dict[str, object]:
    count: dict[str, object] = {} if rig.battery_count == 1 else {"count": rig.battery_count}
    if rig.battery_series > 1:
        count = {"count": rig.battery_series, "joined": "series"}
    volts = {} if rig.battery_volts == 12 else {"voltage": as_written(rig.battery_volts, "V")}
    capacity = as_written(rig.battery_capacity, "A*h")
    return {"kind": rig.battery_kind, "capacity": capacity, **volts, **count}


def _charging(rig: Rig) -> dict[str, object]:
    return {"charging": [*rig.charging]} if rig.charging else {}


def _water(rig: Rig) -> dict[str, object]:
    """What is told of the water's way; yes and no as truth values."""
    flags = {"yes": True, "no": False}
    return {"water": {key: flags.get(said, said) for key, said in rig.water}} if rig.water else {}


def _use(rig: Rig) -> dict[str, object]:
    return {"use": rig.use} if rig.use else {}


def _switch(rig: Rig) -> dict[str, object]:
    """The rating of its switch, where the file has one."""
    known = rig.switch_rating
    return {} if known is None else {"switch": {"contact": as_written(known, "A")}}


def _length(metres: float) -> str:
    return as_written(metres, *LENGTHS)
