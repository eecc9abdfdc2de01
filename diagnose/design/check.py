"""Every check of a rig's design, the unsafe first."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from diagnose.circuit.operate import Model
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


def check(plan: Plan) -> tuple[Finding, ...]:
    """Every finding on a rig, worst first and within that in the order of CHECKS."""
    return worst_first(finding for one in CHECKS for finding in one(plan))


def check_rig(rig: Rig, where: Site | None = None) -> tuple[Finding, ...]:
    """The same for a rig as described, on a site with the usual values when none is given."""
    return check(Plan(Model.of(rig), where or site()))


def unsafe(findings: Iterable[Finding]) -> bool:
    """Whether anything is unsafe."""
    return any(finding.severity is Severity.UNSAFE for finding in findings)
