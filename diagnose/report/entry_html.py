"""The tests of the handbook as HTML: how, why, when not, and what a sound rig reads."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.bench import Bench
from diagnose.catalogue.records import Observation, ReadingEntry
from diagnose.reasoning.words import STATES, band, spaced, time
from diagnose.report.markup import Html, anchor, joined, line, link, table, tag


def tests_html(bench: Bench) -> Iterator[Html]:
    """Two parts: what is looked at and tried, and what is measured."""
    book = bench.shop.catalogue
    yield tag(
        "section",
        tag("h2", "Looking, listening, feeling, trying"),
        *map(_observation, book.observations.values()),
        id="looks",
        class_="part",
    )
    yield tag(
        "section",
        tag("h2", "Readings"),
        *_quantities(bench),
        *(_reading(bench, one) for one in book.readings.values()),
        id="readings",
        class_="part",
    )


def _quantities(bench: Bench) -> Iterator[Html]:
    for one in bench.shop.catalogue.quantities.values():
        yield tag(
            "article",
            tag("h3", f"{spaced(one.name)} [{one.unit}]"),
            tag("p", line(one.about)),
            tag("p", line(one.how)),
            class_="entry",
        )


def _observation(one: Observation) -> Html:
    answers = [(option, line(meaning)) for option, meaning in one.options.items()]
    return _entry(one, one.ask, table(("answer", "what it means"), answers))


def _reading(bench: Bench, one: ReadingEntry) -> Html:
    if one.id not in bench.tests:
        return _entry(one, one.id, tag("p", "This rig has no such point.", class_="soft"))
    expected = bench.healthy.expected(one.reading)
    reads = band(expected.low, expected.high, one.reading)
    return _entry(one, one.id, tag("p", tag("b", f"A sound rig reads {reads}.")))


def _entry(one: Observation | ReadingEntry, title: str, more: Html | None) -> Html:
    """A test: how, why, when not, with which cautions."""
    unsafe = one.unsafe_when if isinstance(one, Observation) else ()
    return tag(
        "article",
        tag("h3", title),
        tag("p", tag("code", one.id), f" {time(one.minutes)}. {STATES[one.state]}", class_="soft"),
        tag("p", line(one.how)),
        tag("p", line(one.why)),
        _tells(one),
        more,
        *(tag("p", f"Not when {line(danger)}.", class_="caution") for danger in unsafe),
        _cautions(one),
        id=anchor(one.id),
        class_="entry",
    )


def _tells(one: Observation | ReadingEntry) -> Html | None:
    """What nothing else tells apart."""
    told = isinstance(one, Observation) and one.tells
    return tag("p", f"Tells {line(told)}.") if told else None


def _cautions(one: Observation | ReadingEntry) -> Html | None:
    if not one.cautions:
        return None
    names = ", ".join(map(spaced, one.cautions))
    return tag("p", joined([link("cautions", "Cautions"), f": {names}."]), class_="soft")
