"""Every stop of the book on every face: its name, each thing to do, how it ends, and that local
codes and licensed practice go first.

What a face has to say is read off the book; that each face has to say it is common practice.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from typer.testing import Result

from diagnose.bench import Bench
from diagnose.casebook.record import Case
from diagnose.casebook.walk_case import case_of
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import Observation, Stop
from diagnose.drill.choices import Conclusion
from diagnose.drill.debrief import Debrief, debrief
from diagnose.drill.offers import short_form
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Session
from diagnose.outcome import conclude
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.next_test import Test
from diagnose.report.case_html import case_html
from diagnose.report.handbook_html import handbook_html
from diagnose.terminal.cases.show import view
from diagnose.terminal.drill import lines as drill_lines
from diagnose.terminal.drill.debrief import debrief_view
from diagnose.terminal.drill.room import Room
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import Talk
from diagnose.terminal.walk.command import rank_view
from diagnose.terminal.walk.records import question_record
from tests.terminal import stops_told as told
from tests.terminal.lines import hold
from tests.terminal.stops_told import defers, missing, says, widest
from tests.tools.stops.promise import a_drill, told_with

EVERY = pytest.mark.parametrize(
    "stop", shipped_catalogue().stops.values(), ids=lambda stop: stop.id
)
WIDTHS = pytest.mark.parametrize("width", [80, 40])

LINES = 24
"""Of the smallest screen that is common: 80 columns by 24 lines, common practice."""

Run = Callable[..., Result]
Raising = Callable[[Stop], tuple[Evidence, ...]]
TextOf = Callable[[Screen], str]
Talks = Callable[..., Talk]


@pytest.fixture(scope="module")
def raising(bowser: Bench) -> Raising:
    """All answers on the bowser that raise a stop, one a test."""
    found = told.raised_by(bowser)
    return lambda stop: found[stop.id]


# -- the walk, the ranking and the line protocol ---------------------------------------------------


@EVERY
@WIDTHS
def test_walk(stop: Stop, width: int, raising: Raising, converse: Callable[..., Any]) -> None:
    held = converse(told=raising(stop), width=width)

    assert not missing(held.text, f"STOP: {stop.title}", *says(stop))
    assert defers(held.text)
    assert widest(held.text) <= width


@EVERY
def test_it_fits_on_one_screen(stop: Stop, raising: Raising, converse: Callable[..., Any]) -> None:
    """With everything at once that raises it, its prompt, and one line more, as the walk has when
    nothing else is left to ask and as a drill has."""
    held = converse(told=raising(stop))

    page = held.text[held.text.index(f"STOP: {stop.title}") :].splitlines()
    prompt = -(-len(held.prompts[0]) // 80)
    assert len(page) + prompt + 1 <= LINES


@EVERY
@WIDTHS
def test_rank(
    stop: Stop, width: int, raising: Raising, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    said = run("rank", "bowser", *told.given(raising(stop)[0])).stdout

    assert not missing(said, f"STOP: {stop.title}", *says(stop))
    assert defers(said)
    assert widest(said) <= width


@EVERY
def test_rank_as_json(stop: Stop, raising: Raising, run: Run) -> None:
    record = json.loads(run("rank", "bowser", "--json", *told.given(raising(stop)[0])).stdout)

    assert told.holds(stop, record["stops"])
    assert record["fix"][: len(stop.do) + 1] == [*stop.do, stop.ends]
    assert defers(" ".join(record["cautions"]))


@EVERY
def test_line_protocol(stop: Stop, raising: Raising, bowser: Bench) -> None:
    sink = io.StringIO()
    hold(told_with(bowser, raising(stop)[0]), None, b"", sink)
    first, *others = map(json.loads, sink.getvalue().splitlines())

    assert first["type"] == "caution"
    assert defers(first["text"])
    assert told.holds(stop, [one for one in others if one["type"] == "stop"])
    assert told.holds(stop, others[-1]["stops"])


@WIDTHS
def test_rank_says_what_to_mind_at_the_next_test(
    width: int, bowser: Bench, talk: Talks, text_of: TextOf, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A test of the bowser of each kind of danger as the next one: its cautions in full, and when
    it is not made."""
    walk, book = told_with(bowser, Seen("flow", "weak")), bowser.shop.catalogue.cautions
    result = conclude(walk)
    looked_at = 0
    for test in {dangers_of(one): one for one in bowser.tests.values()}.values():
        cautions = [" ".join(book[name].text.split()) for name in test.entry.cautions]
        dangers = dangers_of(test)[1]
        question = walk.ask(test.id)
        monkeypatch.setattr(walk, "question", lambda question=question: question)
        screen = talk(width=width).screen
        screen.show(*rank_view(screen, walk, result))
        said = text_of(screen)

        assert not missing(said, *cautions, *(f"Not when {danger}." for danger in dangers))
        assert widest(said) <= width
        record = question_record(question, walk.bench.shop.catalogue)
        assert (record["cautions"], record["unsafe_when"]) == (cautions, [*dangers])
        looked_at += bool(cautions and dangers)
    assert looked_at > 10


