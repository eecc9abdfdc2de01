"""Checks on tests: observations, complaints, readings and their quantities, and what they need."""

from __future__ import annotations

import math
from collections.abc import Iterator

from diagnose.catalogue.entry_parts import SHOWN
from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.catalogue.records import Catalogue, Observation, Quantity
from diagnose.circuit.meter import Reading
from diagnose.circuit.trial_signs import SIGNS
from diagnose.errors import Place
from diagnose.field_types import unknown
from diagnose.record_places import under

STATES = ("calling", "satisfied", "rest", "off")
"""States of the rig in which a person looks: three conditions of a reading, and all off."""

LONGEST = 60.0
"""Minutes that one test may take: longer is a job, not a test (common practice)."""


@check("K501", Severity.MUST_FIX)
def otherwise_is_a_whole(knowledge: Knowledge) -> Found:
    """`otherwise` gives every answer a share above 0, and the shares sum to 1."""
    for observation in knowledge.catalogue.observations.values():
        place, shares = under(observation.place, "otherwise"), observation.otherwise
        if list(shares) != list(observation.options):
            yield place, f"give these answers, in this order: {', '.join(observation.options)}"
        elif min(shares.values(), default=0.0) <= 0:
            yield place, "an answer that never comes cannot be an answer: every share is above 0"
        if not math.isclose(sum(shares.values()), 1.0, abs_tol=1e-6):
            yield place, f"the shares sum to {sum(shares.values()):.3g}, not to 1"


@check("K502", Severity.MUST_FIX)
def prediction_is_marked(knowledge: Knowledge) -> Found:
    """`predicted` stands with the observations that the circuit model works out, and no others."""
    for observation in knowledge.catalogue.observations.values():
        if observation.predicted != (observation.id in SIGNS):
            does = "does not work" if observation.predicted else "works"
            yield under(observation.place, "predicted"), f"the circuit model {does} this out"


@check("K503", Severity.MUST_FIX)
def danger_has_its_caution(knowledge: Knowledge) -> Found:
    """An observation that can be unsafe, or for which something is opened, refers to a caution."""
    for observation in knowledge.catalogue.observations.values():
        if (observation.unsafe_when or observation.opens) and not observation.cautions:
            yield under(observation.place, "cautions"), "name the caution that belongs to it"


@check("K504", Severity.MUST_FIX)
def state_is_known(knowledge: Knowledge) -> Found:
    """The state of the rig while looking is one that the program can ask for."""
    for observation in knowledge.catalogue.observations.values():
        if observation.state not in STATES:
            yield under(observation.place, "state"), f"say one of {', '.join(STATES)}"


@check("K505", Severity.MUST_FIX)
def word_leaves_room(knowledge: Knowledge) -> Found:
    """A word stands for a probability between 0 and 1, and is neither."""
    for word, probability in knowledge.catalogue.words.items():
        if not 0 < probability < 1:
            place = Place(str(knowledge.folder / "words.yaml"), None, f"{word}.probability")
            yield place, "no single answer may prove or kill a failure mode"


@check("K506", Severity.MUST_FIX)
def words_sum_to_one_at_most(knowledge: Knowledge) -> Found:
    """The words for the answers to one observation sum to no more than 1."""
    scale = knowledge.catalogue.words
    for place, shown, _ in knowledge.every(SHOWN):
        for name, words in shown.items():
            total = sum(scale.get(word, 0.0) for word in words.values())
            if total > 1 + 1e-9:
                yield under(place, name), f"these words sum to {total:.3g}, more than 1"


@check("K507", Severity.MUST_FIX)
def there_is_a_choice(knowledge: Knowledge) -> Found:
    """An observation has two answers or more, and some of them are mistaken at times."""
    for observation in knowledge.catalogue.observations.values():
        if len(observation.options) < 2:
            yield under(observation.place, "options"), "give two answers or more"
        if observation.wrong <= 0:
            yield under(observation.place, "wrong"), "nobody is never mistaken: above 0"


