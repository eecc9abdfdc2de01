"""Stops on the line protocol: when they are said, what is asked meanwhile, and what lifts them."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.casebook.store import Casebook
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.terminal.walk.records import question_record
from diagnose.walkthrough import Walk
from tests.terminal.lines import hold
from tests.terminal.told import BAD_HOLDER
from tests.tools.stops.promise import under_power

Record = dict[str, Any]
Converse = Callable[..., list[Record]]

SMOKED = (Seen("smoke", "seen"),)
SWOLLEN = (Seen("battery-look", "swollen"),)
SKIP, SAFE = {"answer": "skip"}, {"made_safe": "smoked"}


@pytest.fixture
def converse(bowser: Bench) -> Converse:
    """Sends objects, or bytes as they are, and gives back the objects that came."""

    def lines(
        *sent: Record | bytes, told: tuple[Evidence, ...] = SMOKED, casebook: Path | None = None
    ) -> list[Record]:
        sink = io.StringIO()
        bodies = [one if isinstance(one, bytes) else json.dumps(one).encode() for one in sent]
        body = b"".join(body.strip(b"\n") + b"\n" for body in bodies)
        hold(Walk(bowser, told), casebook, body, sink)
        return [*map(json.loads, sink.getvalue().splitlines())]

    return lines


def of(records: list[Record], kind: str) -> list[Record]:
    return [record for record in records if record["type"] == kind]


def test_a_stop_comes_the_moment_it_stands_and_once(converse: Converse) -> None:
    records = converse(*[SKIP] * 3)

    (stop,) = of(records, "stop")
    assert records.index(stop) < records.index(of(records, "question")[0])
    assert set(stop) == {"type", "id", "title", "text", "do", "until", "leave_to"}
    assert (stop["id"], stop["title"], stop["leave_to"]) == ("smoked", "It has smoked", "")
    assert stop["do"][0] == "Master switch off, main fuse out, charger off at the wall."
    assert stop["until"].startswith("what burnt has been found")


def test_the_questions_meanwhile_need_no_power(converse: Converse, bowser: Bench) -> None:
    asked = [one["id"] for one in of(converse(*[{"answer": "unknown"}] * 40), "question")]

    assert len(asked) >= 3
    assert not [test for test in asked if under_power(bowser.tests[test])]


def test_made_safe_lifts_it(converse: Converse, bowser: Bench) -> None:
    """The same walk then asks for power: that the test above can fail."""
    records = converse(SAFE, *[{"answer": "unknown"}] * 40)

    asked = [one["id"] for one in of(records, "question")]
    assert [test for test in asked if under_power(bowser.tests[test])]
    assert not of(records, "error")
    assert records[-1]["stops"] == []
    assert len(of(records, "stop")) == 1


def test_back_takes_made_safe_back_and_says_the_stop_again(converse: Converse) -> None:
    records = converse(SAFE, {"answer": "back"})

    assert [one["id"] for one in of(records, "stop")] == ["smoked", "smoked"]
    assert [stop["id"] for stop in records[-1]["stops"]] == ["smoked"]
    assert records[-1]["questions"] == 0


BAD = [
    ({"made_safe": 7}, "made_safe is a text"),
    ({"made_safe": None}, "made_safe is a text"),
    ({"made_safe": ["smoked"]}, "made_safe is a text"),
    ({"made_safe": ""}, "made_safe is a text"),
    ({"made_safe": "Smoked"}, "No stop called 'Smoked' stands now; these do: smoked."),
    ({"made_safe": "too-hot"}, "No stop called 'too-hot' stands now; these do: smoked."),
    ({"made_safe": "too-hot", "answer": "stop"}, "No stop called 'too-hot' stands now"),
    ({"made_safe": "\x1b[2J"}, "No stop called '\\x1b[2J' stands now"),
    ({"answer": "safe"}, ""),
    (b'{"made_safe": "smoked"', "is not JSON"),
]


@pytest.mark.parametrize(("line", "said"), BAD, ids=lambda one: ascii(one)[:40])
def test_what_does_not_fit_is_an_error_and_the_same_question_again(
    converse: Converse, line: Record | bytes, said: str
) -> None:
    records = converse(line)

    (error,) = of(records, "error")
    assert said in error["text"]
    assert error["text"].isprintable()
    first, again = of(records, "question")
    assert again == first
    assert [stop["id"] for stop in records[-1]["stops"]] == ["smoked"]


def test_what_nothing_ends_ends_the_conversation(converse: Converse, tmp_path: Path) -> None:
    records = converse({"made_safe": "battery-may-burst"}, told=SWOLLEN, casebook=tmp_path)

    assert [record["type"] for record in records] == ["caution", "stop", "result"]
    stop, result = records[1:]
    assert (stop["until"], result["stops"]) == (None, [stop])
    assert result["fix"] == [*stop["do"], stop["leave_to"]]
    assert (result["parts"], result["verify"]) == ([], {})
    assert result["why_stopped"] == "a danger stands that no answer ends"
    assert Casebook.open(tmp_path).cases().good[0].standing == ("battery-may-burst",)


def test_it_ends_in_the_middle_too(converse: Converse, bowser: Bench) -> None:
    """A battery that is found swollen after other answers."""
    walk, sink = Walk(bowser, (Seen("pump-action", "slow"),)), io.StringIO()
    walk.answer(walk.ask("battery-look"), "swollen")

    hold(walk, None, b"", sink)

    kinds = [json.loads(line)["type"] for line in sink.getvalue().splitlines()]
    assert kinds[-2:] == ["stop", "result"]
    assert "question" not in kinds


def test_the_result_begins_with_the_stop_that_stands(converse: Converse) -> None:
    result = converse(told=BAD_HOLDER)[-1]

    (stop,) = result["stops"]
    steps = len(stop["do"])
    assert result["fix"][:steps] == stop["do"]
    assert result["fix"][steps] == f"Nothing under power until {stop['until']}."
    assert len(result["fix"]) > steps + 1


@pytest.mark.parametrize("told", [(), SMOKED])
def test_every_question_carries_what_can_hurt(
    converse: Converse, bowser: Bench, told: tuple[Evidence, ...]
) -> None:
    """Each in full every time, for a program that shows one question at a time."""
    book, tests = bowser.shop.catalogue, bowser.tests
    records = of(converse(*[SKIP] * 8, told=told), "question")
    assert any(record["cautions"] for record in records)
    for record in records:
        entry = tests[record["id"]].entry
        texts = [" ".join(book.cautions[name].text.split()) for name in entry.cautions]
        assert record["cautions"] == texts
        assert record["unsafe_when"] == [*getattr(entry, "unsafe_when", ())]


def test_a_reading_is_never_unsafe_by_itself_but_warns(bowser: Bench) -> None:
    question = Walk(bowser).ask("voltage battery+ battery- calling")

    record = question_record(question, bowser.shop.catalogue)

    assert record["unsafe_when"] == []
    assert any("posts" in text for text in record["cautions"])
