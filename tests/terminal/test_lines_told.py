"""Over the line protocol: words to be confirmed, notes, what one can do, a journal, and closing."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.casebook.journal import Journal, unfinished
from diagnose.casebook.record import Case
from diagnose.casebook.store import Casebook
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.walkthrough import Walk
from tests.terminal.lines import conversation, hold

Record = dict[str, Any]
SILENT = (Seen("pump-action", "silent"),)


@pytest.fixture
def converse(bowser: Bench) -> Callable[..., list[Record]]:
    """Sends objects a line each, and gives back the objects that came."""

    def lines(
        *sent: Record,
        told: tuple[Evidence, ...] = SILENT,
        casebook: Path | None = None,
        complaint: str = "",
    ) -> list[Record]:
        sink = io.StringIO()
        body = b"".join(json.dumps(line).encode() + b"\n" for line in sent)
        hold(Walk(bowser, told), casebook, body, sink, complaint)
        return [json.loads(line) for line in sink.getvalue().splitlines()]

    return lines


def of(records: list[Record], kind: str) -> list[Record]:
    return [record for record in records if record["type"] == kind]


def found_in(casebook: Path) -> dict[str, str]:
    (case,) = Casebook(casebook).cases().good
    return {one.observation: one.option for one in case.seen}


def test_nothing_told_counts_before_it_is_confirmed(converse: Callable[..., list[Record]]) -> None:
    records = converse({"tell": "the main fuse is blown"})

    (asked,) = of(records, "confirm")
    assert asked["taken"][0]["observation"] == "main-fuse-element"
    assert asked["taken"][0]["answer"] == "open"
    assert asked["taken"][0]["sure"] is True
    unconfirmed = {r["failure_mode"]: r["probability"] for r in records[-1]["ranking"]}
    confirmed = converse({"tell": "the main fuse is blown"}, {"confirm": ["main-fuse-element"]})
    after = {r["failure_mode"]: r["probability"] for r in confirmed[-1]["ranking"]}
    assert after["main-fuse-blown"] > 2 * unconfirmed["main-fuse-blown"]


def test_true_confirms_what_is_sure_and_the_rest_is_a_note(
    converse: Callable[..., list[Record]], tmp_path: Path
) -> None:
    sent = {"tell": "main fuse is blown, and the gizmo squiggles"}, {"confirm": True}

    records = converse(*sent, casebook=tmp_path / "cases")

    (asked,) = of(records, "confirm")
    assert any("gizmo" in text for text in asked["not_understood"])
    assert found_in(tmp_path / "cases")["main-fuse-element"] == "open"
    assert any("gizmo" in note for note in records[-1]["notes"])
    (case,) = Casebook(tmp_path / "cases").cases().good
    assert "gizmo" in case.notes


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ({"confirm": ["main-fuse-element"]}, "Nothing waits to be confirmed"),
        ({"tell": ""}, "tell is a text"),
        ({"tell": 7}, "tell is a text"),
        ({"note": None}, "note is a text"),
        ({"note": "x" * 2001}, "too long"),
        ({"can": ["voltmetr"]}, "voltmeter"),
        ({"can": [7]}, "can is a text"),
    ],
)
def test_what_cannot_be_taken_is_an_error_and_the_same_question(
    converse: Callable[..., list[Record]], line: Record, words: str
) -> None:
    records = converse(line)

    kinds = [record["type"] for record in records]
    (error,) = of(records, "error")
    assert words in error["text"]
    at = kinds.index("error")
    assert records[at + 1] == of(records, "question")[0]


def test_a_name_that_is_not_there_leaves_the_rest_waiting(
    converse: Callable[..., list[Record]],
) -> None:
    records = converse(
        {"tell": "the main fuse is blown"}, {"confirm": ["smell"]}, {"confirm": True}
    )

    assert "not one of: main-fuse-element=open" in of(records, "error")[0]["text"]
    ids = [record["id"] for record in of(records, "question")]
    assert ids[0] == ids[1] == ids[2]
    assert "main-fuse-element" not in ids[3:]


def test_what_one_can_do_changes_what_is_asked(converse: Callable[..., list[Record]]) -> None:
    unknown = [{"answer": "unknown"}] * 12

    records = converse({"can": ["phone"]}, *unknown)

    asked = of(records, "question")[1:]
    assert len(asked) > 8
    assert {record["kind"] for record in asked} == {"observation"}
    assert records[-1]["can"].startswith("on the phone")
    assert records[-1]["borrow"]["needs"]
    assert "needs" in asked[0]


def test_a_complaint_in_words_is_confirmed_first(
    converse: Callable[..., list[Record]], tmp_path: Path
) -> None:
    records = converse(
        {"confirm": True},
        {"answer": "stop"},
        told=(),
        casebook=tmp_path / "cases",
        complaint="the pump hums but does not turn",
    )

    assert records[1]["type"] == "confirm"
    assert of(records, "question")
    assert found_in(tmp_path / "cases") == {"pump-action": "hums"}
    (case,) = Casebook(tmp_path / "cases").cases().good
    assert case.complaint == ("the pump hums but does not turn",)


def test_other_words_for_a_complaint_do_not_lose_the_first(
    converse: Callable[..., list[Record]], tmp_path: Path
) -> None:
    converse(
        {"tell": "it hums"},
        {"confirm": True},
        {"answer": "stop"},
        told=(),
        casebook=tmp_path / "cases",
        complaint="it does the thing again",
    )

    assert found_in(tmp_path / "cases") == {"pump-action": "hums"}
    (case,) = Casebook(tmp_path / "cases").cases().good
    assert case.complaint == ("it does the thing again", "it hums")


def test_every_answer_is_on_the_disk_before_the_next_question(
    bowser: Bench, tmp_path: Path
) -> None:
    class Watched(io.StringIO):
        """Looks at the journals each time a line is sent."""

        def flush(self) -> None:
            walks, _ = unfinished(Casebook(tmp_path / "cases"))
            seen.append(sum(one.answered for one in walks))

    seen: list[int] = []
    lines = [
        {"answer": "unknown"},
        {"note": "rain"},
        {"tell": "main fuse is blown"},
        {"confirm": True},
    ]
    body = b"".join(json.dumps(line).encode() + b"\n" for line in lines)
    sink = Watched()
    spoken = conversation(Walk(bowser, SILENT), tmp_path / "cases", body, sink)

    spoken.converse()

    assert seen[-1] == 1
    assert spoken.keeper.journal is not None
    spoken.keeper.journal.close()
    (one,), _ = unfinished(Casebook(tmp_path / "cases"))
    again = Journal.resume(one.path, lambda rig: bowser)
    assert again.walk.steps == spoken.walk.steps
    assert again.walk.notes == ("rain",)
    again.close()


def test_a_case_is_proved_and_closed_over_the_lines(
    converse: Callable[..., list[Record]], tmp_path: Path
) -> None:
    told = (Seen("pump-action", "slow"), Seen("fuse-holder-look", "melted-or-discoloured"))
    begun = converse({"answer": "stop"}, told=told)
    low, high = begun[-1]["verify"]["expected"]
    value = f"{(max(low, 0) + high) / 2:.3f} {begun[-1]['verify']['unit']}"

    records = converse(
        {"closing": True},
        {"answer": "stop"},
        {"proof": value},
        {"proof": value, "runs": True, "load": "in-use"},
        {"made_safe": "melted-part"},
        {"proof": value, "runs": True, "load": "in-use"},
        told=told,
        casebook=tmp_path / "cases",
    )

    assert "runs says whether" in of(records, "error")[0]["text"]
    assert "melted-part" in of(records, "error")[1]["text"]
    assert [record["status"] for record in of(records, "closed")] == ["open", "closed"]
    (case,) = Casebook(tmp_path / "cases").cases().good
    assert case.status == "closed"
    assert case.true_cause == begun[-1]["cause"]


def test_a_case_is_closed_by_what_it_was(
    converse: Callable[..., list[Record]], tmp_path: Path
) -> None:
    records = converse(
        {"closing": True},
        {"answer": "stop"},
        {"cause": "motor-brushes-wrn"},
        {"cause": "motor-brushes-worn", "words": "worn to the springs"},
        casebook=tmp_path / "cases",
    )

    assert "motor-brushes-worn" in of(records, "error")[0]["text"]
    assert of(records, "closed")[0]["status"] == "closed"
    (case,) = Casebook(tmp_path / "cases").cases().good
    assert (case.true_cause, case.true_words) == ("motor-brushes-worn", "worn to the springs")


def test_without_the_word_nobody_waits_for_a_proof(
    converse: Callable[..., list[Record]], tmp_path: Path
) -> None:
    records = converse(
        {"answer": "stop"}, {"proof": "0.1 V", "runs": True}, casebook=tmp_path / "cases"
    )

    assert records[-1]["type"] == "result"


def test_the_answer_in_other_words_is_an_answer(converse: Callable[..., list[Record]]) -> None:
    (first, *_) = of(converse(), "question")
    assert first["id"] == "main-fuse-history"

    records = converse({"tell": "the main fuse keeps holding"}, {"confirm": ["main-fuse-history"]})

    assert records[-1]["questions"] == 1
    assert records[-1]["minutes"] > 0


def test_who_closes_a_case_that_changed_meanwhile_is_told(
    converse: Callable[..., list[Record]], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    loaded, notes = Casebook.load, iter("abcdef")

    def load(casebook: Casebook, name: str) -> Case:
        """Somebody else writes into the case right after it was read."""
        found = loaded(casebook, name)
        casebook.update(name, lambda case: replace(case, notes=next(notes)))
        return found

    monkeypatch.setattr(Casebook, "load", load)
    sent = {"closing": True}, {"answer": "stop"}, {"cause": "battery-aged"}
    records = converse(*sent, casebook=tmp_path / "cases")

    assert "changed" in of(records, "error")[-1]["text"]
    (case,) = Casebook(tmp_path / "cases").cases().good
    assert (case.status, case.notes) == ("open", "b")
