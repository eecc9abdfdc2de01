"""Checks on names: files and ids, whatever refers to something by its id, and the vocabulary."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Mapping
from difflib import SequenceMatcher
from itertools import combinations
from pathlib import Path

from diagnose.annotations import Of
from diagnose.catalogue.entry_parts import CONDITION, NEVER, SAID, SHOWN
from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.catalogue.records import FailureMode
from diagnose.catalogue.rule_records import RIG_FACTS
from diagnose.circuit.meter import QUANTITIES
from diagnose.circuit.operate import CONDITIONS
from diagnose.circuit.reading_words import ALL_POINTS, points_for
from diagnose.errors import Place, quoted
from diagnose.field_types import unknown
from diagnose.record_places import under

_ID = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")
_DEPTH = {"failure_modes": 2, "observations": 1, "rules": 1, "rigs": 1, "figures": 1}
"""The folders that hold many files of one kind, and how deep in them those files lie."""

_ALIKE = 0.94
"""Likeness of two repairs (0 to 1) above which one is taken for a slip of the other."""


@check("K101", Severity.MUST_FIX)
def file_is_named_like_its_id(knowledge: Knowledge) -> Found:
    """The file of a failure mode is named like its id."""
    for mode in knowledge.catalogue.failure_modes.values():
        name = Path(mode.place.file).stem
        if name != mode.id:
            yield under(mode.place, "id"), f"id is {quoted(mode.id)}, the file is {quoted(name)}"


@check("K102", Severity.MUST_FIX)
def folder_is_named_like_the_group(knowledge: Knowledge) -> Found:
    """A failure mode lies in the folder of its group."""
    for mode in knowledge.catalogue.failure_modes.values():
        folder = Path(mode.place.file).parent.name
        if folder != mode.group:
            said = f"group is {quoted(mode.group)}, the folder is {quoted(folder)}"
            yield under(mode.place, "group"), said


@check("K103", Severity.MUST_FIX)
def id_is_well_formed(knowledge: Knowledge) -> Found:
    """An id is small letters, figures and single hyphens."""
    for place, name in _ids(knowledge):
        if not _ID.fullmatch(name):
            yield place, f"{quoted(name)} is no id: small letters, figures and single hyphens only"


def _ids(knowledge: Knowledge) -> Iterator[tuple[Place, str]]:
    book = knowledge.catalogue
    for entries in (book.failure_modes, book.observations, book.complaints):
        for entry in entries.values():
            yield under(entry.place, "id"), entry.id
    for keyed in (book.cautions, book.sources):
        for named in keyed.values():
            yield named.place, named.id
    for mode in book.failure_modes.values():
        yield under(mode.place, "repair"), mode.repair
    for observation in book.observations.values():
        for option in observation.options:
            yield under(observation.place, "options", option), option


def _unknown_observations(knowledge: Knowledge, mark: str) -> Found:
    """Names under a mark that are no observation of the book."""
    known = knowledge.catalogue.observations
    for place, named, _ in knowledge.every(mark):
        for name in named:
            if name not in known:
                yield under(place, name), unknown("observation", name, known)


def _unknown_answers(knowledge: Knowledge, mark: str) -> Found:
    """Answers under a mark that their observation has not."""
    known = knowledge.catalogue.observations
    for place, named, _ in knowledge.every(mark):
        for name, answers in named.items():
            options = known[name].options if name in known else answers
            for answer in [answers] if isinstance(answers, str) else answers:
                if answer not in options:
                    keys = (name,) if answers is answer else (name, answer)
                    yield under(place, *keys), unknown("answer", answer, options)


def _unknown(knowledge: Knowledge, kind: str, known: Collection[str]) -> Found:
    """Names of a kind that nobody defines."""
    for place, name, _ in knowledge.every(Of(kind)):
        if name not in known:
            yield place, unknown(kind, name, known)


@check("K104", Severity.MUST_FIX)
def shown_observation_exists(knowledge: Knowledge) -> Found:
    """What a failure mode shows is an observation of the book."""
    return _unknown_observations(knowledge, SHOWN)


@check("K105", Severity.MUST_FIX)
def shown_answer_exists(knowledge: Knowledge) -> Found:
    """What a failure mode shows is one of the answers to the observation."""
    return _unknown_answers(knowledge, SHOWN)


@check("K106", Severity.MUST_FIX)
def word_exists(knowledge: Knowledge) -> Found:
    """How often a failure mode shows something is a word of words.yaml."""
    return _unknown(knowledge, "word", knowledge.catalogue.words)


@check("K107", Severity.MUST_FIX)
def other_failure_mode_exists(knowledge: Knowledge) -> Found:
    """result_of and mistaken_for name other failure modes of the book, each once."""
    yield from _unknown(knowledge, "failure mode", knowledge.catalogue.failure_modes)
    for mode in knowledge.catalogue.failure_modes.values():
        for key, names in (("result_of", mode.result_of), ("mistaken_for", mode.mistaken_for)):
            for number, name in enumerate(names, 1):
                place = under(mode.place, key, number)
                if name == mode.id:
                    yield place, "a failure mode cannot name itself here"
                elif name in names[: number - 1]:
                    yield place, f"{quoted(name)} is named twice"


@check("K108", Severity.MUST_FIX)
def caution_exists(knowledge: Knowledge) -> Found:
    """Every caution that an entry refers to is in cautions.yaml."""
    return _unknown(knowledge, "caution", knowledge.catalogue.cautions)


@check("K109", Severity.MUST_FIX)
def source_exists(knowledge: Knowledge) -> Found:
    """Every source that an entry or a figure refers to is in sources.yaml."""
    return _unknown(knowledge, "source", knowledge.catalogue.sources)


@check("K110", Severity.MUST_FIX)
def rig_fact_exists(knowledge: Knowledge) -> Found:
    """A condition on the rig uses a fact that rigs have, with values that it can take."""
    for place, condition, _ in knowledge.every(CONDITION):
        for name, values in condition.items():
            if name not in RIG_FACTS:
                yield under(place, name), unknown("rig fact", name, RIG_FACTS)
            for value in set(values) - set(RIG_FACTS.get(name, values)):
                yield under(place, name), unknown(f"value of {name}", value, RIG_FACTS[name])


@check("K111", Severity.MUST_FIX)
def complaint_means_something(knowledge: Knowledge) -> Found:
    """A complaint stands for observations of the book, with answers that they have."""
    yield from _unknown_observations(knowledge, SAID)
    yield from _unknown_answers(knowledge, SAID)
    for complaint in knowledge.catalogue.complaints.values():
        if not complaint.seen:
            yield under(complaint.place, "seen"), "a complaint must stand for an observation"


@check("K112", Severity.SHOULD_FIX)
def repairs_are_spelled_alike(knowledge: Knowledge) -> Found:
    """Failure modes that one act mends share its id to the letter."""
    first = _first_by_repair(knowledge)
    for one, other in combinations(sorted(first), 2):
        if SequenceMatcher(None, one, other).ratio() > _ALIKE:
            said = f"repair {quoted(other)} is hardly to be told from {quoted(one)}"
            yield under(first[other].place, "repair"), f"{said}; use one id if it is one act"


def _first_by_repair(knowledge: Knowledge) -> Mapping[str, FailureMode]:
    found: dict[str, FailureMode] = {}
    for mode in knowledge.catalogue.failure_modes.values():
        found.setdefault(mode.repair, mode)
    return found


@check("K113", Severity.MUST_FIX)
def file_lies_where_it_is_read(knowledge: Knowledge) -> Found:
    """Every file of these folders lies as deep as the program looks, and is named .yaml."""
    for folder, depth in _DEPTH.items():
        for path in sorted((knowledge.folder / folder).rglob("*")):
            inside = path.relative_to(knowledge.folder / folder)
            misplaced = path.suffix != ".yaml" or len(inside.parts) != depth
            if misplaced and path.is_file() and not path.name.startswith("."):
                yield Place(str(path)), "nobody reads a file of this name at this depth"


@check("K114", Severity.MUST_FIX)
def never_shown_answer_exists(knowledge: Knowledge) -> Found:
    """What a failure mode never shows is an answer to an observation of the book, with a reason."""
    yield from _unknown_observations(knowledge, NEVER)
    yield from _unknown_answers(knowledge, NEVER)


@check("K201", Severity.MUST_FIX)
def every_failure_mode_is_there(knowledge: Knowledge) -> Found:
    """Every failure mode of the vocabulary is in the book, in its group."""
    vocabulary, modes = knowledge.vocabulary, knowledge.catalogue.failure_modes
    for name, group in vocabulary.group_of.items():
        if name not in modes:
            place = under(vocabulary.place, "failure_modes", group)
            yield place, f"failure mode {quoted(name)} is not in the book"
        elif modes[name].group != group:
            place = under(modes[name].place, "group")
            yield place, f"the vocabulary has {quoted(name)} in the group {quoted(group)}"


@check("K202", Severity.SHOULD_FIX)
def every_name_is_in_the_vocabulary(knowledge: Knowledge) -> Found:
    """Every failure mode and every observation of the book is in the vocabulary."""
    vocabulary, book = knowledge.vocabulary, knowledge.catalogue
    for mode in book.failure_modes.values():
        if mode.id not in vocabulary.group_of:
            yield under(mode.place, "id"), f"enter {quoted(mode.id)} in vocabulary.yaml too"
    for observation in book.observations.values():
        if observation.id not in vocabulary.observations:
            place = under(observation.place, "id")
            yield place, f"enter {quoted(observation.id)} in vocabulary.yaml too"


@check("K203", Severity.MUST_FIX)
def every_observation_is_there(knowledge: Knowledge) -> Found:
    """Every observation of the vocabulary is in the book, with its answers in their order."""
    vocabulary, observations = knowledge.vocabulary, knowledge.catalogue.observations
    for name, answers in vocabulary.observations.items():
        if name not in observations:
            place = under(vocabulary.place, "observations", name)
            yield place, f"observation {quoted(name)} is not in the book"
        elif tuple(observations[name].options) != answers:
            place = under(observations[name].place, "options")
            yield place, f"the vocabulary has these answers, in this order: {', '.join(answers)}"


@check("K204", Severity.MUST_FIX)
def points_and_conditions_are_those_of_the_circuit(knowledge: Knowledge) -> Found:
    """Test points and conditions of the vocabulary are those that the circuit model has."""
    vocabulary = knowledge.vocabulary
    pairs: Iterable[tuple[str, Mapping[str, str], tuple[str, ...]]] = (
        ("test_points", vocabulary.test_points, ALL_POINTS),
        ("conditions", vocabulary.conditions, CONDITIONS),
    )
    for key, words, known in pairs:
        for name in sorted(set(words) ^ set(known)):
            who = "the circuit model" if name in words else "the vocabulary"
            yield under(vocabulary.place, key), f"{who} knows no {quoted(name)}"


@check("K205", Severity.MUST_FIX)
def quantities_are_those_of_the_meter(knowledge: Knowledge) -> Found:
    """Quantities, their units and what they are read at agree with the meter and readings.yaml."""
    vocabulary, book = knowledge.vocabulary, knowledge.catalogue
    for name in sorted({*vocabulary.readings, *QUANTITIES, *book.quantities}):
        place = under(vocabulary.place, "readings", name)
        for wrong in _disagreement(name, knowledge):
            yield place, wrong


def _disagreement(name: str, knowledge: Knowledge) -> Iterable[str]:
    measure = knowledge.vocabulary.readings.get(name)
    quantity = knowledge.catalogue.quantities.get(name)
    if measure is None or quantity is None or name not in QUANTITIES:
        yield f"{quoted(name)} is not in vocabulary, readings.yaml and circuit model alike"
    elif {measure.unit, quantity.unit} != {QUANTITIES[name]}:
        yield f"the meter of the circuit model shows {name} in {QUANTITIES[name]}"
    else:
        count, places, kind = points_for(name)
        if set(measure.at) != set(places if count == 1 else ()):
            yield f"the circuit model reads {name} at {count} {kind}(s): {', '.join(places)}"
