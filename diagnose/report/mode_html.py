"""Entries of the handbook as HTML: one failure mode, and the tests."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.bench import Bench
from diagnose.catalogue.records import Caution, FailureMode, Observation, ReadingEntry, Stop, holds
from diagnose.circuit.reading_words import in_words
from diagnose.reasoning.words import STATES, band, per_cent, spaced, time
from diagnose.report.markup import Html, anchor, joined, line, link, listed, table, tag
from diagnose.report.mode_page import ModePage
from diagnose.report.telling_apart import Parting, Sign
from diagnose.report.volts_svg import SHOWN_AT, volts_svg


def mode_html(bench: Bench, found: ModePage) -> Html:
    """The entry of one failure mode, from what it is to what to mind."""
    mode = found.mode
    return tag(
        "article",
        tag("h3", mode.title),
        tag("p", tag("code", mode.id), class_="soft"),
        tag("p", line(mode.about)),
        *_shows(found),
        *_mistaken(found),
        *_root_causes(bench, mode),
        *_mending(found),
        *(caution_html(bench.shop.catalogue.cautions[name]) for name in mode.cautions),
        tag("p", f"Sources: {', '.join(mode.sources)}. Revised {mode.revised}.", class_="soft"),
        id=mode.id,
        class_="entry",
    )


def _shows(found: ModePage) -> Iterator[Html | None]:
    """How it looks, and how it reads on this rig."""
    if found.needs:
        yield tag("p", f"This rig cannot have it; it needs {found.needs}.", class_="soft")
        return
    if found.signs:
        yield tag("h4", "How it looks and sounds")
        yield listed(map(_sign, found.signs))
    if found.reads:
        yield tag("h4", "How it reads on this rig")
        rows = [
            (link(anchor(str(one.reading)), in_words(one.reading)), one.sound, one.here)
            for one in found.reads
        ]
        yield table(("reading", "sound", "with this fault, mostly"), rows)
    if found.volts:
        said = f"Volts along the circuit, the pump asked to run, with it {SHOWN_AT}."
        picture = volts_svg(found.volts, {}, found.mode.title)
        yield tag("figure", picture, tag("figcaption", said, class_="soft"))


def _sign(sign: Sign) -> Html:
    entry = sign.entry
    said = f" {sign.option}, {per_cent(sign.share)}: {entry.options[sign.option]}"
    return joined([link(anchor(entry.id), entry.ask), said])


def _mistaken(found: ModePage) -> Iterator[Html | None]:
    if not found.apart:
        return
    yield tag("h4", "What it is mistaken for, and what tells them apart")
    for other, partings in found.apart:
        told = listed(map(_parting, partings))
        none = tag("p", "Nothing that can be asked tells them apart well.", class_="soft")
        yield tag("div", tag("p", link(other.id, other.title)), told or none)


def _parting(one: Parting) -> Html:
    test = one.test
    return joined([link(anchor(test.id), test.id), f": {one.here} here, {one.there} there"])


def _root_causes(bench: Bench, mode: FailureMode) -> Iterator[Html | None]:
    facts = bench.hypotheses.facts
    fitting = [one for one in mode.root_causes if holds(one.when, facts)]
    if fitting:
        yield tag("h4", "Why it comes about")
        yield listed(
            joined([line(one.cause), tag("br"), f"Mend: {line(one.mend)}"]) for one in fitting
        )
    if mode.result_of:
        yield tag("h4", "Often a result of")
        titles = bench.shop.catalogue.failure_modes
        yield listed(link(name, titles[name].title) for name in mode.result_of)


def _mending(found: ModePage) -> Iterator[Html | None]:
    mode = found.mode
    yield tag("h4", "What to do")
    yield listed(map(line, mode.fix), "ol")
    if mode.parts:
        yield tag("p", f"Parts: {'; '.join(map(line, mode.parts))}.")
    if found.proof:
        proof = found.proof
        reads = band(proof.low, proof.high, proof.reading)
        yield tag("h4", "Proof that it is mended")
        yield tag("p", f"{in_words(proof.reading)} reads {reads}: {line(proof.why).rstrip('.')}.")
    yield tag("h4", "So that it does not come back")
    yield listed(map(line, mode.prevention))


def stop_html(one: Stop) -> Html:
    """A stop: what the danger is, what to do, and how it ends."""
    return tag(
        "div",
        tag("h2", f"STOP: {one.title}"),
        tag("p", line(one.text)),
        listed(map(line, one.do), "ol"),
        tag("p", tag("b", one.ends)),
        class_="caution",
    )


def caution_html(one: Caution) -> Html:
    """A caution as a paragraph that stands out, also without colour."""
    return tag("p", line(one.text), class_="caution")


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
