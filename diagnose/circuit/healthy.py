"""The parameters of a sound rig, from its description and the figures."""

from __future__ import annotations

from collections.abc import Callable

from diagnose.circuit.label import at_work
from diagnose.circuit.parameters import CONTROL_WIRES, LEAKS, NAMES, OPEN
from diagnose.circuit.parts import extra_parameters, feed_wires, listed_parts
from diagnose.circuit.rig import Rig, interpolate
from diagnose.figures import Figures


def wire_resistance(area: float, length: float, figures: Figures, temperature: float) -> float:
    """Resistance of stranded copper wire [ohm].

    area [mm2], length along the conductor [m], temperature of the copper [degC].
    R = rho20 (1 + alpha (T - 20)) * lay * length / area.
    Source: IEC 60028 resistivity and coefficient; lay factor from NFPA 70 chapter 9 table 8.
    """
    rho = figures.get("copper-resistivity-20c", "ohm*mm^2/m")
    alpha = figures.get("copper-temperature-coefficient", "K^-1")
    hot = 1 + alpha * (temperature - 20)
    return rho * hot * figures.get("stranding-lay") * length / area


SHORTEST = 0.02
"""Conductor between a battery's post and a fuse that is bolted to it [m]; estimate. A wire of no
length would be a conductance without end."""


def _wires(rig: Rig, figures: Figures) -> dict[str, float]:
    def wire(length: float, area: float = 0.0) -> float:
        ambient = figures.get("ambient-temperature", "degC")
        return wire_resistance(area or rig.wire_area, length, figures, ambient)

    lead = min(max(rig.main_fuse_distance, SHORTEST), 0.9 * rig.wire_length)
    feed = rig.wire_length - lead
    back = rig.return_length or rig.wire_length
    names = feed_wires(rig)
    to_master = figures.get("feed-share-to-master")
    to_switch = figures.get("feed-share-to-switch")
    to_ground = figures.get("return-share-to-ground")
    stud = figures.get("ground-stud-resistance", "ohm")
    return {
        "battery_lead": wire(lead),
        **{name: wire(feed / len(names)) for name in names[3:]},
        **_standard_feed(feed * 3 / len(names), to_master, to_switch, wire),
        "return_1": wire(back * to_ground, rig.return_area),
        "return_2": stud + wire(back * (1 - to_ground), rig.return_area),
        **({"return_3": wire(lead)} if "return_3" in extra_parameters(rig) else {}),
    }


def _standard_feed(
    length: float, to_master: float, to_switch: float, wire: Callable[[float], float]
) -> dict[str, float]:
    """The first three wires of a feed, as they share its length where there are no more."""
    return {
        "feed_1": wire(length * to_master),
        "feed_2": wire(length * to_switch),
        "feed_3": wire(length * (1 - to_master - to_switch)),
    }


def _listed(rig: Rig, figures: Figures) -> dict[str, float]:
    """What the listed parts of a rig have when sound."""
    found: dict[str, float] = {}
    for one in listed_parts(rig):
        part, ohms = one.part, figures.get(one.kind.ohms, "ohm")
        found |= {name: ohms for name in one.parameters if name.startswith(part.parameter())}
        if one.minus:
            found[one.minus[2]] = ohms
        if one.kind.opens_below:
            found[part.parameter(one.kind.opens_below)] = part.number(one.kind.opens_below)
        if one.kind.protects and one.listed:
            found[part.parameter("rating")] = part.number("rating")
        if part.kind == "fuse" and one.listed:
            found[part.parameter()] = fuse_resistance(part.number("rating"), figures)
    rated = figures.get("motor-rated-voltage", "V")
    return found | {load.parameter("load"): rated / load.number("current") for load in rig.loads}


def _control_wires(rig: Rig, figures: Figures) -> dict[str, float]:
    ambient = figures.get("ambient-temperature", "degC")
    area = figures.get("control-wire-area", "mm^2")
    whole = wire_resistance(area, rig.wire_length, figures, ambient)
    shares = {"control_tap": 0.1, "control_link": 0.1, "coil_ground": 0.2}
    return {name: whole * shares.get(name, 1.0) for name in CONTROL_WIRES}


