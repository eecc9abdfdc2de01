"""Invented rigs, as different as owners build them: nearly all sensible, some a little short.

Each is written as a rig file and read back, and each works when sound. None stands for any product.
"""

from __future__ import annotations

import numpy as np

from diagnose.circuit.model import Model
from diagnose.circuit.ratings import usual_fuse
from diagnose.circuit.rig import TAPS, Rig, read_rig
from diagnose.documents import parse
from diagnose.simulate.draw import works
from diagnose.units import read_gauge

GAUGES = ("16 AWG", "14 AWG", "12 AWG", "10 AWG", "8 AWG", "6 AWG", "4 AWG", "2 AWG")
SIZES = (18, 26, 35, 50, 75, 90, 100, 120, 150, 200)
"""Usual wire sizes and battery capacities [A h]."""

ALLOWED_DROP = 0.5
"""Loss in the wire that a careful builder allows [V]: about 4 % of 12 V, between the usual limits
of 3 % and 10 %; common practice."""

COPPER = 0.0175
"""Resistivity of copper near 20 degC [ohm mm2/m], rounded as in builders' rules."""

SHORT, LARGE_FUSE, LARGE_COIL = 0.25, 0.12, 0.15
"""Shares of rigs with wire one size short, a fuse one step too large, a continuous-duty solenoid
for a relay; estimates."""

KINDS = (
    ("relay", "pressure_switch"),
    ("direct", "pressure_switch"),
    ("relay", "float_switch"),
    ("relay", "pressure_switch"),
    ("direct", "float_switch"),
    ("relay", "manual"),
    ("relay", "pressure_switch"),
    ("direct", "pressure_switch"),
    ("relay", "float_switch"),
    ("direct", "manual"),
)
"""Topology and control of one rig after the other, about as often as they are built; estimate."""

RIGS, TRIES = 5, 100
"""The stream of chance that rigs are drawn from; drafts made until one works when sound."""

LEAD_ACID = ("agm", "gel", "flooded")
"""Kinds of batteries whose laws the other world knows."""


def _gauge(current: float, length: float, short: bool) -> str:
    """The thinnest usual wire that keeps the loss small, or one size less."""
    area = 2 * COPPER * length * current / ALLOWED_DROP
    enough = [i for i, gauge in enumerate(GAUGES) if read_gauge(gauge) >= area]
    index = enough[0] if enough else len(GAUGES) - 1
    return GAUGES[max(index - short, 0)]


def _relay(random: np.random.Generator, current: float) -> str:
    """Contacts for the pump, and a coil: small, or that of a continuous-duty solenoid."""
    contact = random.choice([30, 40, 70, 80] if current < 18 else [40, 70, 80, 100])
    coil = random.uniform(12, 25) if random.random() < LARGE_COIL else random.uniform(60, 110)
    return f"{{contact: {contact} A, coil: {coil:.0f} ohm}}"


def _battery(random: np.random.Generator, current: float) -> str:
    """About two to nine hours of running, in the next usual size."""
    wanted = current * random.uniform(2, 9)
    size = next((size for size in SIZES if size >= wanted), SIZES[-1])
    return f"{{kind: {random.choice(LEAD_ACID)}, capacity: {size} A*h}}"


def _draft(random: np.random.Generator, topology: str, control: str) -> str:
    """One rig file."""
    relay = topology == "relay"
    current = float(np.exp(random.uniform(np.log(3), np.log(25 if relay else 12))))
    current = round(current * 2) / 2
    length = random.uniform(1.5, 8)
    gauge = _gauge(current, length, random.random() < SHORT)
    fuse = usual_fuse(current) * (1.3 if random.random() < LARGE_FUSE else 1.0)
    near = random.uniform(3, 12)
    lines = [
        f"name: invented {topology} rig",
        f"topology: {topology}",
        f"control: {control}",
        f"remote: {'true' if relay and random.random() < 0.3 else 'false'}",
        f"control_tap: {random.choice(TAPS)}",
        f"pump: {{current: {current:g} A}}",
        f"wire: {{gauge: {gauge}, length: {length:.1f} m}}",
        f"main_fuse: {{rating: {usual_fuse(fuse / 1.25):g} A, distance: {near:.0f} in}}",
        f"control_fuse: {{rating: {random.choice([2, 3, 5])} A}}",
        f"relay: {_relay(random, current)}",
        f"battery: {_battery(random, current)}",
    ]
    return "\n".join(lines)


def invented_rig(seed: int, number: int) -> Rig:
    """A rig that works when sound; the same one for the same seed and number."""
    random = np.random.default_rng((seed, number, RIGS))
    for _ in range(TRIES):
        rig = read_rig(parse(_draft(random, *KINDS[number % len(KINDS)]), "invented rig"))
        model = Model.of(rig)
        if works(model, model.sound_batch(1)):
            return rig
    raise RuntimeError(f"no working rig in {TRIES} drafts: seed {seed}, number {number}")
