"""Does the relay carry the motor, what does its coil take, does it pull in and hold."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.circuit.relay import warmed
from diagnose.design.finding import Finding, Severity
from diagnose.design.plan import Plan
from diagnose.design.recommend import contact_for
from diagnose.design.wording import n, q, shown

FINE, NOTE, SHOULD, UNSAFE = (
    Severity.FINE,
    Severity.NOTE,
    Severity.SHOULD_CHANGE,
    Severity.UNSAFE,
)


def contact_step(plan: Plan) -> float:
    """The usual contact rating [A] to choose for this pump, with room for its start."""
    return contact_for(plan.running, plan.figures)


def relay_contact(plan: Plan) -> Iterator[Finding]:
    """The contact's rating against the running and the starting current."""
    if not plan.rig.has_relay:
        return
    contact, choice = plan.rig.relay_contact, contact_step(plan)
    run, start, stall = (
        plan.figures.get(f"relay-contact-over-{name}") for name in ("running", "start", "stall")
    )
    least = max(run * plan.running, start * plan.starting)
    severity = _contact_severity(plan, contact, least, choice)
    verdict = {
        UNSAFE: "is rated below the running current: it burns or welds, and a welded contact "
        "cannot be switched off",
        SHOULD: "is too small for running and starting current; it pits and may weld",
        NOTE: f"serves, though {q(choice, 'A')} would outlast it",
        FINE: "suits running and starting current",
    }
    yield Finding(
        "relay-contact",
        severity,
        f"The relay's {q(contact, 'A')} contact {verdict[severity]} "
        f"({shown(plan.running, 'A')}, at start {shown(plan.starting, 'A')}).",
        f"{q(contact, 'A')} contact",
        f"at least {shown(least, 'A')}, better {q(choice, 'A')}",
        plan.source("relay-contact-over-running"),
        "" if severity is FINE else f"Fit a relay with a contact of {q(choice, 'A')} or more.",
        tuple(
            f"{n(factor)} x {q(amps, 'A')} ({name}) = {q(factor * amps, 'A')}"
            for factor, amps, name in (
                (run, plan.running, "running"),
                (start, plan.starting, "starting here"),
                (stall, plan.stall_at_terminals, "starting at full voltage"),
            )
        ),
    )


def _contact_severity(plan: Plan, contact: float, least: float, choice: float) -> Severity:
    if contact < plan.running:
        return UNSAFE
    if contact < least:
        return SHOULD
    return NOTE if contact < choice else FINE


def coil_draw(plan: Plan) -> Iterator[Finding]:
    """What the coil takes all the time that the pump is called, and what it takes it from."""
    if not plan.rig.has_relay:
        return
    figures, rig, current = plan.figures, plan.rig, plan.coil_current
    usual = figures.get("relay-coil-usual-current", "A")
    ordinary = plan.battery_volts / figures.get("relay-coil-usual", "ohm")
    duty, night = plan.site.duty, figures.get("charging-time", "h")
    burns = rig.relay_coil < figures.get("coil-that-burns", "ohm")
    large = rig.relay_coil < figures.get("large-coil", "ohm")
    heat, left_on = plan.battery_volts * current, current * night
    verdict = (
        "is that of a starter solenoid; left on it burns out"
        if burns
        else "is that of a large solenoid"
        if large
        else "is that of a plug-in relay"
    )
    yield Finding(
        "coil-draw",
        UNSAFE if burns else SHOULD if large else FINE,
        f"The relay's {q(rig.relay_coil, 'ohm')} coil {verdict}: it takes {shown(current, 'A')} as "
        f"long as the pump is asked to run, where {shown(ordinary, 'A')} would do, and makes "
        f"{shown(heat, 'W')} of heat. Left on for {n(night)} h it takes "
        f"{100 * left_on / plan.capacity:.0f} % of the "
        f"{q(plan.capacity, 'A h')} battery.",
        shown(current, "A"),
        f"{q(usual, 'A')}, plug-in relay",
        plan.source("relay-coil-usual-current"),
        _smaller_coil(plan) if large else "",
        (
            f"{q(plan.battery_volts, 'V')} / {q(rig.relay_coil, 'ohm')} = {q(current, 'A')}",
            f"{q(plan.battery_volts, 'V')} x {q(current, 'A')} = {q(heat, 'W')}",
            f"{q(current, 'A')} x {q(duty, 'h')} = {q(current * duty, 'A h')} of one duty",
            f"100 x {q(current, 'A')} x {q(night, 'h')} / {q(plan.capacity, 'A h')} = "
            f"{n(100 * left_on / plan.capacity)} %",
        ),
    )


def _smaller_coil(plan: Plan) -> str:
    return (
        f"Fit a plug-in relay with a contact of {q(contact_step(plan), 'A')} and a coil of 60 to "
        "110 ohm, or a solenoid that drops to a small holding current; never leave a starter "
        "solenoid on."
    )


