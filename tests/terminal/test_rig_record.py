"""A rig held against its own readings, from the command that takes them to those that use them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.figures import knowledge_folder

Run = Callable[..., Result]
AMPS, DROP = "current motor-feed calling", "voltage fuse.in fuse.out calling"
DAY = ("--on", "2026-05-03")


@pytest.fixture
def trailer(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A rig file like the bundled bowser's, in the folder that one stands in."""
    monkeypatch.chdir(tmp_path)
    text = (knowledge_folder() / "rigs" / "bowser.yaml").read_text("utf-8")
    Path("trailer.yaml").write_text(text, "utf-8")
    return tmp_path


def flat(done: Result) -> str:
    return " ".join(done.output.split())


@pytest.fixture
def recorded(trailer: Path, run: Run) -> Path:
    read = (f"{AMPS} = 12.1 A", "voltage motor- lug- calling = 0.101 V")
    done = run("rig", "record", "trailer.yaml", *DAY, "--read", read[0], "--read", read[1])
    assert done.exit_code == 0, done.output
    assert "Recorded: trailer.record.yaml, 2 readings of one day." in flat(done)
    return trailer


def test_readings_come_from_a_file_too_and_slips_are_all_named(trailer: Path, run: Run) -> None:
    Path("new.yaml").write_text(f"read:\n  - {AMPS} = 12 A\n  - voltage nowhere\n", "utf-8")
    done = run("rig", "record", "trailer.yaml", "--from", "new.yaml", "--read", "x = 1 V", *DAY)
    assert done.exit_code == 2
    assert "new.yaml, line 3, key read[2]" in done.output
    assert "--read: there is no quantity called 'x'" in done.output
    assert not Path("trailer.record.yaml").exists()
    Path("new.yaml").write_text(f"read:\n  - {AMPS} = 12 A\nseen: {{}}\n", "utf-8")
    assert (
        "no key called 'seen'" in run("rig", "record", "trailer.yaml", "--from", "new.yaml").output
    )
    Path("new.yaml").write_text(f"read:\n  - {AMPS} = 12 A\n", "utf-8")
    assert run("rig", "record", "trailer.yaml", "--from", "new.yaml", *DAY).exit_code == 0
    assert f"{AMPS} = 12 A" in Path("trailer.record.yaml").read_text("utf-8")


def test_a_fault_is_not_recorded_as_sound_unasked(trailer: Path, run: Run) -> None:
    bad = ("rig", "record", "trailer.yaml", "--read", f"{DROP} = 0.72 V", *DAY)
    done = run(*bad)
    assert done.exit_code == 2
    assert "Hardly any sound rig of this description reads so" in flat(done)
    assert not Path("trailer.record.yaml").exists()
    assert run(*bad, "--anyway").exit_code == 0


def test_it_asks_one_by_one_and_keeps_what_was_read_when_one_leaves(
    trailer: Path, run: Run
) -> None:
    typed = "12.62 V\nwhy\n?\nback\n12.6 V\nskip\n0.9 V\nno\nabout 0.3 V\nquit\n"
    done = run("rig", "record", "trailer.yaml", *DAY, typed=typed)
    said = flat(done)
    assert done.exit_code == 0, done.output
    assert "Rig at rest: everything off, nothing drawn." in said
    assert "1 of 14: voltage battery+ battery-, at rest" in said
    assert "Keep fingers, hair and sleeves off what moves" in said
    assert "shows a fault that one held against the book hides" in said  # why
    assert "Hardly any sound rig of this description reads so." in said
    assert "Cautions as before: battery short" in said
    text = Path("trailer.record.yaml").read_text("utf-8")
    assert text.count(" = ") == 2
    assert "voltage battery+ battery- rest = 12.6 V" in text
    assert "= about 0.3 V" in text
    done = run("rig", "record", "trailer.yaml", *DAY, typed="12 A\n")  # the end of the input
    assert done.exit_code == 130
    assert "of 12: " in flat(done)


def test_a_bundled_rig_is_copied_into_a_folder_of_ones_own(trailer: Path, run: Run) -> None:
    done = run("rig", "record", "bowser", "--read", f"{AMPS} = 12 A")
    assert done.exit_code == 2
    assert "name a folder with --into" in flat(done)
    done = run("rig", "record", "bowser", "--into", "own", "--read", f"{AMPS} = 12 A", *DAY)
    assert done.exit_code == 0, done.output
    assert sorted(path.name for path in Path("own").glob("*.yaml")) == [
        "bowser.record.yaml",
        "bowser.yaml",
    ]


def test_expect_shows_this_rig_beside_the_book(recorded: Path, run: Run) -> None:
    said = run("expect", "trailer.yaml").output
    assert "Held against its own readings of 2026-05-03." in said
    assert "this rig  band             the book  band" in said
    assert "Held against" not in run("expect", "bowser").output
    record = json.loads(run("expect", "trailer.yaml", "--json").output)
    plain = json.loads(run("expect", "bowser", "--json").output)
    assert record["held_against"] == ["2026-05-03"]
    assert "held_against" not in plain
    mine, book = (
        next(one for one in kind["readings"] if one["read"] == AMPS) for kind in (record, plain)
    )
    assert mine["by_the_book"] == {"value": book["value"], "expected": book["expected"]}
    assert 12.1 <= mine["value"] < book["value"]
    with_fault = run("expect", "trailer.yaml", "--fault", "fuse-holder-corroded").output
    assert "book's band" in with_fault
    assert all(len(line) <= 80 for line in with_fault.splitlines())


def test_what_has_drifted_is_said(recorded: Path, run: Run) -> None:
    """18.5 A: no more than a sound rig of this description may take, and more than this one did."""
    read = ("--read", f"{AMPS} = 18.5 A")
    said = flat(run("rank", "trailer.yaml", *read))
    assert "Held against its own readings of 2026-05-03." in said
    assert (
        f"{AMPS.removesuffix(' calling')}, asked to run has drifted: 18.5 A; well, this rig" in said
    )
    assert "has drifted" not in flat(run("rank", "bowser", *read))


def test_other_programs_are_told_too(recorded: Path, run: Run) -> None:
    done = run("walk", "trailer.yaml", "--json-lines", typed='{"answer": "stop"}\n')
    lines = [json.loads(line) for line in done.output.splitlines()]
    assert lines[-1]["held_against"] == ["2026-05-03"]


def test_a_record_that_cannot_be_read_stops_the_walk_with_a_sentence(
    recorded: Path, run: Run
) -> None:
    path = Path("trailer.record.yaml")
    path.write_text(path.read_text("utf-8").replace("12.1 A", "12.1 psi"), "utf-8")
    for words in (("rank", "trailer.yaml"), ("expect", "trailer.yaml")):
        done = run(*words)
        assert done.exit_code == 2
        assert "trailer.record.yaml, line 7, key record[1].read[1]" in done.output
