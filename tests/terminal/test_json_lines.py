"""The line protocol: one JSON object a line, in and out."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.casebook.store import Casebook
from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.terminal.json_lines import LONGEST
from diagnose.terminal.walk.records import question_record
from diagnose.walkthrough import Walk
from tests.terminal.lines import answered, hold
from tests.terminal.told import BAD_HOLDER

Record = dict[str, Any]
Converse = Callable[..., list[Record]]


@pytest.fixture
def converse(bowser: Bench) -> Converse:
    """Sends lines (objects, or bytes as they are) and gives back the objects that came."""

    def lines(
        *sent: Any, told: tuple[Evidence, ...] = (), casebook: Path | None = None
    ) -> list[Record]:
        walk, sink = Walk(bowser, told), io.StringIO()
        body = b"".join(
            line if isinstance(line, bytes) else json.dumps(line).encode() + b"\n" for line in sent
        )
        hold(walk, casebook, body, sink)
        return [
            json.loads(line, parse_constant=pytest.fail) for line in sink.getvalue().splitlines()
        ]

    return lines


def of(records: list[Record], kind: str) -> list[Record]:
    return [record for record in records if record["type"] == kind]


def test_the_first_question_and_the_result_at_the_end_of_the_lines(converse: Converse) -> None:
    records = converse()

    question, result = of(records, "question")[0], records[-1]
    assert question["kind"] == "observation"
    assert question["observation"] == question["id"] == "pump-action"
    assert question["options"][:3] == ["silent", "hums", "slow"]
    assert question["minutes"] > 0
    assert question["why"]
    assert result["type"] == "result"
    assert result["questions"] == 0


def test_what_was_told_and_cannot_be_together_is_said_before_the_first_question(
    converse: Converse,
) -> None:
    """Kirchhoff's voltage law: with one source no point stands above its posts."""
    told = ("voltage battery+ battery- calling", 11.0), ("voltage motor+ motor- calling", 14.9)
    records = converse(told=tuple(Measured(reading_of(name), value) for name, value in told))

    kinds = [record["type"] for record in records]
    (said,) = of(records, "contradiction")
    assert kinds.index("contradiction") < kinds.index("question")
    assert "more than the battery's own posts show" in said["text"]
    assert records[-1]["contradictions"] == [said["text"]]
    assert not of(converse(told=(Measured(reading_of(told[0][0]), 12.4),)), "contradiction")


@pytest.mark.parametrize(
    ("test", "unit", "condition"),
    [
        ("voltage motor+ motor- calling", "V", "calling"),
        ("resistance fuse.out ground", "ohm", "isolated"),
        ("temperature fuse-holder", "degC", "calling"),
        ("flow-rate outlet calling", "gal/min", "calling"),
    ],
)
def test_a_reading_carries_all_that_is_needed_to_take_it(
    bowser: Bench, test: str, unit: str, condition: str
) -> None:
    reading = question_record(Walk(bowser).ask(test), bowser.shop.catalogue)

    low, high = reading["expected"]
    assert low < high
    assert reading["kind"] == "reading"
    assert reading["id"] == test
    assert [reading["quantity"], *reading["points"]] == test.removesuffix(" calling").split()
    assert (reading["unit"], reading["condition"]) == (unit, condition)
    assert reading["why"]
    assert reading["minutes"] > 0


def test_the_result_keeps_the_contract(converse: Converse, bowser: Bench) -> None:
    result = converse(told=BAD_HOLDER)[-1]

    ranking = result["ranking"]
    names = [one["failure_mode"] for one in ranking]
    assert sum(one["probability"] for one in ranking) == pytest.approx(1, abs=1e-9)
    assert sorted(names) == sorted([*bowser.hypotheses.modes, "not-in-the-book"])
    assert names[0] == result["cause"] == "fuse-holder-corroded"
    groups = [sorted(group) for group in result["same_repair"]]
    assert ["fuse-holder-corroded", "fuse-holder-loose"] in groups
    for cause in result["root_causes"]:
        assert {"of", "cause", "mend", "prevention", "measure", "because", "seen"} == set(cause)
    assert {"quantity", "points", "condition", "unit", "expected", "text"} == set(result["verify"])
    assert [one["text"] for one in result["findings"]] == [
        "1.2 V are lost across the main fuse and its holder.",
        "The relay lets go while the pump is still asked to run.",
    ]
    for one in result["findings"]:
        assert {"finding", "text", "because"} == set(one)
    assert result["fix"]
    assert result["because"]
    assert result["why_stopped"]


@pytest.mark.parametrize(
    ("answer", "expected"),
    [
        ({"answer": "chatters"}, ("relay-sound", "chatters")),
        ({"answer": "chat"}, ("relay-sound", "chatters")),
        ({"answer": "3"}, ("relay-sound", "chatters")),
        ({"answer": "one click"}, ("relay-sound", "one-click")),
    ],
)
def test_ways_to_answer_an_observation(
    answer_one: Callable[..., Evidence | None], answer: Record, expected: tuple[str, str]
) -> None:
    assert answer_one("relay-sound", answer) == Seen(*expected)


