"""One question on the screen, with how to do it, its cautions and its answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import TYPE_CHECKING

from diagnose.bench import Bench
from diagnose.catalogue.records import Observation, Quantity
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.circuit.reading_words import in_words
from diagnose.reasoning import words
from diagnose.reasoning.consistency import Fit
from diagnose.reasoning.explanation import evidence_name, title
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.stops import ActiveStop
from diagnose.terminal.cautions import Alert
from diagnose.terminal.layout import NARROW, rows, rule
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.stops import SAFE, reminder_view
from diagnose.walkthrough import Question

if TYPE_CHECKING:
    from rich.console import RenderableType

IN_FRONT = 4
"""Failure modes shown while the walk goes on."""


def ranking_view(
    screen: Screen, bench: Bench, ranking: Iterable[tuple[str, float]], most: int = IN_FRONT
) -> RenderableType:
    """The likeliest failure modes of the book with bars; how well the book fits stands apart."""
    named = [(name, p) for name, p in ranking if name != OTHER]
    cells = 12 if screen.width >= NARROW else 5
    shown = [
        (words.per_cent(p), screen.bar(p, cells), title(bench.shop.catalogue, name))
        for name, p in named[:most]
    ]
    return rows(shown, [5, cells, None], styles=["", "cyan", ""], right=[0])


def fit_line(unknown: float, fit: Fit) -> str:
    """How well the book fits what was found, as its own line."""
    share = f"{words.per_cent(unknown)} that it is nothing of the book."
    if fit.fits:
        return share
    odd = "; ".join(evidence_name(item) for item in fit.odd) or "all of it together"
    return (
        f"{share} What was found fits the book badly: {odd}. Check that first; if it stands, think "
        "of something that is not in the book."
    )


def alert_view(alert: Alert) -> RenderableType:
    """A caution."""
    return mark(f"Caution: {alert.sentence}", "yellow")


def question_view(
    screen: Screen,
    question: Question,
    number: int,
    alerts: Iterable[Alert] = (),
    before: Iterable[str] = (),
    stops: Iterable[ActiveStop] = (),
) -> Iterator[RenderableType]:
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
    yield mark(asked(question), "bold")
    yield from how_view(question)
    if reminded := ", ".join(words.spaced(name) for name in before):
        yield para(f"Cautions as before: {reminded}.", "yellow", indent=2)
    yield answers_view(screen, question)


def asked(question: Question) -> str:
    """The question in one sentence."""
    return question.sentence


def how_view(question: Question) -> Iterator[RenderableType]:
    """How to do it: in which state of the rig, with which probe where, and when not."""
    entry = question.entry
    if entry.state != "off":
        yield para(words.STATES[entry.state], indent=2)
    yield para(" ".join(entry.how.split()), indent=2)
    if question.takes and question.reading is None:
        yield para(f"This takes {' and '.join(question.takes)}.", indent=2)
    if isinstance(entry, Observation):
        for danger in entry.unsafe_when:
            yield para(f"Not when {danger}.", "yellow", indent=2)


def answers_view(screen: Screen, question: Question) -> RenderableType:
    """The numbered options, or what a sound rig reads."""
    if isinstance(question.entry, Observation):
        return options_view(screen, question.entry.options.items())
    assert question.reading is not None
    assert question.expected is not None
    band = words.band(question.expected.low, question.expected.high, question.reading)
    book = question.expected.book
    if book is None:
        return para(f"A sound rig reads {band}.", "bold", indent=2)
    any_other = words.band(book.low, book.high, question.reading)
    told = f"This rig reads {band} while it is well; any sound one {any_other}."
    return para(told, "bold", indent=2)


def options_view(screen: Screen, options: Iterable[tuple[str, str]]) -> RenderableType:
    """Options with their numbers and meanings."""
    found = [(str(n), name, meaning) for n, (name, meaning) in enumerate(options, 1)]
    if screen.width >= NARROW:
        widest = max(len(name) for _, name, _ in found)
        return rows(found, [2, widest, None], styles=["bold", "bold", ""], right=[0])
    stacked = [(n, f"{name}: {meaning}") for n, name, meaning in found]
    return rows(stacked, [2, None], indent=0, styles=["bold", ""], right=[0])


def label(question: Question) -> str:
    """What stands before the cursor: enough to answer by when the rest has scrolled away."""
    if question.reading is not None:
        return f"{in_words(question.reading)} [{question.reading.unit}] or ?"
    assert isinstance(question.entry, Observation)
    return f"{words.NAMES.get(question.id, question.id)}, 1 to {len(question.entry.options)} or ?"


def help_view(
    screen: Screen, question: Question, quantity: Quantity | None
) -> Iterator[RenderableType]:
    """What `?` shows: the question again, the use of the meter, and the words that work here."""
    yield mark(asked(question), "bold")
    yield from how_view(question)
    if question.reading is not None:
        points = shipped_vocabulary().test_points
        for colour, point in zip(_places(question), question.reading.points, strict=False):
            yield para(f"{colour} {point}: {points.get(point, words.spaced(point))}.", indent=2)
    if quantity is not None:
        yield para(" ".join(quantity.how.split()), indent=2)
    yield answers_view(screen, question)
    yield para("You can type:", "dim")
    yield words_view(question.reading is not None)


def _places(question: Question) -> tuple[str, ...]:
    assert question.reading is not None
    return ("Red on", "Black on") if len(question.reading.points) == 2 else ("At",)


TYPE = (
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


def words_view(reading: bool) -> RenderableType:
    """The answers and words that a question takes."""
    first = (
        ("11.8", "the reading, every digit that is shown; also 420 mV, OL, about 12")
        if reading
        else ("2", "a number, an answer, or how it begins")
    )
    return rows([first, *TYPE], [8, None], styles=["bold", ""])
