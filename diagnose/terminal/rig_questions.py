"""The questions that describe a rig, in the order in which one looks, and the rig they make."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

from diagnose.circuit.bounds import GAUGE, bounds
from diagnose.circuit.rig import BATTERY_KINDS, Rig, read_rig
from diagnose.documents import parse
from diagnose.figures import shipped_figures
from diagnose.terminal.prompts import choice

Said = dict[str, str]
"""Answers so far: key of the rig file to what it takes; "" for the usual value."""

FOOT = 0.3048
"""Metres in a foot, exact."""


@dataclass(frozen=True)
class Asked:
    """One question about the rig. options: answers with meanings, or none for a quantity;
    takes: turns what was typed into what the rig file says; usual: what is taken when nobody
    knows, from a rig with all values as usual; wanted: whether it is asked at all."""

    key: str
    ask: str
    help: str
    why: str
    options: Mapping[str, str]
    takes: Callable[[str], str]
    usual: Callable[[Rig], str]
    wanted: Callable[[Said], bool] = lambda said: True


def _quantity(key: str, unit: str) -> Callable[[str], str]:
    """Takes a quantity within the bounds of its key, as typed, with its unit."""

    def takes(typed: str) -> str:
        bounds()[key].read(typed, unit)
        bare = typed[-1].isdigit() or typed[-1] in ".,"
        return f"{typed} {unit}" if bare else typed

    return takes


def _underscored(typed: str) -> str:
    """What was typed in words, as the rig file has it: "pressure switch" is pressure_switch."""
    return typed.replace("-", "_").replace(" ", "_")


def _gauge(typed: str) -> str:
    bounds()[GAUGE].read_gauge(typed)
    return typed


def _relay(said: Said) -> bool:
    return said.get("topology") == "relay"


def _detailed(said: Said) -> bool:
    return said.get("details") == "yes"


TOPOLOGY = {
    "relay": "a small cube that clicks, fed by thin wires, switches the pump",
    "direct": "the thick wire itself goes through the switch to the pump",
}
CALLS = {
    "pressure_switch": "opening the outlet starts it: a switch on the pump or its outlet",
    "float_switch": "a float in a tank starts and stops it",
    "manual": "nothing but a switch that somebody turns",
}
TAPS = {
    "lug+": "at the battery's lug, ahead of the main fuse",
    "fuse.out": "behind the main fuse",
    "master.out": "behind the master switch",
}
YES_NO = {"no": "the usual values will do", "yes": "ask me"}

QUESTIONS = (
    Asked(
        "topology",
        "Is there a relay between the switch and the pump?",
        "Look for a small cube or can, the size of a matchbox or a fist, with four or five "
        "terminals, that clicks when the pump is to run. A wire at the pressure or float switch "
        "that is as thin as a lamp's says relay too; one as thick as the pump's own says direct. "
        "If it cannot be told, take direct when the switch has only the two thick wires.",
        "With a relay there is a second, thin circuit that can fail by itself.",
        TOPOLOGY,
        lambda typed: choice(typed, tuple(TOPOLOGY)),
        lambda rig: rig.topology,
    ),
    Asked(
        "control",
        "What starts the pump?",
        "Open the outlet with the master switch on: if that starts it, it is a pressure switch. "
        "If a float hangs in the tank, it is a float switch. If somebody only ever turns a "
        "switch, it is manual.",
        "It says which switch can have failed, and what ought to happen when.",
        CALLS,
        lambda typed: choice(_underscored(typed), tuple(CALLS)),
        lambda rig: rig.control,
    ),
    Asked(
        "remote",
        "Is there a radio remote in the control circuit?",
        "A receiver box with a small aerial, and a hand transmitter.",
        "Its output is one more contact in the control circuit.",
        {"no": "none", "yes": "a receiver switches the control circuit as well"},
        lambda typed: choice(typed, ("no", "yes")),
        lambda rig: "no",
        _relay,
    ),
    Asked(
        "pump.current",
        "What current does the pump draw, by its label?",
        "In amperes, on the motor's label or in its papers; mostly that at which it cuts out. If "
        "it says watts, divide by 12. The main fuse is usually about a quarter larger than it.",
        "Every expected voltage follows from it.",
        {},
        _quantity("pump.current", "A"),
        lambda rig: f"{rig.pump_current:g} A",
    ),
    Asked(
        "details",
        "Do you know its fuse, wire and battery?",
        "Fuse rating, wire size and length, battery kind and size; where the relay's thin feed "
        "begins. Usual values are taken for all that you leave out, and the result names them.",
        "They sharpen the bands in which sound rigs read.",
        YES_NO,
        lambda typed: choice(typed, tuple(YES_NO)),
        lambda rig: "no",
    ),
    Asked(
        "main_fuse.rating",
        "What is the main fuse's rating?",
        "The number on the fuse, in amperes.",
        "A fuse near the running current blows by itself; one too large protects nothing.",
        {},
        _quantity("main_fuse.rating", "A"),
        lambda rig: f"{rig.main_fuse_rating:g} A",
        _detailed,
    ),
    Asked(
        "wire.gauge",
        "What size is the pump's wire?",
        "As it is printed on the insulation: 8 AWG, or 6 mm2.",
        "Thin wire loses volts even when nothing is broken.",
        {},
        _gauge,
        lambda rig: rig.wire_gauge,
        _detailed,
    ),
    Asked(
        "wire.length",
        "How long is the wire from battery to pump, one way?",
        "Along the wire, such as 14 ft or 4 m; a bare number is taken as feet.",
        "The loss grows with the length.",
        {},
        _quantity("wire.length", "ft"),
        lambda rig: f"{rig.wire_length / FOOT:g} ft",
        _detailed,
    ),
    Asked(
        "control_tap",
        "Where does the thin feed of the relay begin?",
        "Follow the small fused wire back to where it joins the thick one.",
        "What lies ahead of that place starves pump and relay together.",
        TAPS,
        lambda typed: choice(typed, tuple(TAPS)),
        lambda rig: rig.control_tap,
        lambda said: _relay(said) and _detailed(said),
    ),
    Asked(
        "battery.kind",
        "What kind of battery is it?",
        "agm and gel are sealed; flooded has caps to fill.",
        "Kinds differ in their voltage at rest and in what they deliver.",
        {"agm": "sealed, mat", "gel": "sealed, gel", "flooded": "with caps or acid to see"},
        lambda typed: choice(typed, BATTERY_KINDS),
        lambda rig: rig.battery_kind,
        _detailed,
    ),
    Asked(
        "battery.capacity",
        "How large is the battery?",
        "Its capacity in ampere hours, on its label.",
        "A small battery sags under a large pump.",
        {},
        _quantity("battery.capacity", "A*h"),
        lambda rig: f"{rig.battery_capacity:g} A*h",
        _detailed,
    ),
)


NEEDED = ("topology", "pump.current")
"""What a rig file cannot do without."""


def next_question(said: Said) -> Asked | None:
    """The first question that is wanted and not yet dealt with."""
    return next((q for q in QUESTIONS if q.key not in said and q.wanted(said)), None)


def usual_rig(said: Said) -> Rig:
    """A rig with what was said, and all else as usual."""
    return rig_from({"topology": "relay", "pump.current": _usual_current(), **_known(said)})


def _usual_current() -> str:
    """The pump of middling size in the table of pumps."""
    currents = shipped_figures().table("pump-class").column("current")
    return f"{currents[(len(currents) - 1) // 2]:g} A"


def _known(said: Said) -> Said:
    return {key: answer for key, answer in said.items() if answer}


def described(said: Said) -> Rig:
    """The rig that was described; what was needed and not known counts as assumed."""
    rig = usual_rig(said)
    guessed = tuple(key for key in NEEDED if not said.get(key))
    return replace(rig, assumed=(*guessed, *rig.assumed))


def rig_from(said: Said) -> Rig:
    """A Rig from the answers, read as a rig file is. Raises Mistakes."""
    return read_rig(parse(document(said), "your answers"))


def document(said: Said) -> str:
    """The answers as a rig file."""
    lines = ["name: the rig described here"]
    parts: dict[str, list[str]] = {}
    for key, answer in said.items():
        section, _, name = key.rpartition(".")
        if section:
            parts.setdefault(section, []).append(f"{name}: {json.dumps(answer)}")
        elif key != "details":
            lines.append(f"{key}: {_plain(key, answer)}")
    lines += [f"{section}: {{{', '.join(values)}}}" for section, values in parts.items()]
    return "\n".join(lines) + "\n"


def _plain(key: str, answer: str) -> str:
    """A value as YAML: the remote is true or false, all else a text."""
    return {"yes": "true", "no": "false"}[answer] if key == "remote" else json.dumps(answer)
