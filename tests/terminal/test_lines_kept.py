"""What a conversation by lines keeps, and what it says where it cannot keep it."""

from __future__ import annotations

import io
import json
from pathlib import Path
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.casebook.store import Casebook
from diagnose.walkthrough import Walk
from tests.terminal.lines import hold
from tests.terminal.told import BAD_HOLDER


def result_of(bowser: Bench, casebook: Path) -> dict[str, Any]:
    """The last object of a conversation that is over at once."""
    sink = io.StringIO()
    hold(Walk(bowser, BAD_HOLDER), casebook, b"", sink)
    found: dict[str, Any] = json.loads(sink.getvalue().splitlines()[-1])
    return found


def test_the_result_comes_also_where_the_case_cannot_be_kept(
    bowser: Bench, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "cases").write_text("a file")

    result = result_of(bowser, tmp_path / "cases")

    (lost,) = result["not_kept"]
    assert result["cause"] == "fuse-holder-corroded"
    assert "case" not in result
    assert (lost["what"], lost["where"]) == ("case", str(tmp_path / "cases"))
    assert "a casebook is a folder" in lost["why"]
    assert "The case could not be kept." in capsys.readouterr().err
    assert result_of(bowser, tmp_path / "other")["not_kept"] == []


class Gone(io.StringIO):
    """A reader who goes away after some lines."""

    def write(self, text: str) -> int:
        if len(self.getvalue().splitlines()) >= 2:
            raise BrokenPipeError
        return super().write(text)


def test_what_was_answered_is_kept_where_nobody_reads_any_more(
    bowser: Bench, tmp_path: Path
) -> None:
    walk, body = Walk(bowser, BAD_HOLDER), b'{"answer": "skip"}\n' * 20

    with pytest.raises(BrokenPipeError):
        hold(walk, tmp_path, body, Gone())

    (case,) = Casebook.open(tmp_path).cases().good
    assert case.status == "open"
    assert {one.observation for one in case.seen} >= {"fuse-holder-look"}
