"""Plugs, isolators, controllers and low-voltage cut-outs: are they made for this pump, and for this
battery. And several batteries, and what charges them."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.circuit.parts import Placed, feed_of
from diagnose.design.checks_battery import LITHIUM, usual_depth
from diagnose.design.finding import Finding, Severity
from diagnose.design.plan import Plan
from diagnose.design.wording import called, n, q, shown

FINE, NOTE, SHOULD, UNSAFE = (
    Severity.FINE,
    Severity.NOTE,
    Severity.SHOULD_CHANGE,
    Severity.UNSAFE,
)
RATED = {
    "plug": ("rating", "its contacts heat, and melt the housing"),
    "isolator": ("contact", "its contact burns or welds"),
    "controller": ("rating", "it shuts down, or burns out"),
}
"""Kinds that are rated for what flows for long: key of the rating, and what comes of too much."""

ON_THE_ENGINE = ("alternator", "vehicle")


def part_ratings(plan: Plan) -> Iterator[Finding]:
    """The rating of each plug, isolator and controller against what flows through it."""
    for one in feed_of(plan.rig):
        if one.part.kind in RATED:
            yield _rating(plan, one)


def _rating(plan: Plan, one: Placed) -> Finding:
    key, comes = RATED[one.part.kind]
    rating, amps = one.part.number(key), plan.through(one.end)
    factor = plan.figures.get("part-over-running")
    least = factor * amps
    severity = UNSAFE if rating < amps else SHOULD if rating < least else FINE
    verdict = {
        UNSAFE: f"is rated below the {shown(amps, 'A')} through it: {comes}",
        SHOULD: f"has nothing in hand over the {shown(amps, 'A')} through it: in time {comes}",
        FINE: f"carries the {shown(amps, 'A')} through it for good",
    }
    return Finding(
        f"{one.part.kind}-rating",
        severity,
        f"The {q(rating, 'A')} {called(one)} {verdict[severity]}.",
        q(rating, "A"),
        f"{shown(least, 'A')} for {shown(amps, 'A')}",
        plan.source("part-over-running"),
        "" if severity is FINE else f"Fit one for {shown(least, 'A')} or more.",
        (f"{n(factor)} x {q(amps, 'A')} = {q(least, 'A')}",),
    )


def cutout_setting(plan: Plan) -> Iterator[Finding]:
    """The volts at which a low-voltage cut-out opens, against the kind of battery and against what
    it sees while the pump runs."""
    for one in feed_of(plan.rig):
        if one.kind.opens_below:
            yield _setting(plan, one)
            yield _running_at(plan, one)


def _setting(plan: Plan, one: Placed) -> Finding:
    opens, kind = one.part.number(one.kind.opens_below), plan.rig.battery_kind
    row = plan.figures.table("cutout-setting").row(kind)
    low, high = row["lowest"], row["highest"]
    severity = SHOULD if opens < low else NOTE if opens > high else FINE
    verdict = {
        SHOULD: "which lets the battery go flat before it opens",
        NOTE: "which leaves much of the charge unused",
        FINE: f"which suits a battery of this kind ({kind})",
    }
    return Finding(
        "cutout-setting",
        severity,
        f"The {called(one)} opens at {q(opens, 'V')}, {verdict[severity]}.",
        q(opens, "V"),
        f"{n(low)} to {q(high, 'V')} for {kind}",
        plan.source("cutout-setting"),
        "" if severity is FINE else f"Set it to {n(low)} to {q(high, 'V')}.",
    )


def _running_at(plan: Plan, one: Placed) -> Finding:
    """Volts at the cut-out under the pump's current with the useful charge spent, and at a start
    from a full battery."""
    opens = one.part.number(one.kind.opens_below)
    charge = 1 - usual_depth(plan)
    rested, inside = plan.rested(charge), plan.battery_ohms_at(charge)
    ohms = _ahead(plan, one)
    spent = rested - plan.through(one.start) * (inside + ohms)
    start = plan.battery_volts - plan.starting * (plan.battery_ohms + ohms)
    severity = SHOULD if spent < opens else NOTE if start < opens else FINE
    verdict = {
        SHOULD: "so it opens while there is still charge to use",
        NOTE: f"and {shown(start, 'V')} at a start from full: without a delay it opens then",
        FINE: f"and {shown(start, 'V')} at a start from full: it stays closed as long as it should",
    }
    change = {
        SHOULD: "Lose less on the way to it, take its feeling wire to the battery, or set it lower "
        "as far as the battery permits.",
        NOTE: "Take one that waits some seconds before it opens, or lose less on the way to it.",
        FINE: "",
    }
    return Finding(
        "cutout-while-running",
        severity,
        f"With {100 * charge:.0f} % of the charge left and the pump running the {called(one)} sees "
        f"{shown(spent, 'V')}, {verdict[severity]}.",
        shown(spent, "V"),
        f"opens at {q(opens, 'V')}",
        plan.source("cutout-setting"),
        change[severity],
        (
            f"{q(rested, 'V')} - {q(plan.through(one.start), 'A')} x {q(inside + ohms, 'ohm')} = "
            f"{q(spent, 'V')}",
            f"{q(plan.battery_volts, 'V')} - {q(plan.starting, 'A')} x "
            f"{q(plan.battery_ohms + ohms, 'ohm')} = {q(start, 'V')}",
        ),
    )


def _ahead(plan: Plan, one: Placed) -> float:
    """Ohms between the battery's posts and a part of the feed, the way back to the stud counted,
    from which its electronics measure [ohm]."""
    return plan.loop.between("battery+", one.start) + plan.loop.between("ground", "battery-")


def reversing(plan: Plan) -> Iterator[Finding]:
    """A reversing switch on a pump that does not mind which way it turns."""
    if plan.rig.pump_kind != "diaphragm":
        return
    for one in feed_of(plan.rig):
        if one.part.kind == "reversing_switch":
            yield Finding(
                "reversing-switch",
                NOTE,
                f"A diaphragm pump gives water whichever way it turns, so the {called(one)} only "
                "adds contacts to both wires, each of which can burn.",
                "one",
                "none on a diaphragm pump",
                "common-practice",
                "Take it out, unless another pump is to be fed there.",
            )


def _in_series(plan: Plan) -> Finding:
    """Two batteries, the plus of one joined to the minus of the other."""
    rig = plan.rig
    count, volts = rig.battery_series, rig.battery_volts * rig.battery_series
    return Finding(
        "batteries-in-series",
        NOTE,
        f"{count} batteries in series make {q(volts, 'V')} and stay at "
        f"{q(rig.battery_capacity, 'A h')}; the weaker one sets what both give, and whatever is "
        "fed from one of them alone empties that one.",
        f"{count} x {q(rig.battery_volts, 'V')}",
        "alike, nothing fed from between them",
        "common-practice",
        "Take batteries of one kind, size and age; a link as thick as the feed; a converter for "
        "what needs fewer volts; charge each by itself twice a year, or fit an equaliser.",
        (f"{count} x {q(rig.battery_volts, 'V')} = {q(volts, 'V')}",),
    )


def battery_bank(plan: Plan) -> Iterator[Finding]:
    """Several batteries, in parallel or in series."""
    count = plan.rig.battery_count
    if plan.rig.battery_series > 1:
        yield _in_series(plan)
    if count == 1:
        return
    yield Finding(
        "batteries-in-parallel",
        NOTE,
        f"{count} batteries in parallel make {q(plan.capacity, 'A h')}; a bad one empties the "
        "others, and a short in one is fed by all of them.",
        f"{count} x {q(plan.rig.battery_capacity, 'A h')}",
        "alike, each fused",
        "common-practice",
        "Take batteries of one kind, size and age; a fuse at each plus; the plus wire off the "
        "first and the minus wire off the last, so that they share alike.",
        (f"{count} x {q(plan.rig.battery_capacity, 'A h')} = {q(plan.capacity, 'A h')}",),
    )


def charging_source(plan: Plan) -> Iterator[Finding]:
    """A lithium battery straight on an engine's alternator."""
    engine = [one for one in plan.rig.charging if one in ON_THE_ENGINE]
    if not engine or plan.rig.battery_kind != LITHIUM:
        return
    yield Finding(
        "charging-source",
        SHOULD,
        "A lithium battery takes all that an alternator can give, for an hour and more: without a "
        "limit the alternator overheats, and its volts may not suit the battery.",
        engine[0],
        "a charger between",
        "common-practice",
        "Put a charger for lithium batteries between alternator and battery.",
    )


def heater_relief(plan: Plan) -> Iterator[Finding]:
    """A water heater without anything that lets the pressure out."""
    water = dict(plan.rig.water)
    if (water.get("heater"), water.get("relief_valve")) != ("yes", "no"):
        return
    yield Finding(
        "heater-relief",
        UNSAFE,
        "Water expands as it is heated, and a heater that is closed in by pump and check valve has "
        "nowhere to let it go: without a relief valve it can burst and scald.",
        "none",
        "a relief valve on every heater",
        "common-practice",
        "Do not heat before a relief valve of the heater's pressure is fitted, its outlet led away "
        "in sight; local code says how.",
    )
