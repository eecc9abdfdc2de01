"""Do the fuses suit the wires behind them and the currents through them."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from diagnose.circuit.fuse import FUSE
from diagnose.circuit.ratings import least_fuse, next_fuse, usual_fuse
from diagnose.design.ampacity import ampacity, largest_fuse, smallest_for
from diagnose.design.checks_wire import allowed_sum
from diagnose.design.finding import Finding, Severity, step
from diagnose.design.plan import Plan
from diagnose.design.protection import Guard
from diagnose.design.sizing import either
from diagnose.design.wording import INCH, n, q, shown
from diagnose.figures import Figures


def opening_window(ratio: float, figures: Figures, of: str = FUSE) -> tuple[float, float]:
    """Shortest and longest time to open [s] at current over rating; (inf, inf) below 1.1.

    A fuse or breaker in order opens anywhere between; below 1.35 it need not open at all (longest
    inf). Straight lines between the points on a log-log plot; beyond the last point the time falls
    with the square of the current. Source: the figure table `of`.
    """
    table = figures.table(of)
    ratios = table.column("ratio")
    if ratio < ratios[0]:
        return math.inf, math.inf
    beyond = (ratios[-1] / max(ratio, ratios[-1])) ** 2
    shortest, longest = (
        beyond * float(np.exp(np.interp(math.log(ratio), np.log(ratios), np.log(times))))
        for times in (table.column("shortest"), table.column("longest"))
    )
    surely = figures.get("fuse-surely-opens")
    return shortest, longest if ratio >= surely else math.inf


FINE, NOTE, SHOULD, UNSAFE = (
    Severity.FINE,
    Severity.NOTE,
    Severity.SHOULD_CHANGE,
    Severity.UNSAFE,
)
LONG = 60.0
"""A jammed motor that draws its full current for longer than this [s] smells. Estimate."""


def fuse_for_wire(plan: Plan) -> Iterator[Finding]:
    """The fuse protects the wire: at most what the wire may carry, or the next rating above it."""
    if not plan.guards:
        return
    guard, may, figures = plan.guards[0], plan.allowed.amps, plan.figures
    rating = guard.rating
    most = figures.get("fuse-over-wire-largest") * may
    good = figures.get("fuse-over-wire-good") * may
    severity = step(rating, (good, FINE), (min(next_fuse(good, figures), most), NOTE), above=UNSAFE)
    verdict = {
        FINE: "protects the wire behind it",
        NOTE: "is the next rating above what the wire may carry",
        UNSAFE: f"does not protect the wire: a jam or a chafe heats the wire, not the {guard.kind}",
    }
    holds = figures.get("fuse-surely-opens") * rating
    yield Finding(
        "fuse-for-wire",
        severity,
        f"The {shown(rating, 'A')} {guard.name} on {plan.wire.gauge} {verdict[severity]}.",
        f"{shown(rating, 'A')} {guard.kind}",
        f"{shown(may, 'A')}, never {shown(most, 'A')}",
        plan.source("fuse-over-wire-largest"),
        "" if severity is FINE else _fuse_or_wire(plan),
        (
            allowed_sum(plan),
            f"{n(figures.get('fuse-over-wire-largest'))} x {q(may, 'A')} = {q(most, 'A')}",
            f"{n(figures.get('fuse-surely-opens'))} x {q(rating, 'A')} = {q(holds, 'A')} "
            f"may flow without the {guard.kind} having to open",
        ),
    )


def _fuse_or_wire(plan: Plan) -> str:
    """A smaller fuse where one suits pump and wire, else thicker wire."""
    largest = largest_fuse(plan.allowed.amps, plan.figures)
    least = plan.figures.get("fuse-over-running-least") * _behind(plan, plan.guards[0])
    if largest is None or largest < least:
        need = next_fuse(least, plan.figures)
        sizes = either(smallest_for(need, plan.site, plan.figures))
        return f"No fuse suits this pump and this wire: run {sizes}, then fit {q(need, 'A')}."
    wire = either(smallest_for(plan.guards[0].rating, plan.site, plan.figures))
    right = min(largest, usual_fuse(_behind(plan, plan.guards[0]), plan.figures))
    return (
        f"Fit {q(right, 'A')}, never more than {q(largest, 'A')}; or run {wire} behind this "
        f"{plan.guards[0].kind}."
    )


def _behind(plan: Plan, guard: Guard) -> float:
    """Current through a fuse or breaker while pump and loads run [A]."""
    return plan.through(guard.placed.end)


def fuse_for_running(plan: Plan) -> Iterator[Finding]:
    """Large enough for the running current, and not larger than it need be."""
    if plan.guard is None:
        return
    guard, amps = plan.guard, _behind(plan, plan.guard)
    rating, least, usual = (
        guard.rating,
        least_fuse(amps, plan.figures),
        usual_fuse(amps, plan.figures),
    )
    largest = max(usual, plan.figures.get("fuse-over-running-largest") * amps)
    severity = SHOULD if rating < least or rating > largest else FINE if rating <= usual else NOTE
    others = amps > plan.running
    own, whole = (
        ("the current of pump and loads", "current of pump and loads")
        if others
        else ("the pump's own current", "pump's running current")
    )
    verdict = {
        SHOULD: f"opens, or ages, at {own} of {shown(amps, 'A')}"
        if rating < least
        else f"is far too large for {own} of {shown(amps, 'A')}: a jammed pump may draw on",
        FINE: f"suits the {whole} of {shown(amps, 'A')}",
        NOTE: "is larger than the pump asks for, and lets a jammed one draw longer",
    }
    fits = q(least, "A") if least == usual else f"{n(least)} or {q(usual, 'A')}"
    low, high = (plan.figures.get(f"fuse-over-running-{name}") for name in ("least", "continuous"))
    yield Finding(
        "fuse-for-running",
        severity,
        f"The {shown(rating, 'A')} {guard.name} {verdict[severity]}.",
        f"{shown(rating, 'A')} {guard.kind}",
        f"{fits} for {shown(amps, 'A')}",
        plan.source("fuse-over-running-continuous"),
        "" if severity is FINE else f"Fit {fits}, if the wire permits it.",
        tuple(f"{n(factor)} x {q(amps, 'A')} = {q(factor * amps, 'A')}" for factor in (low, high)),
    )


def _at_start(plan: Plan, guard: Guard) -> float:
    """Current through it at a start, and while a pump is jammed [A]."""
    return plan.starting + plan.loads.behind(guard.placed.end)


def fuse_at_start(plan: Plan) -> Iterator[Finding]:
    """The start must be over before the quickest fuse of this rating may open."""
    if plan.guard is None:
        return
    guard, figures, amps = plan.guard, plan.figures, _at_start(plan, plan.guard)
    ratio = amps / guard.rating
    shortest, _ = opening_window(ratio, figures, guard.opens)
    lasts = figures.get("motor-start-equivalent-time", "s")
    fits = shortest > lasts
    may = "never" if math.isinf(shortest) else f"after {shown(shortest, 's')} at the soonest"
    yield Finding(
        "fuse-at-start",
        FINE if fits else SHOULD,
        f"Starting, {shown(amps, 'A')} flow, {n(ratio)} times the rating; at that the "
        f"{guard.kind} may open {may}, and the start counts as {shown(lasts, 's')}.",
        "holds for good" if math.isinf(shortest) else f"opens from {shown(shortest, 's')}",
        f"start of {shown(lasts, 's')}",
        plan.source(guard.opens),
        "" if fits else "It may blow at a start: the next rating, if the wire permits it.",
        (f"{q(amps, 'A')} / {q(guard.rating, 'A')} = {n(ratio)}",),
    )


def fuse_when_jammed(plan: Plan) -> Iterator[Finding]:
    """A jammed motor draws its starting current until the fuse opens, if it does."""
    if plan.guard is None:
        return
    guard, amps = plan.guard, _at_start(plan, plan.guard)
    ratio = amps / guard.rating
    _, longest = opening_window(ratio, plan.figures, guard.opens)
    severity = SHOULD if math.isinf(longest) else NOTE if longest > LONG else FINE
    until = (
        f"the {guard.kind} need not open"
        if math.isinf(longest)
        else f"the {guard.kind} opens within {shown(longest, 's')} at the latest"
    )
    right = usual_fuse(_behind(plan, guard), plan.figures)
    yield Finding(
        "fuse-when-jammed",
        severity,
        f"Jammed, the motor draws {shown(plan.starting, 'A')}, and {until}.",
        f"{n(ratio)} x rating",
        f"{n(plan.figures.get('fuse-surely-opens'))} x to open surely",
        "abyc-e11-fuse-distance",
        "" if severity is FINE else f"Fit no more than {q(right, 'A')}; lose less on the way.",
        (f"{q(amps, 'A')} / {q(guard.rating, 'A')} = {n(ratio)}",),
    )


def fuse_distance(plan: Plan) -> Iterator[Finding]:
    """Wire ahead of the main fuse is protected by nothing."""
    if not plan.guards:
        return
    guard, distance = plan.guards[0], plan.rig.main_fuse_distance
    near, sheathed = (
        plan.figures.get(f"fuse-distance-{name}", "m") for name in ("largest", "sheathed")
    )
    beyond = FINE if plan.site.sheathed else SHOULD
    severity = step(distance, (near, FINE), (sheathed, beyond), above=UNSAFE)
    yield Finding(
        "fuse-distance",
        severity,
        f"The {guard.name} sits {distance / INCH:.1f} in along the wire from the battery; nothing "
        "protects that wire.",
        f"{distance / INCH:.1f} in ({1000 * distance:.0f} mm)",
        f"{n(near / INCH)} in, {n(sheathed / INCH)} in a sheath",
        plan.source("fuse-distance-largest"),
        ""
        if severity is FINE
        else f"Move the {guard.kind} to within {n(near / INCH)} in ({1000 * near:.0f} mm) of the "
        "battery.",
    )


def control_fuse(plan: Plan) -> Iterator[Finding]:
    """From 2 to 5 A: above the coil's current, below what the thin wire may carry."""
    if not plan.rig.has_relay:
        return
    figures, fused = plan.figures, plan.rig.has_control_fuse
    rating = plan.rig.control_fuse_rating if fused else _ahead_of_tap(plan)
    area = figures.get("control-wire-area", "mm^2")
    wire = ampacity(area, figures, plan.site.insulation, metric=True)
    wire *= plan.allowed.warmth * plan.allowed.bundle
    least, most = (figures.get(f"control-fuse-{name}", "A") for name in ("least", "largest"))
    hungry = figures.get("fuse-over-running-continuous") * plan.coil_current
    severity = _control_severity(rating, least, most, hungry, wire)
    right = next_fuse(max(least, hungry), figures)
    coil = f"for a coil of {shown(plan.coil_current, 'A')} and wire that may carry"
    own = f"The control fuse is {shown(rating, 'A')} {coil} {shown(wire, 'A')}."
    yield Finding(
        "control-fuse",
        severity,
        own if fused else f"The control line has no fuse of its own, {coil} {shown(wire, 'A')}.",
        _control_fuse(rating, fused),
        f"{n(least)} to {q(most, 'A')}",
        plan.source("control-fuse-largest"),
        ""
        if severity is FINE
        else f"Fit {q(right, 'A')}{'' if fused else ' where the control line leaves the wire'}.",
        (
            f"{n(figures.get('fuse-over-running-continuous'))} x {q(plan.coil_current, 'A')} = "
            f"{q(hungry, 'A')}",
        ),
    )


def _control_fuse(rating: float, fused: bool) -> str:
    if fused:
        return f"{shown(rating, 'A')} fuse"
    return "none" if math.isinf(rating) else f"none but {shown(rating, 'A')} ahead"


def _ahead_of_tap(plan: Plan) -> float:
    """Rating of what protects the control line ahead of its tap [A]; infinite where nothing
    does."""
    order = plan.loads.order
    tap = order[plan.rig.control_tap]
    ahead = (one.rating for one in plan.guards if order[one.placed.end] <= tap)
    return min(ahead, default=math.inf)


def _control_severity(
    rating: float, least: float, most: float, hungry: float, wire: float
) -> Severity:
    if rating > wire:
        return UNSAFE
    if rating > most or rating < hungry:
        return SHOULD
    return FINE if rating >= least else NOTE