@check("K508", Severity.SHOULD_FIX)
def observation_bears_on_something(knowledge: Knowledge) -> Found:
    """An observation is predicted by the circuit or shown by a failure mode, else never asked."""
    named = {name for _, shown, _ in knowledge.every(SHOWN) for name in shown}
    for observation in knowledge.catalogue.observations.values():
        if not observation.predicted and observation.id not in named:
            yield under(observation.place, "id"), "no failure mode bears on it: it is never asked"


@check("K509", Severity.SHOULD_FIX)
def test_takes_a_sensible_time(knowledge: Knowledge) -> Found:
    """A test takes an hour at most; what takes longer is a job."""
    for book in (knowledge.catalogue.observations, knowledge.catalogue.readings):
        for entry in book.values():
            if entry.minutes > LONGEST:
                yield under(entry.place, "minutes"), f"{entry.minutes:g} minutes are not a test"


@check("K510", Severity.SHOULD_FIX)
def shown_where_it_can_be_seen(knowledge: Knowledge) -> Found:
    """What a failure mode shows can be observed on some rig with this failure mode."""
    observations = knowledge.catalogue.observations
    for mode in knowledge.catalogue.failure_modes.values():
        for name in {*mode.shows}.union(*(effect.shows for effect in mode.effects)):
            if name in observations:
                applies = observations[name].applies
                if not any(shape.may(mode.applies, applies) for shape in knowledge.shapes):
                    yield under(mode.place, "shows"), f"no such rig has anything to see of {name}"


@check("K511", Severity.SHOULD_FIX)
def complaint_can_be_made(knowledge: Knowledge) -> Found:
    """All that a complaint stands for can be observed on one and the same rig."""
    observations = knowledge.catalogue.observations
    for complaint in knowledge.catalogue.complaints.values():
        needs = [observations[name].applies for name in complaint.seen if name in observations]
        if not any(shape.may(*needs) for shape in knowledge.shapes):
            yield under(complaint.place, "seen"), "no rig has all of this to observe"


@check("K512", Severity.SHOULD_FIX)
def answer_says_what_it_means(knowledge: Knowledge) -> Found:
    """Every answer is explained in plain words: its id is not for people."""
    for observation in knowledge.catalogue.observations.values():
        for option, meaning in observation.options.items():
            if meaning.strip() in ("", option):
                place = under(observation.place, "options", option)
                yield place, "say in plain words what this answer means"


@check("K513", Severity.NOTE)
def answer_can_be_said(knowledge: Knowledge) -> Found:
    """Every answer is understood when somebody says it in their own words."""
    if knowledge.plain_words is None:
        return
    words = knowledge.plain_words
    said = {(phrase.observation, phrase.option) for phrase in words.phrases}
    said |= {(name, one.name) for name, told in words.answers.items() for one in told.expressions}
    for observation in knowledge.catalogue.observations.values():
        for option in observation.options:
            if (observation.id, option) not in said:
                place = under(observation.place, "options", option)
                yield place, "no sign in plain_words.yaml means this answer"


_WITH_UNITS = ("meter.absolute", "impossible_above", "impossible_below")


@check("K601", Severity.MUST_FIX)
def reading_can_be_taken(knowledge: Knowledge) -> Found:
    """A reading can be taken on some rig: one that it applies to, and that has its points."""
    for entry in knowledge.catalogue.readings.values():
        if not any(shape.has(entry) for shape in knowledge.shapes):
            yield under(entry.place, "read"), "no rig that it applies to has these points"


@check("K602", Severity.MUST_FIX)
def state_is_the_condition(knowledge: Knowledge) -> Found:
    """The state of the rig during a reading is the condition that the reading names."""
    for entry in knowledge.catalogue.readings.values():
        if entry.state != entry.reading.condition:
            yield under(entry.place, "state"), f"the reading is for {entry.reading.condition}"


