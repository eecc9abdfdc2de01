"""From a pump's label to its work: a label tells current and pressure at the cut-out."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.circuit.rig import Rig
from diagnose.figures import Figures


@dataclass(frozen=True)
class Work:
    """The pump with its outlet open as in use: current [A], pressure [Pa], flow [m3/s]."""

    current: float
    pressure: float
    flow: float


def _current_at(pressure: float, figures: Figures) -> float:
    """Current over that at work, by pressure over working pressure: friction, and what lifts."""
    idle = figures.get("motor-friction-share")
    return idle + (1 - idle) * pressure


def at_work(rig: Rig, figures: Figures) -> Work:
    """What the label's figures come to at working pressure.

    A label is read at its cut-out, at work or at open flow (`pump.at`). Its pressure is the
    cut-out and its flow the open flow, unless all of it is told of the pump at work. That of an
    impeller pump, which takes most at open flow, tells of the pressure with its outlet shut.
    """
    if rig.pump_kind == "impeller":
        shut, through = figures.get("impeller-shut-pressure"), figures.get("working-flow")
        return Work(rig.pump_current, rig.pump_pressure / shut, rig.pump_flow * through)
    if rig.pump_at == "working":
        return Work(rig.pump_current, rig.pump_pressure, rig.pump_flow)
    cut_out = figures.get("cut-out")
    read_at = cut_out * (figures.get("open-flow-pressure") if rig.pump_at == "open" else 1.0)
    return Work(
        rig.pump_current / _current_at(read_at, figures),
        rig.pump_pressure / cut_out,
        rig.pump_flow * figures.get("working-flow"),
    )


def full_load(rig: Rig, figures: Figures) -> float:
    """Current that wire, fuse and contacts are chosen for [A]: the label's, or that at work where
    the label tells the smaller one of the open flow."""
    return max(rig.pump_current, at_work(rig, figures).current)
