"""A rig's circuit as the list of its parts, in the order of the copper."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

from diagnose.circuit.kinds import Kind, Part, kind_of
from diagnose.circuit.rig import Rig


@dataclass(frozen=True)
class Placed:
    """One part where it stands. start, end: its test points; parameters: what lies between them, in
    the order of the current; minus: test points and parameter of its minus side, if it has one."""

    part: Part
    start: str
    end: str
    parameters: tuple[str, ...]
    minus: tuple[str, str, str] | None = None

    @property
    def kind(self) -> Kind:
        return kind_of(self.part)

    @property
    def listed(self) -> bool:
        """Whether it has parameters of its own, named after it."""
        return any(name.startswith(self.part.parameter()) for name in self.parameters)


def standard_feed(rig: Rig) -> tuple[Part, ...]:
    """The feed of a rig that is described in short."""
    parts = [Part("fuse", "fuse"), Part("master_switch", "master_switch")]
    if rig.has_relay:
        parts.append(Part("relay", "relay"))
    elif rig.control != "manual":
        parts.append(Part(rig.control, rig.control))
    return tuple(parts)


def standard_control(rig: Rig) -> tuple[Part, ...]:
    """The way to the coil of a rig that is described in short."""
    if not rig.has_relay:
        return ()
    remote = [Part("remote", "remote")] if rig.remote else []
    switch = [] if rig.control == "manual" else [Part(rig.control, rig.control)]
    return (Part("fuse", "control_fuse"), *remote, *switch, Part("hand_switch", "hand_switch"))


@lru_cache(maxsize=256)
def feed_of(rig: Rig) -> tuple[Placed, ...]:
    """The parts in the motor's line, from the battery's plus to the motor."""
    seen: set[str] = set()
    placed = []
    protected = False
    for part in rig.feed or standard_feed(rig):
        placed.append(_placed(part, seen, first_protection=not protected))
        protected = protected or kind_of(part).protects
    return tuple(placed)


def _placed(part: Part, seen: set[str], first_protection: bool) -> Placed:
    kind = kind_of(part)
    first = part.kind not in seen
    seen.add(part.kind)
    start, end = f"{part.name}.in", f"{part.name}.out"
    minus = None
    if kind.poles:
        minus = (f"{part.name}.minus.in", f"{part.name}.minus.out", part.parameter("minus"))
    if part.kind == "breaker" and first_protection:
        return Placed(part, start, end, ("main_fuse",))
    if kind.points and first and (first_protection or part.kind != "fuse"):
        return Placed(part, *kind.points, kind.parameters, minus)
    if part.kind == "fuse":
        return Placed(part, start, end, (part.parameter("holder"), part.parameter()))
    return Placed(part, start, end, (part.parameter(),), minus)


@lru_cache(maxsize=256)
def control_of(rig: Rig) -> tuple[Placed, ...]:
    """The parts in the coil's line, from its tap to the coil; switches in parallel one by one."""
    seen = {one.part.kind for one in feed_of(rig)} - {"fuse"}
    parts = rig.control_parts or standard_control(rig)
    return tuple(_in_control(part, seen, part.name in beside(rig)) for part in _flat(parts))


def _flat(parts: tuple[Part, ...]) -> Iterator[Part]:
    for part in parts:
        yield from part.branches or (part,)


def _in_control(part: Part, seen: set[str], beside_another: bool) -> Placed:
    first = part.kind not in seen
    seen.add(part.kind)
    if part.kind == "fuse" and first:
        return Placed(part, "cfuse.in", "cfuse.out", ("control_fuse_holder", "control_fuse"))
    if part.kind == "hand_switch" and first and not beside_another:
        return Placed(part, "hand.in", "hand.out", ("hand_switch",))
    return _placed(part, seen - {part.kind} if first else seen, first_protection=False)


def beside(rig: Rig) -> frozenset[str]:
    """The names of the parts that stand in parallel with another."""
    return frozenset(one.name for part in rig.control_parts for one in part.branches)


def spares(rig: Rig) -> frozenset[str]:
    """Parameters of the switches by hand that stand beside one that calls by itself: open until
    somebody closes them."""
    names = beside(rig)
    both = [one for one in control_of(rig) if one.part.name in names]
    by_itself = any(one.kind.calls and not one.kind.by_hand for one in both)
    return frozenset(one.parameters[-1] for one in both if by_itself and one.kind.by_hand)


def protection_of(rig: Rig) -> Placed | None:
    """The first fuse or breaker of the feed; None on a rig without any."""
    return next((one for one in feed_of(rig) if one.kind.protects), None)


def listed_parts(rig: Rig) -> tuple[Placed, ...]:
    """The parts that have parameters of their own, named after them."""
    return tuple(one for one in (*feed_of(rig), *control_of(rig)) if one.listed or one.minus)


def feed_wires(rig: Rig) -> tuple[str, ...]:
    """The wires behind each part of the feed; the last one reaches the motor."""
    return tuple(f"feed_{number}" for number in range(1, max(len(feed_of(rig)), 3) + 1))


@lru_cache(maxsize=256)
def extra_parameters(rig: Rig) -> tuple[str, ...]:
    """Circuit parameters that this rig has beside those of a standard circuit."""
    names: list[str] = [*feed_wires(rig)[3:]]
    for one in listed_parts(rig):
        names += [name for name in one.parameters if name.startswith(one.part.parameter())]
        names += [one.minus[2]] if one.minus else []
        names += [one.part.parameter(suffix) for suffix in _numbers(one)]
    if any(one.minus for one in feed_of(rig)):
        names.append("return_3")
    names += [load.parameter("load") for load in rig.loads]
    return tuple(names)


def _numbers(one: Placed) -> Iterator[str]:
    """What a listed part has beside its contacts."""
    if one.kind.opens_below:
        yield one.kind.opens_below
    if one.kind.protects and "main_fuse" not in one.parameters:
        yield "rating"
    if one.kind.calls and one.listed:
        yield "welded"
