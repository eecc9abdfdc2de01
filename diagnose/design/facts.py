"""What the checks of a rig's design come to as symbols, for rules and priors.

Every verdict is that of a check, on a site with the usual values: a part is called small, far or
over where `rig check` wants it changed, and nowhere else.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from diagnose.circuit.listing import AUTOMATIC
from diagnose.circuit.model import Model
from diagnose.circuit.parts import feed_of
from diagnose.circuit.ratings import least_fuse
from diagnose.circuit.rig import WATER, Rig
from diagnose.design.checks_battery import battery_size
from diagnose.design.checks_fuse import fuse_distance, fuse_for_running, fuse_for_wire
from diagnose.design.checks_relay import coil_draw, relay_contact
from diagnose.design.checks_switch import carrying, switches_motor
from diagnose.design.checks_wire import wire_for_length
from diagnose.design.finding import FINE, NOTE, SHOULD, UNSAFE, Finding, Severity, worst_first
from diagnose.design.plan import Plan
from diagnose.design.site import site

Check = Callable[[Plan], Iterator[Finding]]
Symbols = Mapping[Severity, str]

JUDGED: Mapping[str, tuple[Check, Symbols, str]] = {
    "fuse-over-wire": (fuse_for_wire, {UNSAFE: "over", SHOULD: "over"}, "within"),
    "wire-drop": (wire_for_length, {FINE: "within-3", NOTE: "within-10"}, "over"),
    "battery-size": (battery_size, {UNSAFE: "small", SHOULD: "small"}, "fair"),
    "fuse-distance": (fuse_distance, {FINE: "near", NOTE: "near"}, "far"),
}
"""By fact the check that settles it, the symbols of its verdicts, and that of all others, which is
that of a rig on which the check finds nothing to judge."""

OF_A_RELAY: Mapping[str, tuple[Check, Symbols, str]] = {
    "relay-contact": (relay_contact, {UNSAFE: "under", SHOULD: "under"}, "within"),
    "coil-draw": (coil_draw, {UNSAFE: "large", SHOULD: "large"}, "small"),
}

SWITCH_LOAD: Symbols = {FINE: "within", NOTE: "doubtful", SHOULD: "doubtful", UNSAFE: "over"}
"""Of a switch that carries the motor: perhaps not rated for it, or surely not."""


def rig_facts(model: Model) -> dict[str, str]:
    """Name to symbol: what a rig was built to do, and where it was built wrong."""
    plan = Plan(model, site(figures=model.figures))
    judged = {**JUDGED, **(OF_A_RELAY if model.rig.has_relay else {})}
    return {
        **_told(model.rig),
        **{name: _symbol(plan, *one) for name, one in judged.items()},
        "fuse-over-running": _fuse(plan),
        **_switch(plan),
    }


def _symbol(plan: Plan, check: Check, symbols: Symbols, other: str) -> str:
    found = worst_first(check(plan))
    return symbols.get(found[0].severity, other) if found else other


def _fuse(plan: Plan) -> str:
    """Where the check wants another fuse for the current, whether a larger or a smaller one."""
    found = next(fuse_for_running(plan), None)
    if found is None or plan.guard is None or found.severity in (FINE, NOTE):
        return "right"
    least = least_fuse(plan.through(plan.guard.placed.end), plan.figures)
    return "under" if plan.guard.rating < least else "over"


def _switch(plan: Plan) -> dict[str, str]:
    """Whether a pressure or float switch carries the motor, and whether it is rated for it."""
    own = [one for one in carrying(plan.rig) if one.part.kind in AUTOMATIC]
    found = worst_first(switches_motor(plan, one) for one in own)
    return {
        "switch-carries-motor": _yes(bool(found)),
        "switch-load": SWITCH_LOAD[found[0].severity] if found else "within",
    }


def _told(rig: Rig) -> dict[str, str]:
    """What the rig file says, without a judgement. Of the water's way nothing may be known."""
    water = dict(rig.water)
    return {
        "topology": rig.topology,
        "control": rig.control,
        "remote": _yes(rig.remote),
        **({"control-tap": rig.control_tap} if rig.has_relay else {}),
        "battery-kind": rig.battery_kind,
        "battery-volts": f"{12 * rig.times_12:g}",
        "batteries-in-series": _yes(rig.battery_series > 1),
        "use": rig.use or "unknown",
        "first-protection": rig.first_protection,
        "control-fuse": _yes(rig.has_control_fuse),
        "master-switch": _yes(any(one.part.kind == "master_switch" for one in feed_of(rig))),
        "float-closes": rig.float_closes,
        "pump-kind": rig.pump_kind,
        "charging": "on" if rig.charging else "none",
        "loads": _yes(bool(rig.loads)),
        **{key.replace("_", "-"): water.get(key, "unknown") for key in WATER},
    }


def _yes(value: bool) -> str:
    return "yes" if value else "no"
