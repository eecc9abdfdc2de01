"""Facts about a rig's design, as symbols: what it was built to do and where it was built wrong."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from diagnose.circuit.label import full_load
from diagnose.circuit.meter import Circuits
from diagnose.circuit.operate import Model
from diagnose.circuit.rig import WATER, Rig, interpolate
from diagnose.figures import Figures, Table
from diagnose.units import read_gauge


def ampacity(area: float, figures: Figures, insulation: int = 105, metric: bool = False) -> float:
    """Current a single conductor may carry in free air at 30 degC [A].

    area [mm2]; insulation: its class [degC]; metric: whether it is sold by area. An American gauge
    follows the American table. A metric wire follows the metric one, or the American one where that
    has its class and, up to its largest size, allows less.
    Source: 33 CFR 183.425 table 5; ISO 13297 annex A (figure tables conductor-current and
    metric-conductor-current).
    """
    american = figures.table("conductor-current")
    areas = _areas(tuple(str(row[0]) for row in american.rows))
    allowed = _allowed(area, areas, american, insulation)
    if not metric:
        return allowed
    table = figures.table("metric-conductor-current")
    own = _allowed(area, table.column("area"), table, insulation)
    both = str(insulation) in american.columns and area <= areas[-1]
    return min(own, allowed) if both else own


@cache
def _areas(gauges: tuple[str, ...]) -> tuple[float, ...]:
    return tuple(read_gauge(f"{gauge} AWG") for gauge in gauges)


def _allowed(area: float, areas: Sequence[float], table: Table, insulation: int) -> float:
    """What one table allows [A], by its nearest class that is no hotter. Between sizes a straight
    line, below the smallest in proportion to the copper, above the largest no more than that."""
    classes = [int(name) for name in list(table.columns)[1:]]
    column = table.column(str(max(one for one in classes if one <= insulation)))
    return interpolate(area, areas, column) * min(area / areas[0], 1.0)


def _band(value: float, low: float, high: float) -> str:
    return "under" if value < low else "over" if value > high else "right"


def loop_drop(model: Model) -> float:
    """Share of the nominal 12 V lost in wires and joints while the sound pump runs."""
    operation = Circuits(model, model.sound_batch()).operation("calling")
    fed = operation.live if model.rig.has_relay else operation.idle
    current = float(abs(operation.running.current[0]))
    inside = float(model.sound["battery.resistance"])
    return current * (float(fed.source[0]) - inside) / 12.0


def _drop(share: float) -> str:
    return "within-3" if share <= 0.03 else "within-10" if share <= 0.10 else "over"


def _contact(model: Model) -> str:
    rig = model.rig
    operation = Circuits(model, model.sound_batch()).operation("calling")
    start = float(operation.start_current[0])
    running = full_load(rig, model.figures)
    fits = rig.relay_contact >= 1.5 * running and rig.relay_contact >= 0.5 * start
    return "within" if fits else "under"


def usual_switch(rig: Rig, figures: Figures) -> tuple[float, float]:
    """Lowest and highest rating [A] of the switch that calls the pump: as told, else as usual."""
    if rig.switch_rating is not None:
        return rig.switch_rating, rig.switch_rating
    row = figures.table("small-switch-rating").row(rig.control)
    return row["lowest"], row["highest"]


def _switch_load(model: Model, direct: bool) -> str:
    """Whether its switch is rated for the motor that it carries: perhaps not, or surely not."""
    if not direct:
        return "within"
    running = full_load(model.rig, model.figures)
    lowest, highest = usual_switch(model.rig, model.figures)
    good, most = (model.figures.get(f"motor-contact-share-{end}") for end in ("good", "largest"))
    return (
        "within" if running <= good * lowest else "over" if running > most * highest else "doubtful"
    )


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _water(rig: Rig) -> dict[str, str]:
    """What is told of the water's way; of the rest nothing is known."""
    told = dict(rig.water)
    return {key.replace("_", "-"): told.get(key, "unknown") for key in WATER}


def rig_facts(model: Model) -> dict[str, str]:
    """Name to symbol, for rules and priors. Limits: figures of the trade, see each source."""
    rig: Rig = model.rig
    running = full_load(rig, model.figures)
    fuse = rig.main_fuse_rating / running
    direct = not rig.has_relay and rig.control != "manual"
    facts = {
        "topology": rig.topology,
        "control": rig.control,
        "remote": _yes(rig.remote),
        "switch-carries-motor": _yes(direct),
        "switch-load": _switch_load(model, direct),
        "fuse-over-running": _band(fuse, 1.1, 2.2),
        "fuse-over-wire": "within"
        if rig.main_fuse_rating <= ampacity(rig.wire_area, model.figures, metric=rig.metric_wire)
        else "over",
        "wire-drop": _drop(loop_drop(model)),
        "battery-kind": rig.battery_kind,
        "battery-size": "small" if rig.battery_capacity / running < 3 else "fair",
        "fuse-distance": "near" if rig.main_fuse_distance <= 0.1778 + 1e-9 else "far",
        "use": rig.use or "unknown",
        "first-protection": rig.first_protection,
        "control-fuse": _yes(rig.has_control_fuse),
        "float-closes": rig.float_closes,
        "pump-kind": rig.pump_kind,
        "charging": "on" if rig.charging else "none",
        "loads": _yes(bool(rig.loads)),
        **_water(rig),
    }
    if rig.has_relay:
        facts["control-tap"] = rig.control_tap
        facts["relay-contact"] = _contact(model)
        facts["coil-draw"] = "large" if rig.relay_coil < 40 else "small"
    return facts
