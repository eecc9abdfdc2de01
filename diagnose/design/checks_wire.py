"""Is the wire thick enough for its length and for its current."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.circuit.ratings import usual_fuse
from diagnose.design.ampacity import smallest_for
from diagnose.design.finding import Finding, Severity, step
from diagnose.design.plan import Plan
from diagnose.design.recommend import both
from diagnose.design.sizing import (
    Choice,
    Sizes,
    choose,
    either,
    least_copper,
    smallest_by_resistance,
)
from diagnose.design.wording import FOOT, length, n, per_cent, q, shown
from diagnose.units import gauge_text

FINE, NOTE, SHOULD, UNSAFE = (
    Severity.FINE,
    Severity.NOTE,
    Severity.SHOULD_CHANGE,
    Severity.UNSAFE,
)

TOO_LONG = "No wire of the tables loses so little: shorten the way, or bring a battery nearer."
NONE_COOL = (
    "No wire of the tables may carry so much as it lies here: insulation of a higher class, cooler "
    "air, or fewer in its bundle."
)
"""What to change where thicker wire does not help."""


def wire_for_length(plan: Plan) -> Iterator[Finding]:
    """Copper of the wire against the published size formula, for 3 % and for 10 %."""
    rig, figures = plan.rig, plan.figures
    good, most = (
        choose(plan.running, plan.one_way, figures.get(name), figures)
        for name in ("drop-critical", "drop-largest")
    )
    copper = _copper(plan)
    severity = FINE if copper >= good.needed else NOTE if copper >= most.needed else SHOULD
    verdict = {
        FINE: "is thick enough for a drop of 3 % over its length",
        NOTE: "loses more than 3 % over its length, though not more than 10 %",
        SHOULD: "is too thin for its length: it loses more than 10 %",
    }
    yield Finding(
        "wire-for-length",
        severity,
        f"{_sizes(plan)}, with {n(copper)} CM of copper at the least, over "
        f"{length(plan.one_way)} one way {verdict[severity]}.",
        f"{rig.wire_gauge}, {n(copper)} CM",
        f"{n(good.needed)} CM, least {n(most.needed)}",
        plan.source("wire-size-constant"),
        "" if severity is FINE else _thicker(plan, good, most, severity),
        tuple(_size_sum(plan, choice) for choice in (good, most)),
    )


def _copper(plan: Plan) -> float:
    """Least copper of the wire [CM]; of unlike wires out and back, of one that loses as much."""
    rig, figures = plan.rig, plan.figures
    out = least_copper(rig.wire_area, figures)
    if rig.return_area in (0, rig.wire_area):
        return out
    back = least_copper(rig.return_area, figures)
    return (rig.wire_length + plan.back) / (rig.wire_length / out + plan.back / back)


def _sizes(plan: Plan) -> str:
    """The wire by its size, out and back where they are unlike."""
    rig = plan.rig
    if rig.return_area in (0, rig.wire_area):
        return rig.wire_gauge
    return f"{rig.wire_gauge} out and {gauge_text(rig.return_area)} back"


def _size_sum(plan: Plan, choice: Choice) -> str:
    constant = plan.figures.get("wire-size-constant")
    feet = 2 * choice.length / FOOT
    sum_ = f"{n(constant)} x {q(plan.running, 'A')} x {q(feet, 'ft')} / {q(choice.volts, 'V')}"
    return f"{sum_} = {n(choice.needed)} CM"


def _thicker(plan: Plan, good: Choice, most: Choice, severity: Severity) -> str:
    best, least = (behind_fuse(plan, choice.sizes) for choice in (good, most))
    if not any(least):
        return TOO_LONG
    enough = f"at the least {either(least)} for 10 %"
    if not any(best):
        return f"Run {enough}, out and back; 3 % asks for a shorter way."
    middle = f"; {enough}" if severity is SHOULD else ""
    return f"Run {either(best)}, out and back, for 3 %{middle}; or shorten the way."


def behind_fuse(plan: Plan, sizes: Sizes) -> Sizes:
    """Sizes made as thick as the rig's fuse asks; where it protects none at all, as thick as the
    fuse that the pump asks for."""
    usual = usual_fuse(plan.running, plan.figures)
    fuses = (plan.fused, usual)
    found = (smallest_for(rating, plan.site, plan.figures) for rating in fuses)
    return both(sizes, next(filter(any, found), (None, None)))


def volts_lost(plan: Plan) -> Iterator[Finding]:
    """The whole way, joints and switches included, while the pump runs."""
    lost = plan.running * plan.loop.ohms + plan.loads.volts()
    share = lost / plan.nominal
    fair, most = (plan.figures.get(name) for name in ("drop-fair", "drop-largest"))
    severity = step(share, (fair, FINE), (most, NOTE), above=SHOULD)
    wires = sum(plan.lost(stretch) for stretch in plan.loop.stretches if stretch.wire)
    yield Finding(
        "volts-lost-running",
        severity,
        f"Running, the pump loses {shown(lost, 'V')} on its way out and back, "
        f"{shown(wires, 'V')} of it in the wires."
        if lost < plan.battery_volts
        else "The pump's running current would lose all that the battery has on its way.",
        f"{per_cent(share)} of {q(plan.nominal, 'V')}",
        f"fair {n(100 * fair)} %, most {n(100 * most)} %",
        plan.source("drop-largest"),
        "" if severity is FINE else _own_wire(plan),
        (
            *_way_sums(plan),
            f"{q(plan.running, 'A')} x {q(plan.loop.ohms, 'ohm')}{_more(plan, plan.loads.volts())}"
            f" = {q(lost, 'V')}",
            f"100 x {q(lost, 'V')} / {q(plan.nominal, 'V')} = {n(100 * share)} %",
        ),
    )


def _more(plan: Plan, volts: float, sign: str = "+") -> str:
    """What other loads on the same wires take [V], as a further term of a sum."""
    return f" {sign} {q(volts, 'V')} (other loads)" if plan.rig.loads else ""


def _way_sums(plan: Plan) -> tuple[str, str]:
    """How the resistance of the whole way comes about: wire by the foot, then the joints."""
    feet, wires = 2 * plan.one_way / FOOT, plan.loop.wires
    joints = plan.loop.ohms - wires
    return (
        f"{q(feet, 'ft')} x {q(wires / feet, 'ohm')} (a foot of it) = {q(wires, 'ohm')}",
        f"{q(wires, 'ohm')} (wires) + {q(joints, 'ohm')} (joints) = {q(plan.loop.ohms, 'ohm')}",
    )


def _own_wire(plan: Plan) -> str:
    """The wire that would keep this rig, with its own battery and joints, within 5 %."""
    joints = plan.running * (plan.loop.ohms - plan.loop.wires) + plan.loads.volts()
    fair = plan.figures.get("drop-fair")
    left = fair * plan.battery_volts - joints
    if left <= 0:
        return (
            f"Joints, fuse and switches alone lose {shown(joints, 'V')}: heavier parts or fewer of "
            "them; thicker wire cannot mend it."
        )
    sizes = smallest_by_resistance(plan.running, plan.one_way, left, plan.site.air, plan.figures)
    sizes = behind_fuse(plan, sizes)
    if not any(sizes):
        return TOO_LONG
    return (
        f"With this battery's {shown(plan.battery_volts, 'V')} and {shown(joints, 'V')} in the "
        f"joints, {either(sizes)} keeps the whole within {per_cent(fair)}."
    )


def turning_speed(volts: float, rated: float, inside: float) -> float:
    """Speed at `volts` over the speed at `rated` [V], both at the same torque; 0 at the least.

    inside: what brushes and winding take at that torque's current [V]
    Source: d.c. machine theory, (V2 - inside) / (V1 - inside); worked row in tests/tables.
    """
    return max((volts - inside) / (rated - inside), 0.0)


def volts_at_motor(plan: Plan) -> Iterator[Finding]:
    """What is left for the motor, and what that costs in speed and flow."""
    volts = plan.motor_volts(plan.battery_volts, plan.battery_ohms)
    least = plan.figures.get("least-motor-volts", "V")
    rated = plan.figures.get("motor-rated-voltage", "V")
    inside = plan.brush_volts + plan.running * plan.motor_ohms
    speed = turning_speed(volts, rated, inside)
    ohms = plan.battery_ohms + plan.loop.ohms
    yield Finding(
        "volts-at-motor",
        FINE if volts >= least else SHOULD,
        f"The motor gets {shown(volts, 'V')}: at equal pressure it turns at {100 * speed:.0f} % of "
        f"its speed at {q(rated, 'V')}, and its flow goes with the speed."
        if speed > 0
        else "Too little is left for the motor to turn at all against its pressure.",
        shown(volts, "V") if volts > 0 else "nothing left",
        f"at least {q(least, 'V')} under load",
        plan.source("least-motor-volts"),
        "" if volts >= least else "Lose less on the way, or fit a battery that sags less.",
        (
            f"{q(plan.battery_volts, 'V')} - {q(plan.running, 'A')} x {q(ohms, 'ohm')}"
            f"{_more(plan, plan.taken(plan.battery_ohms), '-')} = {q(volts, 'V')}",
            f"{q(plan.brush_volts, 'V')} + {q(plan.running, 'A')} x {q(plan.motor_ohms, 'ohm')} = "
            f"{q(inside, 'V')}",
            f"100 x ({q(volts, 'V')} - {q(inside, 'V')}) / ({q(rated, 'V')} - {q(inside, 'V')}) = "
            f"{n(100 * (volts - inside) / (rated - inside))} %",
        )[: 3 if speed > 0 else 2],
    )


def volts_at_start(plan: Plan) -> Iterator[Finding]:
    """The start: what the way leaves of the starting current, and so of the starting torque."""
    start, free = plan.starting, plan.stall_at_terminals
    lost, share = start * plan.loop.ohms, start / free
    least = plan.figures.get("least-start-share")
    ohms = plan.battery_ohms + plan.loop.ohms + plan.motor_ohms
    severity = FINE if share >= least else NOTE
    yield Finding(
        "volts-lost-starting",
        severity,
        f"Starting, the motor draws {shown(start, 'A')} for some hundredths of a second and loses "
        f"{shown(lost, 'V')} ({per_cent(lost / plan.nominal)}) on the way; that is "
        f"{100 * share:.0f} % of its start at full voltage.",
        f"{100 * share:.0f} % of the start",
        f"at least {100 * least:.0f} %, an estimate",
        plan.source("least-start-share"),
        "" if severity is FINE else "It starts weakly against pressure: thicker or shorter wire.",
        (
            f"({q(plan.battery_volts, 'V')} - {q(plan.brush_volts, 'V')}"
            f"{_more(plan, plan.taken(plan.battery_ohms), '-')}) / {q(ohms, 'ohm')} = "
            f"{q(start, 'A')}",
            f"{q(start, 'A')} x {q(plan.loop.ohms, 'ohm')} = {q(lost, 'V')}",
            f"100 x {q(start, 'A')} / {q(free, 'A')} = {n(100 * share)} %",
        ),
    )


def wire_for_current(plan: Plan) -> Iterator[Finding]:
    """The running current against what the wire may carry where it lies."""
    may, amps = plan.allowed, plan.running + plan.loads.amps
    fits = amps <= may.amps
    sizes = behind_fuse(plan, smallest_for(amps, plan.site, plan.figures))
    others = " and the other loads" if plan.rig.loads else ""
    change = f"Run {either(sizes)} or thicker." if any(sizes) else NONE_COOL
    yield Finding(
        "wire-for-current",
        FINE if fits else UNSAFE,
        f"{plan.wire.gauge} of {plan.site.insulation} degC insulation, {plan.site.bundle} in a "
        f"bundle, air of {n(plan.site.air)} degC: "
        + (f"it may carry the pump{others}." if fits else _too_hot(plan)),
        q(amps, "A"),
        f"{shown(may.amps, 'A')} allowed",
        plan.source(plan.ampacity_table),
        "" if fits else change,
        (allowed_sum(plan),),
    )


def _too_hot(plan: Plan) -> str:
    others = " and that of the other loads" if plan.rig.loads else ""
    return f"the pump's current{others} overheats it."


def allowed_sum(plan: Plan) -> str:
    """Table value, warmth and bundle as one sum."""
    may = plan.allowed
    sum_ = f"{q(may.table, 'A')} x {n(may.warmth)} (warm air) x {n(may.bundle)} (bundle)"
    return f"{sum_} = {q(may.amps, 'A')}"


def wire_of_its_own(plan: Plan) -> Iterator[Finding]:
    """A single wire thinner than 16 AWG breaks before it burns."""
    least = plan.figures.get("smallest-wire", "mm^2")
    wire = min((plan.rig.wire_area, plan.rig.return_area or plan.rig.wire_area))
    gauge = plan.rig.wire_gauge if wire == plan.rig.wire_area else gauge_text(wire)
    fits = wire >= least
    yield Finding(
        "wire-strength",
        FINE if fits else SHOULD,
        f"{gauge} is {'strong enough' if fits else 'too thin'} for a wire by itself.",
        q(wire, "mm2"),
        f"{q(least, 'mm2')} (16 AWG)",
        plan.source("smallest-wire"),
        "" if fits else "Run 16 AWG or 1.5 mm2 at the least; thinner belongs in a sheath.",
    )
