"""Commands on a casebook in which something is not as it should be: named, and the rest works."""

from __future__ import annotations

import os
import sqlite3
import time
from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.casebook import closure
from diagnose.casebook.index import opened_index
from diagnose.casebook.index_file import FILE
from diagnose.casebook.record import Case, ComeBack
from diagnose.casebook.store import Casebook
from diagnose.terminal.cases.listing import EACH, FILES

Run = Callable[..., Result]

OPEN = "2026-10-27-rose-garden-barrel-cart-d55f9a"
CLOSED = "2026-05-21-tree-watering-bowser-1f2da5"
COMMANDS = (
    ("cases", "list"),
    ("cases", "review"),
    ("cases", "export", "--csv"),
    ("cases", "export", "--jsonl"),
    ("cases", "learn"),
    ("cases", "similar", "1f2da5"),
)
RANK = ("rank", "bowser", "--seen", "pump-action=slow")
WALK = ("walk", "bowser", "--seen", "pump-action=slow")
RANKINGS = (RANK, (*RANK, "--json"), (*WALK, "--json-lines"), WALK)
"""What learns from the cases. The last two end at once, with no line to read."""


def flat(text: str) -> str:
    return " ".join(text.split())


def pipe(path: Path) -> None:
    if not hasattr(os, "mkfifo"):
        pytest.skip("this system has no pipes in folders")
    os.mkfifo(path)


def folder(path: Path) -> None:
    path.mkdir()


def too_many(path: Path) -> None:
    text = path.with_name(f"{CLOSED}.yaml").read_text("utf-8").replace(CLOSED, path.stem)
    path.write_text(text.replace("\nquestions: ", "\nquestions: 1e300 # "), "utf-8")


def twin(path: Path) -> None:
    text = path.with_name(f"{CLOSED}.yaml").read_text("utf-8")
    path.parent.with_name("2024").mkdir()
    path.parent.with_name("2024").joinpath(f"{CLOSED}.yaml").write_text(text, "utf-8")


ODD = {
    "is a pipe": pipe,
    "link leads to itself": lambda path: path.symlink_to(path.name),
    "link leads nowhere": lambda path: path.symlink_to("not-there.yaml"),
    "is a folder": folder,
    "key questions: should be at most 10000": too_many,
    "is in the folder 2026, and that one counts": twin,
}


@pytest.mark.parametrize("said", ODD)
def test_every_command_names_it_and_goes_on(run: Run, garden: Casebook, said: str) -> None:
    ODD[said](garden.folder / "2026" / "2026-03-02-odd-000000.yaml")

    for words in COMMANDS:
        done = run(*words)
        assert done.exit_code == 0, (words, done.stderr)
        (complaint,) = done.stderr.splitlines()
        assert said in complaint
    assert run("cases", "list").stdout.startswith("60 cases, ")
    for words in RANKINGS:
        complaint = run(*words).stderr.splitlines()[0]
        assert complaint.startswith("Nothing is learned from a file of the casebook. ")
        assert said in complaint


def test_rankings_name_the_first_of_many_broken_files_in_one_line(
    run: Run, garden: Casebook
) -> None:
    for number in range(20):
        too_many(garden.folder / "2026" / f"2026-03-02-odd-{number:06}.yaml")

    for words in RANKINGS[:3]:
        done = run(*words)
        (complaint,) = done.stderr.splitlines()
        assert done.exit_code == 0
        assert complaint.startswith("Nothing is learned from 20 files of the casebook (named by: ")
        assert "2026-03-02-odd-000000.yaml, line " in complaint
    assert run(*RANK, "--no-learning").stderr == ""


def test_a_casebook_of_nothing_but_a_broken_file_is_named_too(run: Run, tmp_path: Path) -> None:
    (tmp_path / "cases" / "2026").mkdir(parents=True)
    (tmp_path / "cases" / "2026" / "odd.yaml").write_text("")

    assert "odd.yaml: is not the name of a case" in run(*RANK).stderr


def test_a_database_of_somebody_else_survives_every_command(run: Run, garden: Casebook) -> None:
    path = garden.folder / FILE
    base = sqlite3.connect(path)
    base.execute("CREATE TABLE customers (name TEXT)")
    base.commit()
    base.close()
    body = path.read_bytes()

    for words in COMMANDS:
        done = run(*words)
        assert done.exit_code == 0
        (complaint,) = done.stderr.splitlines()
        assert "is not our index and is left alone" in complaint
    for words in RANKINGS:
        assert "is not our index and is left alone" in run(*words).stderr.splitlines()[0]
    assert path.read_bytes() == body