def pull_in(plan: Plan) -> Iterator[Finding]:
    """Coil voltage of a flat battery against what a hot coil needs to pull in."""
    if not plan.rig.has_relay:
        return
    volts, needs, sums = _coil_at_worst(plan, plan.figures.get("relay-pull-in", "V"))
    reserve = plan.figures.get("pull-in-reserve")
    ratio = volts / needs
    severity = FINE if ratio >= reserve else SHOULD
    yield Finding(
        "relay-pull-in",
        severity,
        f"With the battery flat and the coil hot the relay gets {shown(volts, 'V')} and needs "
        f"{shown(needs, 'V')}.",
        f"{n(ratio)} x its need",
        f"at least {n(reserve)} x",
        plan.source("pull-in-reserve"),
        ""
        if severity is FINE
        else "Fewer or better contacts in the control circuit, thicker wire.",
        (*sums, f"{q(volts, 'V')} / {q(needs, 'V')} = {n(ratio)}"),
    )


def _coil_at_worst(plan: Plan, cold: float) -> tuple[float, float, tuple[str, ...]]:
    """Coil voltage before the contact closes [V], what a hot coil needs instead of `cold` [V], and
    the sums. Source: figure copper-temperature-coefficient; pick-up current stays."""
    flat, hot = plan.rested(0.0), _hot(plan)
    coil = plan.rig.relay_coil * hot
    way = plan.control.ohms + plan.battery_ohms_at(0.0)
    volts = flat * coil / (coil + way)
    return (
        volts,
        cold * hot,
        (
            f"{q(plan.rig.relay_coil, 'ohm')} x {n(hot)} = {q(coil, 'ohm')} hot",
            f"{q(flat, 'V')} x {q(coil, 'ohm')} / ({q(coil, 'ohm')} + {q(way, 'ohm')}) = "
            f"{q(volts, 'V')}",
            f"{q(cold, 'V')} x {n(hot)} = {q(cold * hot, 'V')}",
        ),
    )


def _hot(plan: Plan) -> float:
    """Resistance of the coil after long duty over that at 20 degC."""
    coil = plan.site.air + plan.figures.get("coil-rise", "K")
    return float(warmed(1.0, coil, plan.figures))


def hold_at_start(plan: Plan) -> Iterator[Finding]:
    """The start pulls the coil's own supply down; it must not let go, or it chatters."""
    if not plan.rig.has_relay:
        return
    flat, inside = plan.rested(0.0), plan.battery_ohms_at(0.0)
    left = flat - plan.brush_volts - plan.taken(inside)
    start = left / (inside + plan.loop.ohms + plan.motor_ohms)
    shared = inside + plan.loop.between("battery+", plan.rig.control_tap)
    shared += plan.loop.between("ground", "battery-")
    other = _loads_at_tap(plan, inside)
    volts = flat - start * shared - other
    cold = plan.figures.get("relay-drop-out", "V")
    needs = cold * _hot(plan)
    severity = FINE if volts >= needs else SHOULD
    yield Finding(
        "relay-hold-at-start",
        severity,
        f"With the battery flat the start leaves {shown(volts, 'V')} where coil and motor share "
        f"the way; a hot relay lets go at about {shown(needs, 'V')}.",
        shown(volts, "V"),
        f"above {shown(needs, 'V')}",
        plan.source("relay-drop-out"),
        "" if severity is FINE else _steadier(plan),
        (
            f"({q(flat, 'V')} - {q(plan.brush_volts, 'V')}{_less(plan, plan.taken(inside))}) / "
            f"{q(inside + plan.loop.ohms + plan.motor_ohms, 'ohm')} = {q(start, 'A')}",
            f"{q(flat, 'V')} - {q(start, 'A')} x {q(shared, 'ohm')}{_less(plan, other)} = "
            f"{q(volts, 'V')}",
            f"{q(cold, 'V')} x {n(_hot(plan))} = {q(needs, 'V')}",
        ),
    )


def _loads_at_tap(plan: Plan, inside: float) -> float:
    """Volts that other loads take where coil and motor share the way [V]. inside: ohms of the
    battery."""
    way = (
        *plan.loop.span("battery+", plan.rig.control_tap),
        *plan.loop.span("ground", "battery-"),
    )
    on_wires: float = sum(plan.loads.on(stretch) * stretch.ohms for stretch in way)
    return on_wires + plan.loads.amps * inside


def _less(plan: Plan, volts: float) -> str:
    return f" - {q(volts, 'V')} (other loads)" if plan.rig.loads else ""


def _steadier(plan: Plan) -> str:
    """Never the battery's lug: a feed from there only hides a bad joint, and stays alive."""
    behind = plan.guards[0] if plan.guards else None
    nearer = f"tap the control feed right behind the {behind.name}; " if behind else ""
    order, tap = plan.loads.order, plan.rig.control_tap
    late = behind is not None and order[tap] > order[behind.placed.end]
    first = nearer if late else ""
    return f"{first}thicker wire up to the tap, a larger battery.".capitalize()
