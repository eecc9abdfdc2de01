"""What the switch that calls the pump has to switch, and whether such a switch can."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from diagnose.circuit.design import usual_switch
from diagnose.circuit.rig import Rig
from diagnose.design.checks_relay import contact_step
from diagnose.design.finding import Finding, Severity, step
from diagnose.design.plan import Plan
from diagnose.design.wording import n, q, shown

FINE, NOTE, SHOULD, UNSAFE = (
    Severity.FINE,
    Severity.NOTE,
    Severity.SHOULD_CHANGE,
    Severity.UNSAFE,
)
NAMES = {"pressure_switch": "pressure switch", "float_switch": "float switch"}


def cured(plan: Plan) -> Rig:
    """The same rig with a relay: its switch carries the coil, the relay carries the motor."""
    return replace(
        plan.rig,
        topology="relay",
        control_tap="fuse.out",
        relay_contact=contact_step(plan),
        relay_coil=plan.figures.get("relay-coil-usual", "ohm"),
        control_fuse_rating=3.0,
    )


def switch_rating(plan: Plan) -> Iterator[Finding]:
    """The contact of the pressure or float switch against the current that it makes and breaks."""
    if plan.rig.control not in NAMES:
        return
    yield _switches_coil(plan) if plan.rig.has_relay else _switches_motor(plan)


def _usual_ratings(plan: Plan) -> tuple[float, float]:
    """Lowest and highest rating that such switches have [A], or what its label says."""
    known = plan.site.switch_rating
    return usual_switch(plan.rig, plan.figures) if known is None else (known, known)


def _switches_motor(plan: Plan) -> Finding:
    name, current = NAMES[plan.rig.control], plan.running
    lowest, highest = _usual_ratings(plan)
    good, most = (plan.figures.get(f"motor-contact-share-{limit}") for limit in ("good", "largest"))
    severity = step(
        current,
        (good * lowest, FINE),
        (good * highest, NOTE),
        (most * highest, SHOULD),
        above=UNSAFE,
    )
    verdict = {
        FINE: "which its contact stands",
        NOTE: f"which only a contact rated {q(current / good, 'A')} or more stands for long: "
        "read its label",
        SHOULD: "at the very end of what such contacts stand",
        UNSAFE: "more than such contacts stand: they burn, or weld and do not stop the pump",
    }
    what = (
        f"The {name} carries the motor itself, {shown(current, 'A')} running and "
        f"{shown(plan.starting, 'A')} at each start, {verdict[severity]}."
    )
    return Finding(
        "switch-carries-motor",
        severity,
        what,
        shown(current, "A"),
        f"{q(most * highest, 'A')} ({q(highest, 'A')} contact)",
        plan.source("small-switch-rating"),
        _cure(plan, severity, current / good),
        (
            f"{n(most)} x {q(highest, 'A')} = {q(most * highest, 'A')} at the most",
            f"{q(current, 'A')} / {n(good)} = {q(current / good, 'A')} for a contact that lasts",
            f"{q(current, 'A')} / {n(most)} = {q(current / most, 'A')} at the least",
        ),
    )


def _cure(plan: Plan, severity: Severity, rating: float) -> str:
    if severity is FINE:
        return ""
    label = f"Unless its label says {q(rating, 'A')} or more: " if severity is NOTE else ""
    return label + relay_circuit(plan)


def relay_circuit(plan: Plan) -> str:
    """The circuit that takes the motor's current off the switch, in words."""
    name, rig = NAMES[plan.rig.control], cured(plan)
    coil = plan.battery_volts / rig.relay_coil
    return (
        f"Fit a relay: 30 to the master switch, 87 to the motor (contact "
        f"{q(rig.relay_contact, 'A')} or more); a {q(rig.control_fuse_rating, 'A')} control fuse "
        f"behind the main fuse, from it thin wire through the {name} to 86, and 85 to ground. "
        f"The {name} then switches a coil of 60 to 110 ohm, {shown(coil, 'A')}. Put a resistor of "
        "470 to 680 ohm, or a diode with a zener, across the coil."
    )


def _switches_coil(plan: Plan) -> Finding:
    name, current = NAMES[plan.rig.control], plan.coil_current
    lowest, _ = _usual_ratings(plan)
    good = plan.figures.get("motor-contact-share-good")
    most = good * lowest
    fits = current <= most
    return Finding(
        "switch-carries-coil",
        FINE if fits else SHOULD,
        f"The {name} switches only the relay's coil, {shown(current, 'A')}.",
        shown(current, "A"),
        f"{q(most, 'A')} ({q(lowest, 'A')} contact)",
        plan.source("small-switch-rating"),
        "" if fits else "Fit a relay with a coil of 60 to 110 ohm.",
        (
            f"{q(plan.battery_volts, 'V')} / {q(plan.rig.relay_coil, 'ohm')} = {q(current, 'A')}",
            f"{n(good)} x {q(lowest, 'A')} = {q(most, 'A')}",
        ),
    )
