"""Rigs in list form, of any parts in any order that a file may list: for what must hold of every
list. The rigs are invented, and mostly badly built."""

from __future__ import annotations

import random
from collections.abc import Iterator

from diagnose.circuit.form import Field, shipped_form
from diagnose.circuit.kinds import Kind, kinds, kinds_in
from diagnose.circuit.listing import ANY
from diagnose.circuit.rig import BATTERY_KINDS, PUMP_AT, PUMP_KINDS

SAID = {
    "A": ("5 A", "7.5 A", "30 A", "60 A"),
    "V": ("10.5 V", "12 V"),
    "m": ("2 in", "7 in", "3 ft"),
    "ohm": ("6 ohm", "85 ohm"),
}
NAMES = ("left", "pump house", "of the long green hose trailer", "27-b")


class _List:
    """One list in the making: every part has a name of its own."""

    def __init__(self, draw: random.Random) -> None:
        self.draw, self.taken = draw, set[str]()

    def part(self, kind: Kind) -> str:
        fields = [one for one in shipped_form().of_part(kind.name) if self.draw.random() < 0.7]
        said = [f"{field.name}: {self._value(field)}" for field in fields]
        name = kind.name
        if name in self.taken or self.draw.random() < 0.3:
            name = self._name(kind.name)
            said.insert(0, f"name: {name}")
        self.taken.add(name)
        return f"{kind.name}: {{{', '.join(said)}}}" if said else kind.name

    def _name(self, kind: str) -> str:
        short = kind.replace("_", " ")[:12]
        while True:
            name = f"{self.draw.choice(NAMES)[: 29 - len(short)].strip()} {short}"
            name = name if name not in self.taken else f"{len(self.taken)} {short}"
            if name not in self.taken:
                return name

    def _value(self, field: Field) -> str:
        return self.draw.choice(tuple(field.options) or SAID[field.si])


def odd_list(draw: random.Random) -> str:
    """A rig file that lists its parts."""
    made, known = _List(draw), kinds()
    feed = [name for name in kinds_in("feed") if name != "relay"]
    chosen = [draw.choice(feed) for _ in range(draw.randint(1, 6))]
    relay = draw.random() < 0.5
    caller = draw.choice([name for name in feed if known[name].calls])
    parts = [made.part(known[name]) for name in (*chosen, *(() if relay else (caller,)))]
    lines = [f"name: list {draw.randint(1, 99)}", "feed:"]
    lines += [f"  - {part}" for part in parts]
    if relay:
        lines += [f"  - {made.part(known['relay'])}", *_control(made, draw)]
    battery = f"kind: {draw.choice(BATTERY_KINDS)}, capacity: {draw.randint(5, 300)} A*h"
    kind, at = draw.choice(PUMP_KINDS), draw.choice(PUMP_AT)
    lines += [
        f"battery: {{{battery}, count: {draw.randint(1, 3)}}}",
        f"pump: {{kind: {kind}, current: {draw.choice((2, 6.5, 18, 40))} A, at: {at}}}",
        f"return: {{wire: {_wire(draw)}}}",
        f"wire: {_wire(draw)}",
    ]
    if draw.random() < 0.5:
        at = "lug+" if relay or draw.random() < 0.3 else "motor+"
        load = draw.choice(("lamp", "alarm over the wide cellar door"[:30]))
        lines.append(f"loads: [{{name: {load}, at: {at}, current: 0.5 A}}]")
    return "\n".join(lines) + "\n"


def _wire(draw: random.Random) -> str:
    return f"{{gauge: {draw.choice((2, 8, 14))} AWG, length: {draw.randint(2, 40)} ft}}"


def _control(made: _List, draw: random.Random) -> Iterator[str]:
    known = kinds()
    names = [name for name in kinds_in("control") if name != "fuse"]
    yield "control:"
    yield "  tap: lug+"
    yield "  parts:"
    if draw.random() < 0.8:
        yield f"    - {made.part(known['fuse'])}"
    for _ in range(draw.randint(0, 2)):
        yield f"    - {made.part(known[draw.choice(names)])}"
    if draw.random() < 0.4:
        yield f"    - {ANY}:"
        for _ in range(draw.randint(2, 3)):
            yield f"        - {made.part(known[draw.choice(names)])}"
    yield f"    - {made.part(known['hand_switch'])}"


def odd_lists(count: int, seed: int) -> Iterator[str]:
    """Rig files that list their parts, the same ones for a seed."""
    draw = random.Random(seed)
    for _ in range(count):
        yield odd_list(draw)
