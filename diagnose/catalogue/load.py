"""From the knowledge folder to a Catalogue, or every mistake of it in one go."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import cache
from pathlib import Path
from typing import TypeVar

from diagnose.catalogue.records import (
    Catalogue,
    Caution,
    Change,
    Complaint,
    Effect,
    FailureMode,
    Observation,
    Prior,
    PriorFactor,
    Quantity,
    ReadingEntry,
    RootCause,
    Source,
    Verify,
    When,
)
from diagnose.circuit.meter import QUANTITIES
from diagnose.circuit.parameters import NAMES, OPEN, unit_of
from diagnose.circuit.reading_words import reading_of
from diagnose.documents import Section, load
from diagnose.errors import BadDocument, BadQuantity, DiagnoseError, Mistakes, UnknownName, nearest
from diagnose.figures import BASES, knowledge_folder
from diagnose.units import read_quantity

T = TypeVar("T")
OPERATIONS = ("add", "times", "set")


def _one(value: object) -> str:
    return {True: "yes", False: "no"}[value] if isinstance(value, bool) else str(value)


def _when(section: Section, key: str) -> When:
    part = section.section(key, default=None)
    if part is None:
        return {}
    found = {}
    for name in part.keys():
        value = part.raw(name)
        found[name] = tuple(_one(v) for v in (value if isinstance(value, list) else [value]))
    return found


def _shows(section: Section, key: str) -> Mapping[str, Mapping[str, str]]:
    part = section.section(key, default=None)
    if part is None:
        return {}
    return {name: _words(part.section(name)) for name in part.keys()}


def _words(part: Section) -> Mapping[str, str]:
    return {key: part.text(key) for key in part.keys()}


def _amount(section: Section, parameter: str, value: object, scale: bool) -> float:
    """One end of a change, as a float in the parameter's unit (a bare ratio for `times`)."""
    if value == "open":
        return OPEN
    unit = "1" if scale else unit_of(parameter)
    place = section.place
    try:
        if unit == "1":
            return float(str(value))
        return read_quantity(str(value), unit, place)
    except BadQuantity as error:
        section.problem(error)
    except ValueError:
        section.problem(BadDocument(f"{place}: {value!r} is not a plain number."))
    return 1.0


def _change(sets: Section, parameter: str) -> Change | None:
    if parameter not in NAMES:
        hint = nearest(parameter, NAMES)
        sets.problem(UnknownName("circuit parameter", parameter, sets.place_of(parameter), hint))
        return None
    part = sets.section(parameter)
    operation = next((word for word in OPERATIONS if part.has(word)), None)
    if operation is None:
        part.problem(BadDocument(f"{part.place}: say add, times or set."))
        return None
    raw = part.raw(operation)
    ends = raw if isinstance(raw, list) else [raw, raw]
    if len(ends) != 2:
        part.problem(BadDocument(f"{part.place}: give one value, or [mild, severe]."))
        return None
    mild, severe = (_amount(part, parameter, end, operation == "times") for end in ends)
    return Change(parameter, operation, mild, severe)


def _effect(section: Section) -> Effect:
    sets = section.section("sets", default=None)
    changes = [] if sets is None else [_change(sets, name) for name in sets.keys()]
    return Effect(
        section.text("name"),
        section.number("share", default=1.0, minimum=0.0, maximum=1.0),
        tuple(change for change in changes if change),
        section.choice("basis", BASES),
        section.text("why"),
        _shows(section, "shows"),
    )


def _prior(section: Section) -> Prior:
    return Prior(
        section.number("weight", minimum=0.0), section.choice("basis", BASES), section.text("why")
    )


def _prior_factor(section: Section) -> PriorFactor:
    return PriorFactor(
        _when(section, "when"), section.number("times", minimum=0.0), section.text("because")
    )


def _root_cause(section: Section) -> RootCause:
    return RootCause(section.text("cause"), section.text("mend"), _when(section, "when"))


def _reading(section: Section, key: str) -> object:
    text = section.text(key)
    try:
        return reading_of(text, section.place_of(key))
    except DiagnoseError as error:
        section.problem(error)
        return reading_of("voltage battery+ battery- rest", section.place)


def _verify(section: Section) -> Verify:
    reading = reading_of("voltage battery+ battery- rest", section.place)
    found = _reading(section, "read")
    if isinstance(found, type(reading)):
        reading = found
    section.text("expect", default="healthy")
    limits = [
        section.quantity(key, reading.unit) if section.has(key) else None
        for key in ("below", "above")
    ]
    return Verify(reading, limits[0], limits[1], section.text("why", default=""))


def failure_mode(section: Section) -> FailureMode:
    """One failure mode from its file."""
    return FailureMode(
        id=section.text("id"),
        title=section.text("title"),
        group=section.text("group"),
        about=section.text("about"),
        applies=_when(section, "applies"),
        effects=tuple(_effect(part) for part in section.sections("effects")),
        prior=_prior(section.section("prior")),
        prior_factors=tuple(_prior_factor(p) for p in section.sections("prior_factors", default=())),
        shows=_shows(section, "shows"),
        result_of=section.texts("result_of", default=()),
        root_causes=tuple(_root_cause(part) for part in section.sections("root_causes")),
        repair=section.text("repair"),
        fix=section.texts("fix"),
        parts=section.texts("parts", default=()),
        verify=_verify(section.section("verify")),
        prevention=section.texts("prevention"),
        cautions=section.texts("cautions", default=()),
        mistaken_for=section.texts("mistaken_for", default=()),
        sources=section.texts("sources"),
        status=section.choice("status", ("draft", "reviewed", "retired")),
        revised=str(section.raw("revised")),
        place=section.place,
    )


