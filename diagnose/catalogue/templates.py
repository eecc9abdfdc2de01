"""The knowledge for one rig: what belongs to a kind of part, once for every part of that kind.

A template is an entry that applies to kinds of parts (`part: plug`). It never applies by itself;
for each part of such a kind that the rig lists, a copy does, with the part's own name, test points
and circuit parameters in it. Where the rig has one such part the copy takes the template's place;
of several, each id has the part's name behind it: plug-corroded@trailer-plug.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import lru_cache
from typing import Any, TypeVar

from diagnose.catalogue.at_volts import at_volts_of
from diagnose.catalogue.entry_parts import SLOT, Effect
from diagnose.catalogue.part_names import MANY, copy_for, template_of
from diagnose.catalogue.records import Catalogue, FailureMode, Observation, ReadingEntry
from diagnose.circuit.kinds import Part, kinds
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import PART
from diagnose.circuit.parts import feed_wires, listed_parts, protection_of
from diagnose.circuit.rig import Rig

PROTECTING = {PART: "main_fuse", f"{PART}.rating": "main_fuse.rating"}
"""Parameters of a breaker that is the first protection: those of the fuse that it stands for."""

E = TypeVar("E", FailureMode, Observation, ReadingEntry)


@lru_cache(maxsize=256)
def parts_with_entries(rig: Rig) -> tuple[Part, ...]:
    """The parts of a rig that templates are copied for, in the order of the copper."""
    found = [one.part for one in listed_parts(rig)]
    first = protection_of(rig)
    if first is not None and first.part.kind == "breaker":
        found.insert(0, first.part)
    return (*found, *rig.loads)


def for_rig(catalogue: Catalogue, rig: Rig) -> Catalogue:
    """The knowledge with a copy of every template for each part of the rig that it is about."""
    parts = parts_with_entries(rig)
    wires = feed_wires(rig)[3:]
    if not parts and not wires and rig.times_12 == 1:
        return catalogue
    written = at_volts_of(rig, catalogue.raw or catalogue)
    copies = _Copies(written, rig, parts)
    modes = copies.all(written.failure_modes)
    return told(
        replace(
            written,
            failure_modes={name: _longer(mode, wires) for name, mode in modes.items()},
            observations=copies.all(written.observations),
            readings=copies.all(written.readings),
        )
    )


def told(catalogue: Catalogue) -> Catalogue:
    """The knowledge as it is told where no rig is at hand: a template speaks of "the plug", and
    what was kept under the name of a part, as plug-corroded@trailer-plug, is known by it."""
    return replace(
        catalogue,
        failure_modes=_ById({name: _told(one) for name, one in catalogue.failure_modes.items()}),
        observations=_ById({name: _told(one) for name, one in catalogue.observations.items()}),
        readings={one.id: one for one in map(_told, catalogue.readings.values())},
        raw=catalogue.raw or catalogue,
    )


def _told(entry: E) -> E:
    if PART not in entry.applies:
        return entry
    kind = entry.applies[PART][0]
    name = f"further {kind}" if kind in kinds() and kinds()[kind].points else kind
    made: Any = _filled(entry, Part(kind, name))
    if isinstance(made, FailureMode):
        made = replace(made, title=_capital(made.title))
    told_of: E = made
    return told_of


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


class _ById(dict[str, E]):
    """Entries by id, those of a listed part also by the id of their copy for it."""

    def __missing__(self, name: str) -> E:
        template, many, part = name.partition(MANY)
        if not many:
            raise KeyError(name)
        entry: Any = self[template]
        if isinstance(entry, FailureMode):
            entry = replace(entry, id=name, title=f"{entry.title} ({part.replace('-', ' ')})")
        found: E = entry
        return found

    def __contains__(self, name: object) -> bool:
        return super().__contains__(template_of(name) if isinstance(name, str) else name)

    def get(self, name: str, default: Any = None) -> Any:
        try:
            return self[name]
        except KeyError:
            return default


def _kinds(entry: FailureMode | Observation | ReadingEntry) -> Sequence[str]:
    return entry.applies.get(PART, ())


@dataclass(frozen=True)
class _Copies:
    """Copies the templates of a catalogue for some parts."""

    catalogue: Catalogue
    rig: Rig
    parts: tuple[Part, ...]

    def all(self, entries: Mapping[str, E]) -> dict[str, E]:
        """These entries, the copies of each template where it stood."""
        found: dict[str, E] = {}
        for name, entry in entries.items():
            about = self._about(entry)
            if len(about) != 1:
                found[name] = entry
            for part in about:
                copy = self._copy(entry, part)
                found[copy.id] = copy
        return found

    def _about(self, entry: FailureMode | Observation | ReadingEntry) -> list[Part]:
        return [part for part in self.parts if part.kind in _kinds(entry)]

    def _copy(self, entry: Any, part: Part) -> Any:
        made = filled(entry, part, self.rig)
        if not isinstance(made, ReadingEntry):
            made = replace(made, id=self._id(made.id, part))
        return self._of_the_same(made, part) if isinstance(made, FailureMode) else made

    def _id(self, name: str, part: Part) -> str:
        """What an entry's copy for this part is called."""
        book = (self.catalogue.failure_modes, self.catalogue.observations)
        entry = next((entries[name] for entries in book if name in entries), None)
        if entry is None or part.kind not in _kinds(entry) or len(self._about(entry)) < 2:
            return name
        return copy_for(name, part.name)

    def _of_the_same(self, mode: FailureMode, part: Part) -> FailureMode:
        """A copy that speaks of the looks of its own part, and of its own part's other faults."""

        def looks(words: Mapping[str, Any]) -> dict[str, Any]:
            return {self._id(name, part): said for name, said in words.items()}

        def ids(names: tuple[str, ...]) -> tuple[str, ...]:
            return tuple(self._id(name, part) for name in names)

        return replace(
            mode,
            title=_capital(mode.title),
            shows=looks(mode.shows),
            never_shows=looks(mode.never_shows),
            effects=tuple(replace(one, shows=looks(one.shows)) for one in mode.effects),
            mistaken_for=ids(mode.mistaken_for),
            result_of=ids(mode.result_of),
        )


