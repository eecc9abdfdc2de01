"""Where each part of a list stands: its test points, and the circuit parameters between them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.circuit.kinds import Kind, Part, kind_of


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


def in_feed(parts: tuple[Part, ...]) -> tuple[Placed, ...]:
    """The parts of a feed, in their order."""
    seen: set[str] = set()
    placed = []
    protected = False
    for part in parts:
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


def in_control(parts: tuple[Part, ...], feed: tuple[Placed, ...]) -> tuple[Placed, ...]:
    """The parts of a coil's line, switches in parallel one by one. feed: what stands before it."""
    seen = {one.part.kind for one in feed} - {"fuse"}
    abreast = in_parallel(parts)
    return tuple(_in_control(part, seen, part.name in abreast) for part in flat(parts))


def in_parallel(parts: tuple[Part, ...]) -> frozenset[str]:
    """The names of the parts that stand in parallel with another."""
    return frozenset(one.name for part in parts for one in part.branches)


def flat(parts: tuple[Part, ...]) -> Iterator[Part]:
    """Parts, those in parallel one by one."""
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
