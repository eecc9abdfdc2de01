"""A rig as its file would say it: every value with the unit in which it is shortest."""

from __future__ import annotations

from functools import cache

from diagnose.circuit.rig import Rig
from diagnose.units import read_quantity

LENGTHS, PRESSURES = ("ft", "in", "m", "cm"), ("psi", "bar", "kPa", "Pa")
FLOWS = ("gal/min", "L/min", "m^3/s")
MOST_DIGITS = 9


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
    return {
        "name": rig.name,
        "topology": rig.topology,
        "control": rig.control,
        "remote": rig.remote,
        **({"use": rig.use} if rig.use else {}),
        "control_tap": rig.control_tap,
        "pump": {
            "current": as_written(rig.pump_current, "A"),
            "pressure": as_written(rig.pump_pressure, *PRESSURES),
            "flow": as_written(rig.pump_flow, *FLOWS),
            "at": rig.pump_at,
        },
        "wire": {"gauge": rig.wire_gauge, "length": _length(rig.wire_length)},
        "main_fuse": {
            "rating": as_written(rig.main_fuse_rating, "A"),
            "distance": _length(rig.main_fuse_distance),
        },
        "control_fuse": {"rating": as_written(rig.control_fuse_rating, "A")},
        "relay": {
            "contact": as_written(rig.relay_contact, "A"),
            "coil": as_written(rig.relay_coil, "ohm"),
        },
        "battery": {
            "kind": rig.battery_kind,
            "capacity": as_written(rig.battery_capacity, "A*h"),
        },
        **_switch(rig),
    }


def _switch(rig: Rig) -> dict[str, object]:
    """The rating of its switch, where the file has one."""
    known = rig.switch_rating
    return {} if known is None else {"switch": {"contact": as_written(known, "A")}}


def _length(metres: float) -> str:
    return as_written(metres, "ft", "in", "cm", "m")
