"""Is the battery of the right kind, large enough for the work, and charged as it should be."""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.design.finding import Finding, Severity
from diagnose.design.plan import Plan
from diagnose.design.wording import n, q, shown
from diagnose.figures import Figures

FINE, NOTE, SHOULD = Severity.FINE, Severity.NOTE, Severity.SHOULD_CHANGE
LESS_SAG = "A larger battery, less loss on the way, or charging in between."
CELLS = 6
"""Cells of a 12 V lead-acid battery."""

LITHIUM, HALF = "lithium", 0.5


def run_time(capacity: float, current: float, exponent: float, rated_hours: float) -> float:
    """How long a full battery lasts [h], by Peukert's law: t = H (C / (I H)) ** n.

    capacity [A h] at `rated_hours` [h], current [A]. Holds for currents that flow without rest;
    pumping in turns with rests goes on for longer.
    Source: source `peukert`; worked rows in tests/tables/design_examples.yaml.
    """
    share: float = (capacity / (current * rated_hours)) ** exponent
    return rated_hours * share


def full_to_flat(plan: Plan) -> float:
    """How long this battery runs pump and coil from full to flat [h]."""
    exponent = plan.figures.table("peukert").row(plan.rig.battery_kind)["exponent"]
    hours = plan.figures.get("capacity-hours", "h")
    return run_time(plan.capacity, plan.drawn, exponent, hours)


def fresh_air(current: float, cells: int, figures: Figures) -> float:
    """Air that a battery's space needs [m3/h] while `cells` take `current` [A] at the end of a
    charge. Source: figures hydrogen-evolution and hydrogen-keep-below."""
    gas = figures.get("hydrogen-evolution") * current * cells
    return gas / figures.get("hydrogen-keep-below")


def battery_kind(plan: Plan) -> Iterator[Finding]:
    """A vented battery gives off hydrogen and acid mist; contacts beside it spark and corrode."""
    kind, current = plan.rig.battery_kind, _charging_current(plan)
    if kind == LITHIUM:
        yield _lithium(plan)
        return
    sealed = kind != "flooded"
    gas, below = (plan.figures.get(f"hydrogen-{name}") for name in ("evolution", "keep-below"))
    cells = round(CELLS * plan.rig.times_12)
    air = fresh_air(current, cells, plan.figures)
    yield Finding(
        "battery-kind",
        FINE if sealed else NOTE,
        f"The battery is {kind}, sealed: its neighbours stay dry and it gasses only when abused."
        if sealed
        else "The battery is flooded, so it gives off hydrogen and acid mist: relay, switches and "
        f"fuse holder do not belong in its box. At the end of a charge with {shown(current, 'A')} "
        f"its space needs {n(air)} m3 of fresh air an hour.",
        kind,
        "sealed, or apart",
        plan.source("hydrogen-evolution"),
        "" if sealed else "Keep the electrics out of its space and air it, or fit agm or gel.",
        ()
        if sealed
        else (f"{n(gas)} x {q(current, 'A')} x {cells} cells / {n(below)} = {n(air)} m3/h",),
    )


def _lithium(plan: Plan) -> Finding:
    """A lithium battery opens by itself, and must not be charged in frost."""
    coldest = plan.figures.get("lithium-charge-coldest", "degC")
    warm = plan.site.air >= coldest
    return Finding(
        "battery-kind",
        FINE if warm else SHOULD,
        "The battery is lithium iron phosphate, sealed: it does not gas. When it is empty, too "
        "cold or overloaded its protection opens, and everything is dead at once. Below "
        f"{n(coldest)} degC it must not be charged.",
        "lithium",
        f"charged above {n(coldest)} degC",
        plan.source("lithium-charge-coldest"),
        "" if warm else "Charge it in the warm, or fit one that heats itself.",
    )


def usual_depth(plan: Plan) -> float:
    """Share of the charge that is used if the battery is to live long."""
    lithium = plan.rig.battery_kind == LITHIUM
    return plan.figures.get("usual-depth-lithium" if lithium else "usual-depth")


def battery_size(plan: Plan) -> Iterator[Finding]:
    """Run time to half charge against the pumping between two charges."""
    flat, depth = full_to_flat(plan), usual_depth(plan)
    useful, duty = depth * flat, plan.site.duty
    fits = useful >= duty
    exponent = plan.figures.table("peukert").row(plan.rig.battery_kind)["exponent"]
    hours = plan.figures.get("capacity-hours", "h")
    who = "Pump, coil and other loads" if plan.rig.loads else "Pump and coil"
    left = "half" if depth == HALF else f"{100 - 100 * depth:.0f} %"
    yield Finding(
        "battery-size",
        FINE if fits else SHOULD,
        f"{who} draw {shown(plan.drawn, 'A')}: {q(plan.capacity, 'A h')} last "
        f"{n(round(flat, 1))} h to flat and {n(round(useful, 1))} h to {left}, for {n(duty)} h of "
        "pumping between charges.",
        f"{n(round(useful, 1))} h to {left} charge",
        f"at least {n(duty)} h" + (", an estimate" if "duty" in plan.site.assumed else ""),
        plan.source("peukert"),
        "" if fits else f"Fit at least {capacity_needed(plan):.0f} A h or charge in between.",
        (
            f"{q(hours, 'h')} x ({q(plan.capacity, 'A h')} / ({q(plan.drawn, 'A')} x "
            f"{q(hours, 'h')})) ^ {n(exponent)} = {q(flat, 'h')}",
            f"{n(depth)} x {q(flat, 'h')} = {q(useful, 'h')}",
        ),
    )