@check("K603", Severity.MUST_FIX)
def quantity_is_described(knowledge: Knowledge) -> Found:
    """Every reading is of a quantity that readings.yaml describes."""
    known = knowledge.catalogue.quantities
    for entry in knowledge.catalogue.readings.values():
        if entry.reading.quantity not in known:
            yield under(entry.place, "read"), unknown("quantity", entry.reading.quantity, known)


@check("K604", Severity.NOTE)
def quantity_is_read(knowledge: Knowledge) -> Found:
    """Every quantity of readings.yaml is read somewhere."""
    read = {entry.reading.quantity for entry in knowledge.catalogue.readings.values()}
    for quantity in knowledge.catalogue.quantities.values():
        if quantity.name not in read:
            yield quantity.place, "no reading is of this quantity"


@check("K605", Severity.MUST_FIX)
def limits_leave_room(knowledge: Knowledge) -> Found:
    """A meter has an error above 0, and what it can show lies between two limits."""
    for quantity in knowledge.catalogue.quantities.values():
        if quantity.relative <= 0 and quantity.absolute <= 0:
            yield under(quantity.place, "meter"), "a meter without any error does not exist"
        if quantity.impossible_below >= quantity.impossible_above:
            place = under(quantity.place, "impossible_below")
            yield place, "must be below impossible_above"


@check("K606", Severity.SHOULD_FIX)
def figure_of_a_meter_has_its_unit(knowledge: Knowledge) -> Found:
    """The error of a meter and its limits are written with their unit."""
    for quantity in knowledge.catalogue.quantities.values():
        for place in (under(quantity.place, key) for key in _WITH_UNITS):
            if isinstance(knowledge.written.value(place), int | float):
                yield place, f"say the unit, such as '1 {quantity.unit}'"


@check("K607", Severity.SHOULD_FIX)
def reading_stands_once(knowledge: Knowledge) -> Found:
    """No reading is there a second time with its probes exchanged."""
    first: dict[tuple[str, frozenset[str], str], Reading] = {}
    for place, reading in _readings(knowledge):
        key = (reading.quantity, frozenset(reading.points), reading.condition)
        if key in first:
            yield place, f"'{first[key]}' is the same with the probes exchanged"
        first.setdefault(key, reading)


def _readings(knowledge: Knowledge) -> Iterator[tuple[Place, Reading]]:
    for entry in knowledge.catalogue.readings.values():
        yield under(entry.place, "read"), entry.reading


ANYTHING = "*"
"""Stands in a place for everything of the kit."""


def _needing(book: Catalogue) -> Iterator[Observation | Quantity]:
    yield from book.observations.values()
    yield from book.quantities.values()


@check("K918", Severity.MUST_FIX)
def needs_are_of_the_kit(knowledge: Knowledge) -> Found:
    """What a test or a quantity needs is a thing of the kit."""
    book = knowledge.catalogue
    for one in _needing(book):
        for number, name in enumerate(one.needs, 1):
            if name not in book.kit.things:
                yield under(one.place, "needs", number), f"there is no {name} in kit.yaml"


@check("K919", Severity.SHOULD_FIX)
def thing_is_needed(knowledge: Knowledge) -> Found:
    """Something needs every thing of the kit."""
    book = knowledge.catalogue
    needed = {name for one in _needing(book) for name in one.needs}
    for thing in book.kit.things.values():
        if thing.id not in needed:
            yield thing.place, f"nothing needs {thing.id}"


@check("K920", Severity.MUST_FIX)
def place_has_known_things(knowledge: Knowledge) -> Found:
    """What is taken to be at a place is of the kit."""
    kit = knowledge.catalogue.kit
    for place in kit.places.values():
        for number, name in enumerate(place.has, 1):
            if name not in (*kit.things, ANYTHING):
                yield under(place.place, "has", number), f"there is no {name} among the things"
