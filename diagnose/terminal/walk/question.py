"""One question on the screen: how it is put, what it takes, why; and other tests beside it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from diagnose.catalogue.records import Observation, Quantity
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.circuit.reading_words import in_words
from diagnose.design.drawing import draw_reading
from diagnose.errors import one_line
from diagnose.pages.cautions import Alert, Cautions
from diagnose.pages.reasons import (
    Explanation,
    likeliest,
    why_found,
    why_leader,
    why_not,
    why_question,
)
from diagnose.reasoning import words
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.explanation import value_words
from diagnose.reasoning.outlook import settled_share
from diagnose.reasoning.stops import ActiveStop
from diagnose.terminal.layout import items, numbered, options_view, rows, rule, shares_view
from diagnose.terminal.plain import Renderable, Screen, mark, para
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, pick
from diagnose.terminal.stops import SAFE, alert_view, reminder_view
from diagnose.walkthrough import Question, Step, Walk

LEAST_FOR_A_DRAWING = 40
"""Columns below which the circuit cannot be drawn."""

MOST = 12
"""Other tests that are listed: the best of those that may be asked."""

VERDICTS = {
    "nothing": "next to nothing",
    "low": "low",
    "within": "as it should be",
    "high": "high",
    "hot": "too hot to hold",
    "reversed": "reversed, check the probes",
    "open": "open",
}
"""Verdicts on a reading, in words."""

WORDS = (
    ("why", "why this is asked, and why the leader leads"),
    ("not NAME", "why it is not that failure mode, by its name or id"),
    ("list", "other tests that can be done now; pick one"),
    ("back", "take the last answer back"),
    ("skip", "leave this one out"),
    ("unknown", "it cannot be told"),
    ("can ...", "what you can do: can phone, can no meter, can clamp"),
    ("note ...", "keep a remark with the case"),
    ("enough", "the result with what is known now"),
    (SAFE, "the stop that stands has been dealt with"),
    ("quit", "stop here; what there is can be saved"),
)
"""What can be typed at a question besides an answer."""


@dataclass(frozen=True)
class QuestionScreen:
    """Puts the questions of one walk."""

    talk: Talk
    walk: Walk
    given: Cautions

    def show(self, question: Question) -> None:
        screen, walk = self.talk.screen, self.walk
        if walk.evidence:
            screen.say("So far:", "dim")
            screen.show(shares_view(screen, likeliest(walk.bench, walk.belief().ranking)))
        before = self.given.before(question)
        alerts = self.given.of_step(question)
        number = walk.questions + 1
        screen.show(*question_view(screen, question, number, alerts, before, walk.stops()))

    def taken(self, step: Step) -> str:
        """How an answer was taken, a reading beside what it should be."""
        item = step.item
        if not isinstance(item, Measured):
            return words.spaced(item.option) if item else ""
        healthy = self.walk.bench.healthy
        band = healthy.expected(item.reading)
        sound = words.band(band.low, band.high, item.reading)
        drifted = ", it has drifted" if healthy.has_drifted(item) else ""
        whose = "a sound rig" if band.book is None else "this rig when it is well"
        return f"{value_words(item)}: {VERDICTS[healthy.verdict(item)]}{drifted} ({whose}: {sound})"

    def help(self, question: Question) -> None:
        book, reading = self.walk.bench.shop.catalogue.quantities, question.reading
        screen = self.talk.screen
        screen.show(*help_view(screen, question, book.get(reading.quantity) if reading else None))
        if reading and len(reading.points) == 2 and screen.width >= LEAST_FOR_A_DRAWING:
            rig = self.walk.bench.rig
            screen.drawing(draw_reading(rig, *reading.points, screen.width, screen.ascii_only))

    def why(self, question: Question) -> None:
        walk = self.walk
        self._explain(why_question(walk, question), why_found(walk), why_leader(walk))

    def why_not(self, name: str) -> None:
        """Raises UnknownName, or NotHere."""
        self._explain(why_not(self.walk, name))

    def _explain(self, *parts: Explanation) -> None:
        for one in parts:
            for sentence in one.sentences:
                self.talk.screen.say(sentence)
            self.talk.screen.show(*items(one.points))

    def pick_another(self) -> Question | None:
        """Show the other tests that can be done now and ask for one; None to stay where one was."""
        walk, screen = self.walk, self.talk.screen
        belief = walk.belief()
        worths = walk.worths(belief)[:MOST]
        if not worths:
            screen.say("Nothing else can be asked safely now.")
            return None
        questions = [walk.ask(worth.test.id) for worth in worths]
        shares = [settled_share(worth.bits, belief, walk.bench.shop.repair) for worth in worths]
        cells = [
            (f"{worth.minutes:g} min", words.per_cent(share), question.sentence)
            for worth, share, question in zip(worths, shares, questions, strict=True)
        ]
        screen.say("Other tests now: time, part of the doubt it settles, and the test")
        screen.show(numbered(cells, [7, 5, None], right=[1, 2]))
        answer = ask(
            self.talk,
            Prompt(
                "Number, Enter to stay",
                lambda typed: pick(typed, questions, ", or Enter to stay"),
                "The number of a test asks it next. Enter changes nothing.",
                "The list is ordered by what a test is expected to settle for each minute it "
                "takes. Tests that would be unsafe or useless now are not in it.",
                enter=Word.SKIP,
            ),
        )
        return None if isinstance(answer, Word) else answer


def question_view(
    screen: Screen,
    question: Question,
    number: int,
    alerts: Iterable[Alert] = (),
    before: Iterable[str] = (),
    stops: Iterable[ActiveStop] = (),
) -> Iterator[Renderable]:
    """The question from its line to its answers.

    alerts: its cautions, in full; before: those that were given earlier and still count; stops:
    those that stand meanwhile
    """
    yield rule(screen)
    yield from reminder_view(stops)
    yield para(f"Question {number}, {words.time(question.minutes)}", "dim")
    yield from map(alert_view, alerts)
    if question.again:
        yield mark("Once more: the answer given before does not fit the rest.", "yellow")
    yield from _how(question)
    if reminded := ", ".join(map(words.spaced, before)):
        yield para(f"Cautions as before: {reminded}.", "yellow", indent=2)
    yield answers_view(screen, question)


def _how(question: Question) -> Iterator[Renderable]:
    """What to do: in which state of the rig, with which probe where, and when not."""
    entry = question.entry
    yield mark(question.sentence, "bold")
    if entry.state != "off":
        yield para(words.STATES[entry.state], indent=2)
    yield para(one_line(entry.how), indent=2)
    if question.takes and question.reading is None:
        yield para(f"This takes {' and '.join(question.takes)}.", indent=2)
    if isinstance(entry, Observation):
        yield from (para(f"Not when {one}.", "yellow", indent=2) for one in entry.unsafe_when)


def answers_view(screen: Screen, question: Question) -> Renderable:
    """The numbered options, or what a sound rig reads."""
    if isinstance(question.entry, Observation):
        return options_view(screen, question.entry.options.items())
    reading, sound = question.entry.reading, question.expected
    assert sound is not None
    band = words.band(sound.low, sound.high, reading)
    told = f"A sound rig reads {band}."
    if sound.book:
        any_other = words.band(sound.book.low, sound.book.high, reading)
        told = f"This rig reads {band} while it is well; any sound one {any_other}."
    return para(told, "bold", indent=2)


def label(question: Question) -> str:
    """What stands before the cursor: enough to answer by when the rest has scrolled away."""
    if isinstance(question.entry, Observation):
        named = words.NAMES.get(question.id, question.id)
        return f"{named}, 1 to {len(question.entry.options)} or ?"
    reading = question.entry.reading
    return f"{in_words(reading)} [{reading.unit}] or ?"


def help_view(
    screen: Screen, question: Question, quantity: Quantity | None
) -> Iterator[Renderable]:
    """What `?` shows: the question again, the use of the meter, and the words that work here."""
    yield from _how(question)
    first = ("2", "a number, an answer, or how it begins")
    if question.reading is not None:
        points, known = question.reading.points, shipped_vocabulary().test_points
        places = ("Red on", "Black on") if len(points) == 2 else ("At",)
        for place, point in zip(places, points, strict=False):
            yield para(f"{place} {point}: {known.get(point, words.spaced(point))}.", indent=2)
        first = ("11.8", "the reading, every digit that is shown; also 420 mV, OL, about 12")
    if quantity is not None:
        yield para(one_line(quantity.how), indent=2)
    yield answers_view(screen, question)
    yield para("You can type:", "dim")
    yield rows([first, *WORDS], [8, None], styles=["bold"])
