"""A new rig file: what to ask in the trade's order, a sound proposal for each, and the text.

The order is that in which one plans: the pump, the way to it, the wire, its fuse, what calls it,
the relay, the battery. Each proposal follows from the answers before it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from diagnose.circuit.operate import Model
from diagnose.circuit.rig import GAL_PER_MIN, PSI, Rig, read_rig
from diagnose.design.checks_battery import capacity_needed
from diagnose.design.plan import Plan
from diagnose.design.recommend import contact_for, recommend, usual_fuse
from diagnose.design.site import site
from diagnose.design.wording import INCH, brief
from diagnose.documents import parse
from diagnose.figures import Figures, shipped_figures

Said = Mapping[str, str]
"""Answers so far: key of the rig file to its value as a rig file has it, UNKNOWN for what nobody
knows, which the file then leaves open."""

UNKNOWN = ""
NEEDED = ("name", "pump.current", "topology")
"""What is never left open."""


@dataclass(frozen=True)
class Entry:
    """One value of a rig file. comment: what stands beside it; proposes: a sound value, from the
    rig described so far; for_relay: whether only a rig with a relay has it."""

    key: str
    comment: str
    proposes: Callable[[Rig, Figures], str]
    for_relay: bool = False


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


ENTRIES: tuple[Entry, ...] = (
    Entry("name", "how you call it", lambda rig, _: "my rig"),
    Entry("pump.current", "at cut-out, by its label", lambda rig, _: "10 A"),
    Entry(
        "pump.pressure",
        "at which it cuts out, by its label",
        lambda rig, _: f"{brief(rig.pump_pressure / PSI)} psi",
    ),
    Entry(
        "pump.flow",
        "most it gives, by its label",
        lambda rig, _: f"{brief(rig.pump_flow / GAL_PER_MIN)} gal/min",
    ),
    Entry("wire.length", "battery to pump, one way", lambda rig, _: "12 ft"),
    Entry("wire.gauge", "AWG or mm2, as printed on it", _gauge),
    Entry(
        "main_fuse.rating",
        "protects the wire",
        lambda rig, figures: f"{brief(usual_fuse(rig.pump_current, figures))} A",
    ),
    Entry(
        "main_fuse.distance",
        "along the wire from the battery",
        lambda rig, figures: f"{brief(figures.get('fuse-distance-largest', 'm') / INCH)} in",
    ),
    Entry(
        "control",
        "pressure_switch, float_switch or manual",
        lambda rig, _: "pressure_switch",
    ),
    Entry("topology", "relay, or direct (no relay)", _topology),
    Entry("remote", "a radio receiver in the control circuit", lambda rig, _: "no", True),
    Entry(
        "control_tap",
        "its tap: lug+, fuse.out or master.out",
        lambda rig, _: "fuse.out",
        True,
    ),
    Entry("control_fuse.rating", "2 to 5 A", lambda rig, _: "3 A", True),
    Entry(
        "relay.contact",
        "rating of its contact",
        lambda rig, figures: f"{brief(contact_for(rig.pump_current, figures))} A",
        True,
    ),
    Entry(
        "relay.coil",
        "between 86 and 85",
        lambda rig, figures: f"{brief(figures.get('relay-coil-usual', 'ohm'))} ohm",
        True,
    ),
    Entry("battery.kind", "agm, gel or flooded", lambda rig, _: "agm"),
    Entry("battery.capacity", "by its label", _capacity),
)
"""Every value of a rig file, in the order in which it is asked for."""


def next_entry(said: Said) -> Entry | None:
    """The first entry that is wanted and not yet answered."""
    relay = said.get("topology", "relay") == "relay"
    left = (entry for entry in ENTRIES if entry.key not in said)
    return next((entry for entry in left if relay or not entry.for_relay), None)


def proposal(entry: Entry, said: Said, figures: Figures | None = None) -> str:
    """What Enter stands for: a sound value, given what was said before."""
    return entry.proposes(rig_of(said), figures or shipped_figures())


def rig_of(said: Said) -> Rig:
    """The rig described so far, the rest as usual. Raises Mistakes for values no rig can have."""
    needed = {"topology": "relay", "pump.current": "10 A"}
    return read_rig(parse(rig_file({**needed, **said}), "your answers"))


HEAD = (
    "# A rig file. Lengths are along the wire, one way.",
    "# Check it: diagnose rig check FILE",
)
COMMENTS = 26
"""Column behind which a comment begins."""


def rig_file(said: Said) -> str:
    """A commented rig file, sections in the order of ENTRIES. `read_rig` takes it as it is."""
    lines = [*HEAD]
    for section, entries in groupby(sorted(_said(said), key=_place), key=_section):
        lines += _part(section, [*entries], said)
    return "\n".join(lines) + "\n"


def _part(section: str, entries: Sequence[Entry], said: Said) -> Iterator[str]:
    """One section with its heading; all of it a comment when nothing of it is known."""
    if section:
        known = any(said[entry.key] != UNKNOWN for entry in entries)
        yield f"{section}:" if known else f"# {section}:"
    for entry in entries:
        yield _line("  " if section else "", entry, said[entry.key])


def _section(entry: Entry) -> str:
    return entry.key.rpartition(".")[0]


def _said(said: Said) -> list[Entry]:
    return [entry for entry in ENTRIES if entry.key in said]


def _place(entry: Entry) -> tuple[bool, int]:
    """What stands at the top comes before the sections, which keep together."""
    sections = [_section(one) or one.key for one in ENTRIES]
    return "." in entry.key, sections.index(_section(entry) or entry.key)


def _line(indent: str, entry: Entry, value: str) -> str:
    name = entry.key.rpartition(".")[2]
    if value == UNKNOWN:
        return f"{indent}# {name}:".ljust(COMMENTS) + f"  # not known; {entry.comment}"
    return f"{indent}{name}: {_as_yaml(name, value)}".ljust(COMMENTS) + f"  # {entry.comment}"


_PLAIN = re.compile(r"[0-9a-z][\w .+*/^]*")


def _as_yaml(name: str, value: str) -> str:
    """A value as strict YAML: the remote as a truth value, quoted where it could be misread."""
    if name == "remote":
        return {"yes": "true", "no": "false"}.get(value, value)
    plain = name != "name" and _PLAIN.fullmatch(value)
    return value if plain else json.dumps(value, ensure_ascii=False)
