"""Checks that the knowledge and the program use the words of vocabulary.yaml, all of them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.circuit.meter import QUANTITIES
from diagnose.circuit.operate import CONDITIONS
from diagnose.circuit.reading_words import ALL_POINTS, points_for
from diagnose.errors import quoted
from diagnose.record_places import under


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