def capacity_needed(plan: Plan) -> float:
    """Capacity whose useful part lasts as long as the duty [A h], in steps of 5: Peukert's law the
    other way round."""
    exponent = plan.figures.table("peukert").row(plan.rig.battery_kind)["exponent"]
    hours, depth = plan.figures.get("capacity-hours", "h"), usual_depth(plan)
    lasting = plan.site.duty / depth
    needed: float = plan.drawn * hours * (lasting / hours) ** (1 / exponent)
    return 5.0 * math.ceil(needed / 5)


def volts_at_end(plan: Plan) -> Iterator[Finding]:
    """What the pump gets when the duty is over, unless the battery is flat by then."""
    duty, flat = plan.site.duty, full_to_flat(plan)
    charge = 1 - duty / flat
    least = plan.figures.get("least-motor-volts", "V")
    if charge <= 0:
        yield _flat_before(plan, flat, least)
        return
    rested, inside = plan.rested(charge), plan.battery_ohms_at(charge)
    volts = plan.motor_volts(rested, inside)
    fits = volts >= least
    yield Finding(
        "volts-at-end-of-duty",
        FINE if fits else NOTE,
        f"After {n(duty)} h of pumping {100 * charge:.0f} % of the charge is left: "
        f"{shown(rested, 'V')} rested, {shown(volts, 'V')} at the running motor.",
        f"{shown(volts, 'V')} at the motor",
        f"at least {q(least, 'V')} under load",
        plan.source("least-motor-volts"),
        "" if fits else LESS_SAG,
        (
            f"100 x (1 - {q(duty, 'h')} / {q(flat, 'h')}) = {n(100 * charge)} %",
            f"{q(rested, 'V')} - {q(plan.running, 'A')} x {q(inside + plan.loop.ohms, 'ohm')}"
            f"{_less(plan, inside)} = {q(volts, 'V')}",
        ),
    )


def _less(plan: Plan, inside: float) -> str:
    """What other loads take, as a further term of a sum. inside: ohms of the battery."""
    return f" - {q(plan.taken(inside), 'V')} (other loads)" if plan.rig.loads else ""


def _flat_before(plan: Plan, flat: float, least: float) -> Finding:
    """The finding on a battery that does not last to the end of the duty. flat: its time [h]."""
    duty = plan.site.duty
    return Finding(
        "volts-at-end-of-duty",
        SHOULD,
        f"The battery is flat after {n(round(flat, 1))} h, before {n(duty)} h of pumping are over.",
        f"flat after {n(round(flat, 1))} h",
        f"{q(least, 'V')} at {n(duty)} h",
        plan.source("peukert"),
        LESS_SAG,
        (f"{q(flat, 'h')} - {q(duty, 'h')} = {q(flat - duty, 'h')} left over",),
    )


def _to_put_back(plan: Plan) -> float:
    """Charge to put back after one duty, at most what the battery holds [A h]."""
    taken = min(plan.drawn * plan.site.duty, plan.capacity)
    return plan.figures.get("charge-return") * taken


def _charging_current(plan: Plan) -> float:
    """Current that puts it back in a night [A]."""
    return _to_put_back(plan) / plan.figures.get("charging-time", "h")


def charging(plan: Plan) -> Iterator[Finding]:
    """Voltage that suits the kind, and the current that makes good one duty in a night."""
    row = plan.figures.table("battery-charging").row(plan.rig.battery_kind)
    back, night = _to_put_back(plan), plan.figures.get("charging-time", "h")
    lithium = plan.rig.battery_kind == LITHIUM
    share = plan.figures.get("charging-share-lithium" if lithium else "charging-share")
    most = share * plan.capacity
    current = _charging_current(plan)
    fits = current <= most
    yield Finding(
        "charging",
        FINE if fits else NOTE,
        f"Batteries of this kind ({plan.rig.battery_kind}) charge at {n(row['lowest'])} to "
        f"{q(row['highest'], 'V')} at 25 degC and float at {q(row['float'], 'V')}, "
        f"{_with_heat(plan)}; to make good "
        f"one duty in {n(night)} h takes {shown(current, 'A')}.",
        shown(current, "A"),
        f"{q(most, 'A')} for {q(plan.capacity, 'A h')}",
        plan.source("battery-charging"),
        "" if fits else "Charge for longer, or fit a larger battery.",
        (
            f"{q(back, 'A h')} / {q(night, 'h')} = {q(current, 'A')}",
            f"{n(share)} x {q(plan.capacity, 'A h')} = {q(most, 'A')}",
        ),
    )


def _with_heat(plan: Plan) -> str:
    """How the charging voltage goes with the temperature."""
    if plan.rig.battery_kind == LITHIUM:
        return "the same in heat and cold"
    cell = plan.figures.get("charging-compensation", "V/K")
    return f"{n(CELLS * cell * 1000)} mV less for each degree above and more below"
