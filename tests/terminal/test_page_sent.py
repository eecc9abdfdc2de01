"""The command page, and a walk that goes on with what its page sent. All of it is invented."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.circuit.rig import open_rig
from diagnose.handout.code import Code, opening, written

Run = Callable[..., Result]

_, RIG, BOOK, _ = opening(open_rig("bowser")).split(":")
DROP = "voltage fuse.in fuse.out calling"


def line(*answers: tuple[str, str], book: str = BOOK) -> str:
    return written(Code(RIG, book, "phone, voltmeter, ohmmeter", "relay-chatters", answers))


LINE = line(("other-loads", "fine"), ("pump-action", "?"), (DROP, "0.42V"))


def test_a_page_is_written_and_says_what_is_in_it(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "x.html"
    done = run("page", "bowser", "--complaint", "no-water", "--depth", "1", "--out", str(file))
    assert done.exit_code == 0, done.stderr
    assert re.search(r"\d+ kB, for tree-watering\s+bowser\.", done.stdout)
    assert "1 complaint, 2 questions, with a meter and without." in done.stdout
    assert file.read_text("utf-8").startswith("<!DOCTYPE html>")


@pytest.mark.parametrize("depth", ["0", "25"])
def test_a_depth_that_no_walk_has_is_refused(run: Run, tmp_path: Path, depth: str) -> None:
    done = run("page", "bowser", "--depth", depth, "--out", str(tmp_path / "x.html"))
    assert (done.exit_code, done.stderr) == (
        2,
        f"--depth: {depth}: give from 1 to 24 questions\n",
    )


def test_the_walk_goes_on_where_the_customer_stopped(run: Run) -> None:
    done = run("walk", "bowser", "--from", LINE, "--json-lines", typed='{"answer": "stop"}\n')
    records = [json.loads(one) for one in done.stdout.splitlines()]
    asked = [one for one in records if one["type"] == "question"]
    result = records[-1]
    assert done.stderr == ""
    assert asked[0]["id"] not in ("other-loads", "pump-action", DROP)
    assert result["questions"] == 3
    assert any("0.42 V" in reason for reason in result["because"])


def test_a_message_comes_in_by_a_file_or_by_standard_input(run: Run, tmp_path: Path) -> None:
    message = f"Hello,\nit is still dead.\n{LINE[:60]}\n{LINE[60:]}\n"
    file = tmp_path / "message.txt"
    file.write_text(message, "utf-8")
    for how, typed in ((str(file), "quit\nno\n"), ("-", f"{message}quit\nno\n")):
        done = run("walk", "bowser", "--from", how, typed=typed)
        assert "From the page: relay chatters; other loads: fine;" in done.stdout
        assert "Question 4" in done.stdout


@pytest.mark.parametrize(
    ("rig", "sent", "said"),
    [
        ("mist-bench", LINE, "another rig than 'propagation mist bench'"),
        ("bowser", LINE.replace("fine", "dead-too"), "was spoiled on its way"),
        ("bowser", "no-such-file.txt", "is no file, and no text with a line of answers"),
        ("bowser", "pump1:", "There is no line of answers in this text"),
    ],
)
def test_what_cannot_be_taken_is_refused_in_one_sentence(
    run: Run, rig: str, sent: str, said: str
) -> None:
    done = run("walk", rig, "--from", sent)
    assert done.exit_code == 2
    assert said in done.stderr
    assert done.stderr.count("\n") == 1


def test_what_is_unknown_is_named_and_the_rest_counts(run: Run) -> None:
    sent = line(("moon-phase", "full"), ("other-loads", "fine"), book="0" * 12)
    done = run("walk", "bowser", "--from", sent, typed="quit\nno\n")
    said = done.stderr.splitlines()
    assert said[0].startswith("The page was made with another edition of the book")
    assert "no test on this rig called 'moon-phase'" in said[1]
    assert "From the page: relay chatters; other loads: fine." in done.stdout


def test_a_page_needs_its_rig(run: Run) -> None:
    done = run("walk", "--from", LINE)
    assert (done.exit_code, done.stderr) == (
        2,
        "walk --from needs the RIG that the page was made for.\n",
    )
