"""A sound value for each field of the form, from what was told of the rig so far."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from diagnose.circuit.form import Field
from diagnose.circuit.model import Model
from diagnose.circuit.ratings import usual_fuse
from diagnose.circuit.rig import GAL_PER_MIN, PSI, Rig, usual
from diagnose.design.checks_battery import capacity_needed
from diagnose.design.plan import Plan
from diagnose.design.recommend import contact_for, recommend
from diagnose.design.site import site
from diagnose.design.wording import FOOT, INCH, brief
from diagnose.figures import Figures


def proposed(field: Field, rig: Rig, figures: Figures) -> str:
    """What Enter stands for, as a file says it. rig: the one described so far."""
    if field.proposed_from:
        return PROPOSED_FROM[field.proposed_from](rig, figures)
    return field.proposed or as_usual(field, rig, figures)


def as_usual(field: Field, rig: Rig, figures: Figures) -> str:
    """What is taken where a file does not say it."""
    if not field.usual_from:
        return field.usual
    amount = usual(field, figures, rig.pump_current) / _IN[field.unit]
    return f"{brief(amount)} {field.unit}"


_IN = {"A": 1.0, "psi": PSI, "gal/min": GAL_PER_MIN}
"""The units of what follows from the pump's current, in those of the program."""


def _gauge(rig: Rig, figures: Figures) -> str:
    sizes = recommend(rig.pump_current, rig.wire_length, site(figures=figures), figures).wire
    return next((size.name for size in sizes if size), "4/0 AWG")


def _topology(rig: Rig, figures: Figures) -> str:
    """A relay as soon as a small switch would not last with the motor's current."""
    lowest = figures.table("small-switch-rating").row("pressure_switch")["lowest"]
    small = rig.pump_current <= figures.get("motor-contact-share-good") * lowest
    return "direct" if small else "relay"


def _capacity(rig: Rig, figures: Figures) -> str:
    return f"{capacity_needed(Plan(Model.of(rig, figures), site(figures=figures))):.0f} A*h"


PROPOSED_FROM: Mapping[str, Callable[[Rig, Figures], str]] = {
    "as-the-plus-wire": lambda rig, _: f"{brief(rig.wire_length / FOOT)} ft",
    "battery-for-duty": _capacity,
    "coil-usual": lambda _, of: f"{brief(of.get('relay-coil-usual', 'ohm'))} ohm",
    "contact-for-running": lambda rig, of: f"{brief(contact_for(rig.pump_current, of))} A",
    "fuse-for-current": lambda rig, of: f"{brief(usual_fuse(rig.pump_current, of))} A",
    "fuse-near": lambda _, of: f"{brief(of.get('fuse-distance-largest', 'm') / INCH)} in",
    "gauge-of-the-plus-wire": lambda rig, _: rig.wire_gauge,
    "relay-or-not": _topology,
    "wire-for-length": _gauge,
}
"""How a proposal follows from the rig, by its name in the form."""
