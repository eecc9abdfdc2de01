"""Every way to build a rig that the program knows, for asking whether something can be there."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import product

from diagnose.catalogue.entry_parts import When
from diagnose.catalogue.records import FailureMode, ReadingEntry
from diagnose.catalogue.rule_records import RIG_FACTS
from diagnose.catalogue.templates import copies_of, parameters_on, parts_with_entries
from diagnose.circuit.meter import Circuits
from diagnose.circuit.model import Model
from diagnose.circuit.network import bears_on, touches
from diagnose.circuit.parameters import PART
from diagnose.circuit.reading_words import fits
from diagnose.circuit.rig import CONTROLS, TOPOLOGIES, Rig, read_rig
from diagnose.design.facts import rig_facts
from diagnose.documents import parse

SETTLED = (
    *("topology", "control", "remote", "switch-carries-motor"),
    *("battery-volts", "batteries-in-series"),
)
"""The facts that a shape settles; all others depend on the sizes of a rig's parts."""


@dataclass(frozen=True)
class Shape:
    """A topology with its control and remote, on a rig with usual sizes.

    facts: every fact that such a rig has, with the values that it may take.
    """

    model: Model
    facts: Mapping[str, tuple[str, ...]]

    @cached_property
    def sound(self) -> Circuits:
        """One sound rig of this shape, on the bench."""
        return Circuits(self.model, self.model.sound_batch())

    def has(self, entry: ReadingEntry) -> bool:
        """Whether a reading can be taken: the entry applies and the rig has the points."""
        rig = self.model.rig
        here = any(fits(copy.reading, rig) for copy in copies_of(entry, rig))
        return self.may(entry.applies) and here

    def modes(self, mode: FailureMode) -> tuple[FailureMode, ...]:
        """A failure mode as such a rig can have it: none, one, or one for each listed part."""
        if not self.may(mode.applies):
            return ()
        return tuple(one for one in copies_of(mode, self.model.rig) if self._touches(one))

    def bears(self, mode: FailureMode, parameter: str) -> bool:
        """Whether what an effect of a failure mode changes is part of such a rig."""
        rig = self.model.rig
        return any(bears_on(rig, name) for name in parameters_on(rig, mode, parameter))

    def _touches(self, mode: FailureMode) -> bool:
        rig = self.model.rig
        effects = ([change.parameter for change in effect.changes] for effect in mode.effects)
        return any(touches(rig, names) for names in effects)

    def may(self, *conditions: When) -> bool:
        """Whether all conditions can hold at once on some rig of this shape."""
        return all(self._values(name, conditions) for name in set().union(*conditions))

    def _values(self, name: str, conditions: tuple[When, ...]) -> set[str]:
        left = set(self.facts.get(name, ()))
        for condition in conditions:
            left &= set(condition.get(name, left))
        return left

    def __str__(self) -> str:
        rig = self.model.rig
        if rig.feed:
            return rig.name
        return f"{rig.topology}, {rig.control}" + (", remote" if rig.remote else "")


@cache
def shapes() -> tuple[Shape, ...]:
    """All shapes, each once."""
    return tuple(_shape(topology, control, remote) for topology, control, remote in _kinds())


def _kinds() -> Iterator[tuple[str, str, str]]:
    for topology, control, remote in product(TOPOLOGIES, CONTROLS, ("true", "false")):
        if (topology, remote) != ("direct", "true"):
            yield topology, control, remote


def _shape(topology: str, control: str, remote: str) -> Shape:
    text = f"topology: {topology}\ncontrol: {control}\nremote: {remote}\npump: {{current: 10 A}}"
    return shape_of(read_rig(parse(text, "rig")))


def shape_of(rig: Rig) -> Shape:
    """The shape of one rig, with the sizes that it has."""
    model = Model.of(rig)
    facts = rig_facts(model)
    settled = (*SETTLED, *(LISTED if rig.feed else ()))
    known = {name: (facts[name],) if name in settled else RIG_FACTS[name] for name in facts}
    kinds = tuple(dict.fromkeys(part.kind for part in parts_with_entries(rig)))
    return Shape(model, {**known, **({PART: kinds} if kinds else {}), **_short(rig)})


LISTED = (
    *("first-protection", "control-fuse", "master-switch"),
    *("float-closes", "pump-kind", "loads"),
)
"""The facts that a list of parts settles beside those."""


def _short(rig: Rig) -> Mapping[str, tuple[str, ...]]:
    """What a rig that is described in short always has."""
    if rig.feed:
        return {}
    always = {"first-protection": ("fuse",), "control-fuse": ("yes",), "loads": ("no",)}
    return {**always, "master-switch": ("yes",)}