@pytest.mark.parametrize(
    ("answer", "value"),
    [
        ({"answer": 11.2, "unit": "V"}, 11.2),
        ({"answer": 11.2}, 11.2),
        ({"answer": 12}, 12.0),
        ({"answer": 11200, "unit": "mV"}, 11.2),
        ({"answer": "11.2 V"}, 11.2),
        ({"answer": "11,2"}, 11.2),
        ({"answer": "11.2", "unit": "V"}, 11.2),
        ({"answer": "11200 mV", "unit": "V"}, 11.2),
    ],
)
def test_ways_to_answer_a_reading(
    answer_one: Callable[..., Evidence | None], answer: Record, value: float
) -> None:
    item = answer_one("voltage motor+ motor- calling", answer)

    assert isinstance(item, Measured)
    assert item.value == pytest.approx(value)


@pytest.fixture
def answer_one(bowser: Bench) -> Callable[..., Evidence | None]:
    """The finding that one answer to one question makes; None when it was refused."""

    def give(test: str, answer: Record) -> Evidence | None:
        walk = Walk(bowser, (Seen("pump-action", "slow"),))
        answered(walk, walk.ask(test), json.dumps(answer).encode())
        return walk.steps[0].item if walk.steps else None

    return give


BAD_LINES = [
    b"\n",
    b"nope\n",
    b"{\n",
    b"null\n",
    b"[]\n",
    b"3\n",
    b'"chatters"\n',
    b"{}\n",
    b'{"answer": null}\n',
    b'{"answer": true}\n',
    b'{"answer": []}\n',
    b'{"answer": {}}\n',
    b'{"answer": ""}\n',
    b'{"answer": NaN}\n',
    b'{"answer": Infinity}\n',
    b'{"answer": 1e999}\n',
    b'{"answer": 7, "unit": 3}\n',
    b'{"answer": 11.2}\n',
    b'{"answer": "purple"}\n',
    b'{"answer": "\\u001b[31m"}\n',
    b'{"answer": "[bold]x"}\n',
    b'{"answer": ' + b"9" * 5000 + b"}\n",
    b"[" * 50_000 + b"\n",
    b'{"answer": "' + b"x" * LONGEST + b'"}\n',
    b"\xff\xfe{}\n",
    b"\x00\n",
]


@pytest.mark.parametrize("line", BAD_LINES, ids=lambda line: ascii(line[:24]))
def test_a_bad_line_is_an_error_and_the_same_question_again(
    converse: Converse, line: bytes
) -> None:
    records = converse(line, {"answer": "silent"}, {"answer": "stop"})

    (error,) = of(records, "error")
    assert records[records.index(error) + 1] == of(records, "question")[0]
    assert "\x1b" not in error["text"]
    assert len(error["text"]) < 400
    assert "\n" not in error["text"]
    assert records[-1]["questions"] == 1


@pytest.mark.parametrize(
    "answer", ["OL", 300, 10**400, "1e999 V", "12 ohm", {"V": 12}, "chatters", "12 V 13 V", "1,500"]
)
def test_a_bad_value_for_a_reading(answer_one: Callable[..., Evidence | None], answer: Any) -> None:
    assert answer_one("voltage motor+ motor- calling", {"answer": answer}) is None


def test_back_skip_unknown_and_stop(converse: Converse) -> None:
    records = converse(
        {"answer": "slow"},
        {"answer": "back"},
        {"answer": "back"},
        {"answer": "unknown"},
        {"answer": "skip"},
        {"answer": "stop"},
        {"answer": "silent"},
    )

    asked = [one["id"] for one in of(records, "question")]
    assert asked[0] == asked[2] == asked[3] == "pump-action"
    assert "nothing to take back" in of(records, "error")[0]["text"]
    assert records[-1]["type"] == "result"
    assert records[-1]["questions"] == 2


def test_a_contradiction_is_an_error_once_and_then_stands(bowser: Bench) -> None:
    walk, sink = Walk(bowser, (Seen("pump-action", "silent"),)), io.StringIO()
    lines = b'{"answer": "normal"}\n{"answer": "normal"}\n'

    assert answered(walk, walk.ask("flow"), lines, sink)

    error = json.loads(sink.getvalue().splitlines()[0])
    assert error["type"] == "error"
    assert "A pump that stands gives no flow" in error["text"]
    assert walk.steps[0].item == Seen("flow", "normal")


def test_it_begins_with_what_goes_before_all_that_is_said(converse: Converse) -> None:
    first = converse()[0]

    assert (first["type"], first["id"]) == ("caution", "local-codes")
    assert "local code" in first["text"]


def test_a_caution_comes_the_moment_it_starts_to_hold_and_once(converse: Converse) -> None:
    told = (Seen("pump-action", "cuts-in-and-out"),)

    records = converse({"answer": "skip"}, {"answer": "skip"}, told=told)

    raised = [one for one in of(records, "caution") if one["id"] == "moving-parts"]
    assert records[1] == raised[0]
    assert "What stops by itself starts by itself" in raised[0]["text"]
    assert len([one for one in raised if "starts by itself" in one["text"]]) == 1


def test_no_caution_of_a_step_is_repeated(converse: Converse) -> None:
    texts = [one["text"] for one in of(converse(*[{"answer": "skip"}] * 15), "caution")]

    assert len(texts) == len(set(texts)) > 2


def test_the_case_is_saved_where_a_casebook_is_given(converse: Converse, tmp_path: Path) -> None:
    result = converse(told=BAD_HOLDER, casebook=tmp_path)[-1]

    assert Casebook.open(tmp_path).cases().good[0].cause == "fuse-holder-corroded"
    assert Path(result["case"]).is_file()
    assert "case" not in converse(told=BAD_HOLDER)[-1]