def _shares(section: Section, key: str, options: Mapping[str, str]) -> Mapping[str, float]:
    part = section.section(key, default=None)
    if part is None:
        return {option: 1 / max(len(options), 1) for option in options}
    return {name: part.number(name, minimum=0.0, maximum=1.0) for name in part.keys()}


def observation(section: Section) -> Observation:
    """One observation from its list entry."""
    options = _words(section.section("options"))
    return Observation(
        id=section.text("id"),
        ask=section.text("ask"),
        how=section.text("how"),
        why=section.text("why"),
        options=options,
        otherwise=_shares(section, "otherwise", options),
        otherwise_basis=section.choice("otherwise_basis", BASES, default="estimate"),
        wrong=section.number("wrong", minimum=0.0, maximum=0.5),
        minutes=section.number("minutes", minimum=0.1),
        opens=section.flag("opens", default=False),
        state=section.text("state"),
        unsafe_when=section.texts("unsafe_when", default=()),
        cautions=section.texts("cautions", default=()),
        applies=_when(section, "applies"),
        predicted=section.flag("predicted", default=False),
        place=section.place,
    )


def reading_entry(section: Section) -> ReadingEntry:
    """One reading worth asking for, from its list entry."""
    return ReadingEntry(
        reading=reading_of(section.text("read"), section.place_of("read")),
        how=section.text("how"),
        why=section.text("why"),
        minutes=section.number("minutes", minimum=0.1),
        state=section.text("state"),
        cautions=section.texts("cautions", default=()),
        applies=_when(section, "applies"),
        place=section.place,
    )


def quantity(name: str, section: Section) -> Quantity:
    """How one quantity is measured, and how well."""
    unit = section.choice("unit", tuple(QUANTITIES.values()))
    meter = section.section("meter")
    meter.text("source", default="")
    return Quantity(
        name=name,
        unit=unit,
        about=section.text("about"),
        how=section.text("how"),
        relative=meter.number("relative", minimum=0.0),
        absolute=_difference(meter, "absolute", unit),
        basis=meter.choice("basis", BASES),
        impossible_above=section.quantity("impossible_above", unit),
        impossible_below=section.quantity("impossible_below", unit),
        why=section.text("why"),
        place=section.place,
    )


def _difference(section: Section, key: str, unit: str) -> float:
    """An error of a temperature is a difference, so its degrees have no offset."""
    return section.quantity(key, unit)


def _caution(name: str, section: Section) -> Caution:
    return Caution(name, section.text("text"), section.texts("sources"))


def _source(name: str, section: Section) -> Source:
    return Source(
        name,
        section.text("title"),
        section.text("kind"),
        section.choice("basis", BASES),
        section.text("note", default=""),
    )


def _complaint(section: Section) -> Complaint:
    return Complaint(section.text("id"), section.text("say"), _words(section.section("seen")))


def _by_key(document: Section, read: Callable[[str, Section], T]) -> dict[str, T]:
    return {name: read(name, document.section(name)) for name in document.keys()}


def _word(name: str, section: Section) -> float:
    section.choice("basis", BASES)
    section.text("why")
    return section.number("probability", minimum=0.0, maximum=1.0)


class _Gatherer:
    """Opens files one after another; what is wrong in one does not hide the rest."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.problems: list[DiagnoseError] = []

    def file(self, path: Path, read: Callable[[Section], T]) -> T | None:
        try:
            document = load(path)
            result = read(document)
            document.finish()
            return result
        except Mistakes as mistakes:
            self.problems += mistakes.problems
        except DiagnoseError as problem:
            self.problems.append(problem)
        return None

    def files(self, pattern: str, read: Callable[[Section], T]) -> Iterator[T]:
        for path in sorted(self.folder.glob(pattern)):
            result = self.file(path, read)
            if result is not None:
                yield result

    def mapping(self, name: str, read: Callable[[str, Section], T]) -> dict[str, T]:
        return self.file(self.folder / name, lambda document: _by_key(document, read)) or {}


def load_catalogue(folder: Path | None = None) -> Catalogue:
    """Everything in the knowledge folder. Raises Mistakes with all problems of all files."""
    gather = _Gatherer(folder or knowledge_folder())
    modes = {mode.id: mode for mode in gather.files("failure_modes/*/*.yaml", failure_mode)}
    observations = {
        entry.id: entry
        for entries in gather.files("observations/*.yaml", _observations)
        for entry in entries
    }
    readings = gather.file(gather.folder / "readings.yaml", _readings) or ({}, {})
    complaints = gather.file(gather.folder / "complaints.yaml", _complaints) or {}
    catalogue = Catalogue(
        failure_modes=modes,
        observations=observations,
        readings=readings[1],
        quantities=readings[0],
        words=gather.mapping("words.yaml", _word),
        cautions=gather.mapping("cautions.yaml", _caution),
        sources=gather.mapping("sources.yaml", _source),
        complaints=complaints,
    )
    if gather.problems:
        raise Mistakes(gather.problems)
    return catalogue


def _observations(document: Section) -> tuple[Observation, ...]:
    return tuple(observation(entry) for entry in document.sections("observations"))


def _readings(document: Section) -> tuple[dict[str, Quantity], dict[str, ReadingEntry]]:
    quantities = _by_key(document.section("quantities"), quantity)
    entries = [reading_entry(entry) for entry in document.sections("readings")]
    return quantities, {entry.id: entry for entry in entries}


def _complaints(document: Section) -> dict[str, Complaint]:
    return {entry.id: entry for entry in map(_complaint, document.sections("complaints"))}


@cache
def shipped_catalogue() -> Catalogue:
    """The knowledge that comes with the program, read once."""
    return load_catalogue()