def fuse_resistance(rating: float, figures: Figures) -> float:
    """Resistance of a blade fuse carrying a pump's current [ohm], by rating [A].

    Source: figure table fuse-cold-resistance, warmed by fuse-hot-over-cold.
    """
    table = figures.table("fuse-cold-resistance")
    ratings, cold = table.column("rating"), table.column("resistance")
    inside = min(max(rating, ratings[0]), ratings[-1])
    return interpolate(inside, ratings, cold) * inside / rating * figures.get("fuse-hot-over-cold")


def _protection(rig: Rig, figures: Figures) -> float:
    """Resistance of the first fuse or breaker [ohm]."""
    if rig.first_protection in ("breaker", "automatic-breaker"):
        return figures.get("breaker-resistance", "ohm")
    return fuse_resistance(rig.main_fuse_rating, figures)


def _joints(rig: Rig, figures: Figures) -> dict[str, float]:
    def ohm(name: str) -> float:
        return figures.get(name, "ohm")

    return {
        "terminal_positive": ohm("battery-terminal-resistance"),
        "terminal_negative": ohm("battery-terminal-resistance"),
        "fuse_holder": ohm("fuse-holder-resistance"),
        "main_fuse": _protection(rig, figures),
        "master_switch": ohm("master-switch-resistance"),
        "relay_socket": ohm("relay-socket-resistance"),
        "relay_contact": ohm("relay-contact-resistance"),
        "pressure_switch": ohm("pressure-switch-resistance"),
        "float_switch": ohm("float-switch-resistance"),
        "control_fuse_holder": ohm("control-fuse-holder-resistance"),
        "control_fuse": fuse_resistance(rig.control_fuse_rating, figures),
        "hand_switch": ohm("hand-switch-resistance"),
        "remote_output": ohm("remote-output-resistance"),
    }


def _battery(rig: Rig, figures: Figures) -> dict[str, float]:
    sizes = figures.table("battery-resistance")
    together = rig.battery_capacity * rig.battery_count
    flooded = interpolate(together, sizes.column("capacity"), sizes.column("resistance"))
    kind = figures.table("battery-kind").row(rig.battery_kind)
    return {
        "battery.voltage": kind["voltage"],
        "battery.resistance": flooded * kind["resistance"] / rig.battery_series,
    }


def _motor(rig: Rig, figures: Figures) -> dict[str, float]:
    """A PMDC motor that draws its current at rated volts and working pressure.

    V = brush + back_emf * speed + I * R, speed 1 at the rated point; R from the stall ratio.
    Source: standard d.c. machine theory.
    """
    rated, brush = figures.get("motor-rated-voltage", "V"), figures.get("motor-brush-drop", "V")
    current = at_work(rig, figures).current
    resistance = (rated - brush) / (figures.get("motor-stall-ratio") * current)
    friction = figures.get("motor-friction-share") * current
    return {
        "motor.resistance": resistance,
        "motor.brush_drop": brush,
        "motor.film": brush / (figures.get("motor-brush-film") * current),
        "motor.back_emf": rated - brush - current * resistance,
        "motor.friction": friction,
        "motor.pressure_torque": current - friction,
    }


def healthy(rig: Rig, figures: Figures) -> dict[str, float]:
    """Every parameter of a sound rig."""
    values = dict.fromkeys((*NAMES, *extra_parameters(rig)), 0.0)
    values |= dict.fromkeys(LEAKS, OPEN)
    values |= _wires(rig, figures) | _control_wires(rig, figures) | _joints(rig, figures)
    values |= _listed(rig, figures)
    values |= _battery(rig, figures) | _motor(rig, figures)
    return values | {
        "coil": rig.relay_coil,
        "coil.pull_in": figures.get("relay-pull-in", "V"),
        "coil.drop_out": figures.get("relay-drop-out", "V"),
        "main_fuse.rating": rig.main_fuse_rating,
        "control_fuse.rating": rig.control_fuse_rating,
        "pump.filling": 1.0,
        "pump.slip": figures.get("pump-slip"),
        "pump.bypass": figures.get("pump-bypass"),
        "outlet.opening": 1.0,
        "suction.limit": figures.get("suction-limit"),
        "pressure_switch.cut_out": figures.get("cut-out"),
        "pressure_switch.cut_in": figures.get("cut-in"),
        "accumulator.volume": 1.0,
        "thermal": 1.0,
        "ambient": figures.get("ambient-temperature", "degC"),
    }