def test_an_index_that_another_program_holds_is_not_waited_for(run: Run, garden: Casebook) -> None:
    with opened_index(garden):
        pass
    other = sqlite3.connect(garden.folder / FILE)
    other.execute("BEGIN EXCLUSIVE")
    start = time.monotonic()

    done = run("cases", "list")

    assert time.monotonic() - start < 10
    assert done.stdout.startswith("60 cases, ")
    assert "another program holds the index" in done.stderr
    other.close()


def test_the_first_of_many_broken_files_are_named_and_the_rest_counted(
    run: Run, garden: Casebook
) -> None:
    for number in range(200):
        path = garden.folder / "2026" / f"2026-03-02-broken-{number:06x}.yaml"
        path.write_text("schema: 1\n", "utf-8")

    done = run("cases", "review")
    lines = done.stderr.splitlines()

    assert done.exit_code == 0
    assert len(lines) == FILES * EACH + 1
    assert sum("000000.yaml" in line for line in lines) == EACH
    assert "200 files cannot be used; all of them: diagnose cases list --all" in lines[-1]
    assert len(done.stderr) < 5000

    every = run("cases", "list", "--all").stderr
    assert all(f"{number:06x}.yaml" in every for number in range(200))


def test_nothing_but_broken_files_is_said_as_shortly(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "cases" / "2026"
    folder.mkdir(parents=True)
    for number in range(200):
        (folder / f"2026-05-21-bowser-{number:06x}.yaml").write_text("schema: 1\n", "utf-8")

    done = run("cases", "list")

    assert done.exit_code == 2
    assert len(done.stderr.splitlines()) == FILES * EACH + 1


def test_the_later_of_two_who_close_a_case_is_told(
    run: Run, garden: Casebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other closes it while this one's command is under way."""
    real = closure.check_stops

    def meanwhile(case: Case) -> None:
        monkeypatch.setattr("diagnose.terminal.cases.close.check_stops", real)
        garden.update(OPEN, lambda case: closure.close(case, "battery-aged", "part-swapped"))

    monkeypatch.setattr("diagnose.terminal.cases.close.check_stops", meanwhile)
    done = run("cases", "close", "d55f9a", "--cause", "motor-seized")

    assert done.exit_code == 2
    assert "the case was changed meanwhile, and nothing was written over it" in done.stderr
    assert garden.load(OPEN).true_cause == "battery-aged"


def test_a_case_closed_with_another_cause_says_what_it_was(run: Run, garden: Casebook) -> None:
    done = run("cases", "close", "1f2da5", "--cause", "fuse-holder-loose")

    assert done.exit_code == 0
    assert "It was closed before as fuse-holder-corroded." in flat(done.stdout)


def test_a_clock_that_was_set_back_counts_no_days(run: Run, garden: Casebook) -> None:
    case = garden.load(CLOSED)
    assert case.closed is not None
    back = closure.reopen(case, clock=lambda: datetime(1998, 1, 1, tzinfo=case.opened.tzinfo))
    garden.update(CLOSED, lambda _: back)

    assert "days" not in flat(run("cases", "show", "1f2da5").stdout).split("Came back")[1][:60]
    assert "again -" not in flat(run("cases", "review", "--all").stdout)
    assert ComeBack(case.closed + timedelta(days=3), case.closed).days == 3
    assert back.came_back[0].days is None


@pytest.mark.parametrize(
    ("option", "most"), [("--words", 500), ("--behind", 500), ("--part", 500), ("--notes", 20_000)]
)
def test_what_is_too_long_to_keep_is_refused_not_cut(
    run: Run, garden: Casebook, option: str, most: int
) -> None:
    body = garden.path_of(OPEN).read_bytes()

    done = run("cases", "close", "d55f9a", "--cause", "battery-aged", option, "x" * (most + 1))

    assert done.exit_code == 2
    assert f"{most:,} characters at most" in done.stderr
    assert len(done.stderr.splitlines()) == 1
    assert garden.path_of(OPEN).read_bytes() == body