def dangers_of(test: Test) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The cautions that a test has, and when it is not made."""
    entry = test.entry
    return tuple(entry.cautions), entry.unsafe_when if isinstance(entry, Observation) else ()


# -- drills ----------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def drill(bowser: Bench) -> Scenario:
    """A drill that blocks little by itself."""
    return a_drill(bowser)


@pytest.fixture(scope="module")
def given_up(drill: Scenario) -> Debrief:
    """One that was left at once; what was done in it is put in by each test."""
    return debrief(Session(drill), Conclusion())


def finds(item: Evidence, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let whatever is looked at in a drill be as in a finding."""
    monkeypatch.setattr(Scenario, "answer", lambda *_: told.typed(item))


@EVERY
@WIDTHS
def test_drill_on_the_screen(
    stop: Stop,
    width: int,
    raising: Raising,
    drill: Scenario,
    given_up: Debrief,
    talk: Talks,
    text_of: TextOf,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The act that raises it, and the debrief."""
    item, session = raising(stop)[0], Session(drill)
    act = short_form(drill.bench.tests[item.id], session.words)
    finds(item, monkeypatch)
    talking = talk(act, "quit", "yes", width=width)
    assert Room(talking, session).hold() == Conclusion()

    said = text_of(talking.screen)
    assert not missing(said, f"STOP: {stop.title}", *says(stop))
    talking.screen.show(*debrief_view(talking.screen, replace(given_up, session=session), ""))
    after = text_of(talking.screen).removeprefix(said)
    assert not missing(after, *says(stop))
    assert defers(after)
    assert widest(said + after) <= width


@WIDTHS
def test_drill_defers_at_its_opening_and_in_its_help(
    width: int, drill: Scenario, talk: Talks, text_of: TextOf
) -> None:
    talking = talk("quit", "yes", width=width)
    Room(talking, Session(drill)).hold()
    opening = text_of(talking.screen)
    talking = talk("?", "quit", "yes", width=width)
    Room(talking, Session(drill)).hold()

    assert defers(opening)
    assert defers(text_of(talking.screen).removeprefix(opening.partition("Give up")[0]))


@EVERY
def test_drill_by_lines(
    stop: Stop,
    raising: Raising,
    drill: Scenario,
    given_up: Debrief,
    run: Run,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(drill_lines, "debrief", lambda done, _: replace(given_up, session=done))
    item = raising(stop)[0]
    act = short_form(drill.bench.tests[item.id], Session(drill).words)
    finds(item, monkeypatch)
    lines = "\n".join(map(json.dumps, ({"do": act}, {"give_up": True})))
    which = (
        "--rig",
        "bowser",
        "--level",
        "1",
        "--fault",
        "suction-strainer-clogged",
        "--seed",
        "3",
    )
    said = run("drill", *which, "--json-lines", "--folder", str(tmp_path), typed=f"{lines}\n")
    opening, found, ended = map(json.loads, said.stdout.splitlines())

    assert told.holds(stop, found["stops"])
    assert told.holds(stop, ended["stops"])
    for record in (opening, ended):
        assert defers(" ".join(record["cautions"]))


# -- handbook and cases ----------------------------------------------------------------------------


@EVERY
@WIDTHS
def test_handbook(stop: Stop, width: int, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    entry = run("handbook", stop.id).stdout

    assert not missing(entry, f"STOP: {stop.title}", *says(stop))
    assert defers(entry)
    assert widest(entry) <= width


@WIDTHS
def test_handbook_contents(width: int, run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    contents = run("handbook").stdout

    for stop in shipped_catalogue().stops.values():
        assert not missing(contents, stop.id, stop.title)
    assert defers(contents)
    assert widest(contents) <= width


def test_handbook_page(bowser: Bench) -> None:
    page = handbook_html(bowser)
    for stop in shipped_catalogue().stops.values():
        part = page.partition(f'id="stop-{stop.id}"')[2].partition('id="stop-')[0]
        assert not missing(told.words_of(part), f"STOP: {stop.title}", *says(stop))
    assert defers(told.words_of(page.partition("<nav")[0]))


@pytest.fixture
def stopped(raising: Raising, bowser: Bench) -> Callable[[Stop], Case]:
    """The case of a walk that a stop has ended."""

    def case(stop: Stop) -> Case:
        walk = told_with(bowser, raising(stop)[0])
        return case_of(walk, conclude(walk))

    return case


@EVERY
@WIDTHS
def test_case_on_the_screen(
    stop: Stop, width: int, stopped: Callable[[Stop], Case], talk: Talks, text_of: TextOf
) -> None:
    screen = talk(width=width).screen
    screen.show(*view(screen, stopped(stop), shipped_catalogue()))

    assert not missing(text_of(screen), f"STOP: {stop.title}", *says(stop))
    assert widest(text_of(screen)) <= width


@EVERY
def test_case_report(stop: Stop, stopped: Callable[[Stop], Case]) -> None:
    said = told.words_of(case_html(stopped(stop), shipped_catalogue()))

    assert not missing(said, f"STOP: {stop.title}", *says(stop))
    assert defers(said)
