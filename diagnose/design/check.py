"""Every check of a rig's design, the unsafe first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping

from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig
from diagnose.design.checks_battery import battery_kind, battery_size, charging, volts_at_end
from diagnose.design.checks_fuse import (
    control_fuse,
    fuse_at_start,
    fuse_distance,
    fuse_for_running,
    fuse_for_wire,
    fuse_when_jammed,
)
from diagnose.design.checks_parts import (
    battery_bank,
    charging_source,
    cutout_setting,
    heater_relief,
    part_ratings,
    reversing,
)
from diagnose.design.checks_protection import (
    ahead_of_protection,
    breaker_reset,
    further_guards,
    load_fuses,
    no_protection,
)
from diagnose.design.checks_relay import coil_draw, hold_at_start, pull_in, relay_contact
from diagnose.design.checks_switch import switch_rating
from diagnose.design.checks_wire import (
    volts_at_motor,
    volts_at_start,
    volts_lost,
    wire_for_current,
    wire_for_length,
    wire_of_its_own,
)
from diagnose.design.finding import Finding, Severity, worst_first
from diagnose.design.plan import Plan
from diagnose.design.site import Site, site

Check = Callable[[Plan], Iterator[Finding]]

CHECKS: tuple[Check, ...] = (
    fuse_for_wire,
    wire_for_current,
    fuse_distance,
    switch_rating,
    relay_contact,
    coil_draw,
    wire_for_length,
    volts_lost,
    volts_at_motor,
    volts_at_start,
    fuse_for_running,
    fuse_at_start,
    fuse_when_jammed,
    control_fuse,
    pull_in,
    hold_at_start,
    battery_size,
    volts_at_end,
    battery_kind,
    charging,
    wire_of_its_own,
)
"""What can burn first, then what wears out, then what only disappoints."""

OF_A_LIST: tuple[Check, ...] = (
    no_protection,
    ahead_of_protection,
    load_fuses,
    breaker_reset,
    further_guards,
    part_ratings,
    cutout_setting,
    reversing,
    battery_bank,
    charging_source,
    heater_relief,
)
"""What is held against parts that only some rigs have."""


RESTS_ON: Mapping[str, tuple[str, ...]] = {
    "fuse-for-wire": ("main_fuse.rating", "wire.gauge"),
    "wire-for-current": ("wire.gauge",),
    "fuse-distance": ("main_fuse.distance",),
    "switch-carries-motor": ("control",),
    "switch-carries-coil": ("control", "relay.coil"),
    "relay-contact": ("relay.contact",),
    "coil-draw": ("relay.coil", "battery.capacity"),
    "wire-for-length": ("wire.gauge", "wire.length"),
    "volts-lost-running": ("wire.gauge", "wire.length"),
    "volts-at-motor": ("wire.gauge", "wire.length", "battery.capacity"),
    "volts-lost-starting": ("wire.gauge", "wire.length", "battery.capacity"),
    "fuse-for-running": ("main_fuse.rating",),
    "fuse-at-start": ("main_fuse.rating",),
    "fuse-when-jammed": ("main_fuse.rating", "wire.gauge", "wire.length"),
    "control-fuse": ("control_fuse.rating", "relay.coil"),
    "relay-pull-in": ("relay.coil", "battery.kind"),
    "relay-hold-at-start": ("control_tap", "battery.kind", "battery.capacity"),
    "battery-size": ("battery.capacity", "battery.kind"),
    "volts-at-end-of-duty": ("battery.capacity", "battery.kind", "wire.gauge", "wire.length"),
    "battery-kind": ("battery.kind",),
    "charging": ("battery.kind", "battery.capacity"),
    "wire-strength": ("wire.gauge",),
}
"""By rule the keys of the rig file on which its verdict turns."""


def leaned_on(rig: Rig, finding: Finding) -> tuple[str, ...]:
    """Keys that a finding turns on and that the rig file left to their usual values."""
    return tuple(key for key in RESTS_ON.get(finding.id, ()) if key in rig.assumed)


def check(plan: Plan) -> tuple[Finding, ...]:
    """Every finding on a rig, worst first and within that in the order of the checks."""
    return worst_first(finding for one in (*CHECKS, *OF_A_LIST) for finding in one(plan))


def check_rig(rig: Rig, where: Site | None = None) -> tuple[Finding, ...]:
    """The same for a rig as described, on a site with the usual values when none is given."""
    return check(Plan(Model.of(rig), where or site()))


def unsafe(findings: Iterable[Finding]) -> bool:
    """Whether anything is unsafe."""
    return any(finding.severity is Severity.UNSAFE for finding in findings)
