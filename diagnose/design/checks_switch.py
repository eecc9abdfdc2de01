"""What the switches of a rig have to switch, and whether such switches can."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import dropwhile, takewhile
from typing import Any

from diagnose.circuit.kinds import Part
from diagnose.circuit.parts import Placed, control_of, feed_of
from diagnose.circuit.rig import Rig
from diagnose.circuit.switches import control_switches
from diagnose.design.checks_relay import contact_step
from diagnose.design.finding import Finding, Severity, step
from diagnose.design.plan import Plan
from diagnose.design.wording import called, listed, n, q, shown

FINE, NOTE, SHOULD, UNSAFE = (
    Severity.FINE,
    Severity.NOTE,
    Severity.SHOULD_CHANGE,
    Severity.UNSAFE,
)
SMALL, OTHER = "small-switch-rating", "other-switch-rating"
"""Figure tables of what such switches are rated for."""

CONTROL_FUSE = 3.0
"""Rating of the control fuse of a relay that is added [A]; common practice."""


def carrying(rig: Rig) -> tuple[Placed, ...]:
    """The switches in the motor's own line, but for the master switch."""
    found = (one for one in feed_of(rig) if one.kind.calls or one.part.kind == "ignition")
    return tuple(found)


def _movable(rig: Rig) -> tuple[Part, ...]:
    """Those of them that can switch a relay's coil instead. One that turns the motor round
    cannot."""
    return tuple(one.part for one in carrying(rig) if not one.kind.poles)


def cured(plan: Plan) -> Rig:
    """The same rig with a relay: its switches carry the coil, the relay carries the motor. As it
    is, where it has a relay or nothing that can be moved."""
    rig, coil = plan.rig, plan.figures.get("relay-coil-usual", "ohm")
    if rig.has_relay or not _movable(rig):
        return rig
    listed_too = _with_relay(plan, coil) if rig.feed else {"control_tap": "fuse.out"}
    return replace(
        rig,
        topology="relay",
        relay_contact=contact_step(plan),
        relay_coil=coil,
        control_fuse_rating=CONTROL_FUSE,
        **listed_too,
    )


def _with_relay(plan: Plan, coil: float) -> dict[str, Any]:
    """The lists of the same rig with a relay where its first switch stood."""
    moved = _movable(plan.rig)
    relay = Part("relay", "relay", (("coil", coil), ("contact", contact_step(plan))))
    place = plan.rig.feed.index(moved[0])
    before, behind = plan.rig.feed[:place], plan.rig.feed[place:]
    fuse = Part("fuse", "control fuse", (("rating", CONTROL_FUSE),))
    ahead = [one.placed for one in plan.guards if one.placed.part in before]
    return {
        "feed": (*before, relay, *(part for part in behind if part not in moved)),
        "control_parts": (fuse, *moved),
        "control_tap": ahead[0].end if ahead else "lug+",
    }


def switch_rating(plan: Plan) -> Iterator[Finding]:
    """The contact of each switch against the current that it makes and breaks."""
    for one in carrying(plan.rig):
        yield switches_motor(plan, one)
    if plan.rig.has_relay:
        for one in control_of(plan.rig):
            if one.kind.by_itself:
                yield _switches_coil(plan, one)


def _table(one: Placed) -> str:
    return SMALL if one.part.kind in ("pressure_switch", "float_switch") else OTHER


def _usual_ratings(plan: Plan, one: Placed) -> tuple[float, float]:
    """Lowest and highest rating that such switches have [A], or what the label of the one that
    calls the pump says."""
    known = plan.rig.switch_rating if plan.site.switch_rating is None else plan.site.switch_rating
    if known is not None and one.parameters[-1] in control_switches(plan.rig):
        return known, known
    row = plan.figures.table(_table(one)).row(one.part.kind)
    return row["lowest"], row["highest"]