def filled(entry: E, part: Part, rig: Rig) -> E:
    """A template with a part of a rig in place of every slot; its id as in the knowledge."""
    applies = {name: words for name, words in entry.applies.items() if name != PART}
    made: Any = _filled(replace(entry, applies=applies, of=part.name), part)
    if isinstance(made, FailureMode):
        effects = tuple(_changing(effect, part, rig) for effect in made.effects)
        made = replace(made, effects=effects)
    copy: E = made
    return copy


def _changing(effect: Effect, part: Part, rig: Rig) -> Effect:
    """The same effect on a part's own parameters."""
    changes = (replace(c, parameter=_parameter(rig, c.parameter, part)) for c in effect.changes)
    return replace(effect, changes=tuple(changes))


def copies_of(entry: E, rig: Rig) -> tuple[E, ...]:
    """An entry as it is on a rig: itself, or of a template one for each part that it is about."""
    if PART not in entry.applies:
        return (entry,)
    about = [part for part in parts_with_entries(rig) if part.kind in _kinds(entry)]
    return tuple(filled(entry, part, rig) for part in about)


def _filled(value: Any, part: Part) -> Any:
    """A record with the part in place of every slot."""
    if isinstance(value, str):
        named = value
        for point in ("in", "out", "minus"):
            named = named.replace(f"{SLOT}.{point}", f"{part.name}.{point}")
        return named.replace(SLOT, part.said)
    if isinstance(value, Reading):
        return replace(value, points=tuple(_filled(point, part) for point in value.points))
    if isinstance(value, tuple):
        return tuple(_filled(one, part) for one in value)
    if isinstance(value, Mapping):
        return {key: _filled(one, part) for key, one in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        keep = ("place", "applies", "of", "id")
        made = {
            f.name: _filled(getattr(value, f.name), part)
            for f in fields(value)
            if f.name not in keep
        }
        return replace(value, **made)
    return value


def parameters_on(rig: Rig, mode: FailureMode, name: str) -> tuple[str, ...]:
    """What a parameter of a failure mode is called on a rig, of a template once for each part."""
    if PART not in mode.applies:
        return (name,)
    about = (part for part in parts_with_entries(rig) if part.kind in _kinds(mode))
    return tuple(_parameter(rig, name, part) for part in about)


def _parameter(rig: Rig, name: str, part: Part) -> str:
    """What a template calls a parameter of its part, as the circuit has it."""
    first = protection_of(rig)
    if first is not None and first.part == part and name in PROTECTING:
        return PROTECTING[name]
    if name == PART:
        return part.parameter()
    return part.parameter(name.removeprefix(f"{PART}.")) if name.startswith(f"{PART}.") else name


def _longer(mode: FailureMode, wires: Sequence[str]) -> FailureMode:
    """What befalls the wire behind the second part befalls every further wire of a longer feed."""
    more = [copy for effect in mode.effects for copy in _further(effect, wires)]
    return replace(mode, effects=(*mode.effects, *more)) if more else mode


def _further(effect: Effect, wires: Sequence[str]) -> Iterator[Effect]:
    if not any(change.parameter == "feed_2" for change in effect.changes):
        return
    if any(change.parameter in ("feed_1", "feed_3") for change in effect.changes):
        return
    for wire in wires:
        changes = (
            replace(c, parameter=wire) if c.parameter == "feed_2" else c for c in effect.changes
        )
        yield replace(effect, name=f"{effect.name}, {wire}", changes=tuple(changes))
