"""What the list of a rig's parts tells of its protection: whether there is any, what stands ahead
of it, further fuses, breakers that close again, and loads with no fuse of their own."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.circuit.kinds import Part
from diagnose.circuit.ratings import least_fuse, usual_fuse
from diagnose.design.finding import Finding, Severity
from diagnose.design.plan import Plan
from diagnose.design.protection import Guard, before_first
from diagnose.design.wording import INCH, called, listed, n, q, shown

FINE, NOTE, SHOULD, UNSAFE = (
    Severity.FINE,
    Severity.NOTE,
    Severity.SHOULD_CHANGE,
    Severity.UNSAFE,
)
RULE = "cfr-183-455"
"""A manually reset, trip-free breaker or a fuse at the source of every conductor."""


def no_protection(plan: Plan) -> Iterator[Finding]:
    """A feed without any fuse or breaker."""
    if plan.guards:
        return
    near = plan.figures.get("fuse-distance-largest", "m")
    yield Finding(
        "fuse-missing",
        UNSAFE,
        "No fuse and no breaker stands between the battery and the pump: a chafe or a jam heats "
        "the wire until something burns.",
        "none",
        "one within " + f"{n(near / INCH)} in",
        RULE,
        f"Fit a fuse of {q(plan.fused, 'A')} within {n(near / INCH)} in of the battery, if the "
        "wire permits it.",
    )


def ahead_of_protection(plan: Plan) -> Iterator[Finding]:
    """Parts between the battery and the first fuse or breaker."""
    ahead = before_first(plan.rig)
    if not ahead or not plan.guards:
        return
    names = listed(f"the {called(one)}" for one in ahead)
    guard = plan.guards[0]
    stands = "stands" if len(ahead) == 1 else "stand"
    yield Finding(
        "parts-ahead-of-fuse",
        SHOULD,
        f"{names[0].upper()}{names[1:]} {stands} ahead of the {guard.name}: a short there, or in "
        "the wire up to it, is protected by nothing.",
        f"{len(ahead)} ahead of the {guard.kind}",
        "none ahead of it",
        RULE,
        f"Move the {guard.name} to the battery's plus, ahead of {names}.",
    )


def breaker_reset(plan: Plan) -> Iterator[Finding]:
    """Breakers that close again by themselves."""
    for guard in plan.guards:
        if guard.kind != "breaker":
            continue
        yield Finding(
            "breaker-reset",
            SHOULD if guard.automatic else FINE,
            f"The {guard.name} closes again by itself: a jammed pump is fed again and again until "
            "motor or wire gives up, and it may start while hands are in it."
            if guard.automatic
            else f"The {guard.name} stays open until somebody sets it again.",
            "by itself" if guard.automatic else "by hand",
            "by hand",
            RULE,
            f"Fit a breaker of {q(guard.rating, 'A')} that is set again by hand, or a fuse."
            if guard.automatic
            else "",
        )


def further_guards(plan: Plan) -> Iterator[Finding]:
    """Fuses and breakers besides the one that opens first for the pump: for what flows through
    them, and for the order in which they open."""
    for guard in plan.guards:
        if guard is not plan.guard and plan.guard is not None:
            yield _further(plan, guard, plan.guard)


def _further(plan: Plan, guard: Guard, pumps: Guard) -> Finding:
    amps = plan.through(guard.placed.end)
    least = least_fuse(amps, plan.figures)
    factor = plan.figures.get("fuse-over-running-least")
    order = [one.name for one in plan.guards]
    late = order.index(guard.name) > order.index(pumps.name)
    severity = SHOULD if guard.rating < least else NOTE if late else FINE
    verdict = {
        SHOULD: f"is too small for the {shown(amps, 'A')} through it",
        NOTE: f"never opens, since the {pumps.name} ahead of it is smaller",
        FINE: f"carries the {shown(amps, 'A')} through it, and the {pumps.name} opens before it",
    }
    change = {
        SHOULD: f"Fit {q(least, 'A')} or more, if the wire permits it.",
        NOTE: f"The smaller one belongs behind: exchange them, or take the {guard.name} out.",
        FINE: "",
    }
    return Finding(
        "further-fuse",
        severity,
        f"The {shown(guard.rating, 'A')} {guard.name} {verdict[severity]}.",
        f"{shown(guard.rating, 'A')} {guard.kind}",
        f"{q(least, 'A')} for {shown(amps, 'A')}",
        plan.source("fuse-over-running-least"),
        change[severity],
        (f"{n(factor)} x {q(amps, 'A')} = {q(factor * amps, 'A')}",),
    )


def load_fuses(plan: Plan) -> Iterator[Finding]:
    """Loads on the pump's wire: what would protect wire of their own."""
    for one in plan.rig.loads:
        yield _load_fuse(plan, one)


def _load_fuse(plan: Plan, one: Part) -> Finding:
    amps, at = one.number("current"), one.word("at")
    order = plan.loads.order
    place = order[plan.loads.point(one)]
    ahead = [guard for guard in plan.guards if order[guard.placed.end] <= place]
    right = usual_fuse(amps, plan.figures)
    factor = plan.figures.get("fuse-over-running-continuous")
    guard = min(ahead, key=lambda each: each.rating, default=None)
    severity = UNSAFE if guard is None else SHOULD if guard.rating > right else FINE
    verdict = (
        "nothing protects its wire"
        if guard is None
        else f"all that protects its wire is the {q(guard.rating, 'A')} {guard.name}, and when "
        "that opens pump and load are dead together"
        if severity is SHOULD
        else f"the {q(guard.rating, 'A')} {guard.name} protects its wire too"
    )
    return Finding(
        "load-fuse",
        severity,
        f"On {at} hangs one more load, {one.said} of {shown(amps, 'A')}: {verdict}.",
        f"{q(guard.rating, 'A')} ahead" if guard else "none ahead",
        f"{q(right, 'A')} for {shown(amps, 'A')}",
        plan.source("fuse-over-running-continuous"),
        "" if severity is FINE else f"Give it a fuse of its own, {q(right, 'A')}, right at {at}.",
        (f"{n(factor)} x {q(amps, 'A')} = {q(factor * amps, 'A')}",),
    )