def switches_motor(plan: Plan, one: Placed) -> Finding:
    name, current = called(one), plan.through(one.end)
    lowest, highest = _usual_ratings(plan, one)
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
        plan.source(_table(one)),
        _cure(plan, one, severity, current / good),
        (
            f"{n(most)} x {q(highest, 'A')} = {q(most * highest, 'A')} at the most",
            f"{q(current, 'A')} / {n(good)} = {q(current / good, 'A')} for a contact that lasts",
            f"{q(current, 'A')} / {n(most)} = {q(current / most, 'A')} at the least",
        ),
    )


def _cure(plan: Plan, one: Placed, severity: Severity, rating: float) -> str:
    if severity is FINE:
        return ""
    label = f"Unless its label says {q(rating, 'A')} or more: " if severity is NOTE else ""
    if one.part not in _movable(plan.rig):
        return _begun(f"{label}fit one rated {q(rating, 'A')} or more.")
    if plan.rig.has_relay:
        return _begun(f"{label}move the {called(one)} into the relay's control line.")
    if one is not (worst := _worst(plan)):
        return _begun(f"{label}let the relay advised for the {called(worst)} carry the motor.")
    return label + relay_circuit(plan)


def _worst(plan: Plan) -> Placed:
    """The switch that a relay is wanted for most: with the largest part of what it stands."""

    def share(one: Placed) -> float:
        return plan.through(one.end) / _usual_ratings(plan, one)[1]

    return max((one for one in carrying(plan.rig) if not one.kind.poles), key=share)


def _begun(text: str) -> str:
    """A sentence with a capital letter at its start."""
    return text[:1].upper() + text[1:]


def relay_circuit(plan: Plan) -> str:
    """The circuit that takes the motor's current off the switches, in words."""
    rig = cured(plan)
    names = listed(f"the {called(one)}" for one in carrying(plan.rig) if not one.kind.poles)
    coil, behind = plan.battery_volts / rig.relay_coil, _behind(plan, rig.control_tap)
    return (
        f"Fit a relay: 30 to the {_before_relay(rig)}, 87 to the {_behind_relay(rig)} (contact "
        f"{q(rig.relay_contact, 'A')} or more); a {q(rig.control_fuse_rating, 'A')} control fuse "
        f"{behind}, from it thin wire through {names} to 86, and 85 to ground. "
        f"{_begun(names)} then {'switch' if ' and ' in names else 'switches'} a coil "
        f"of 60 to 110 ohm, {shown(coil, 'A')}. Put a resistor of "
        "470 to 680 ohm, or a diode with a zener, across the coil."
    )


def _before_relay(rig: Rig) -> str:
    """What stands ahead of the relay."""
    ahead = [*takewhile(lambda one: one.part.kind != "relay", feed_of(rig))]
    return called(ahead[-1]) if ahead else "battery"


def _behind_relay(rig: Rig) -> str:
    """What stands behind the relay."""
    found = [*dropwhile(lambda one: one.part.kind != "relay", feed_of(rig))]
    return called(found[1]) if len(found) > 1 else "motor"


def _behind(plan: Plan, tap: str) -> str:
    name = next((one.name for one in plan.guards if one.placed.end == tap), "")
    return f"behind the {name}" if name else "at the battery"


def _switches_coil(plan: Plan, one: Placed) -> Finding:
    name, current = called(one), plan.coil_current
    lowest, _ = _usual_ratings(plan, one)
    good = plan.figures.get("motor-contact-share-good")
    most = good * lowest
    fits = current <= most
    return Finding(
        "switch-carries-coil",
        FINE if fits else SHOULD,
        f"The {name} switches only the relay's coil, {shown(current, 'A')}.",
        shown(current, "A"),
        f"{q(most, 'A')} ({q(lowest, 'A')} contact)",
        plan.source(_table(one)),
        "" if fits else "Fit a relay with a coil of 60 to 110 ohm.",
        (
            f"{q(plan.battery_volts, 'V')} / {q(plan.rig.relay_coil, 'ohm')} = {q(current, 'A')}",
            f"{n(good)} x {q(lowest, 'A')} = {q(most, 'A')}",
        ),
    )
