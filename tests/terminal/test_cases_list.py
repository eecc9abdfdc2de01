"""The commands `cases list` and `cases show`, on the demo's invented year."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from rich.cells import cell_len
from typer.testing import Result

from diagnose.casebook.case_file import to_yaml
from diagnose.casebook.record import Case
from diagnose.casebook.store import Casebook
from tests.terminal.conftest import Held

Run = Callable[..., Result]

HOLDER = "2026-05-21-tree-watering-bowser-1f2da5"
COMMANDS = (
    ["list"],
    ["list", "--all"],
    ["review", "--all"],
    ["learn", "--show"],
    ["show", "1f2da5"],
    ["similar", "1f2da5"],
    ["export", "--jsonl", "--notes"],
    ["export", "--csv", "--notes"],
)


def rows_of(done: Result) -> list[str]:
    """The lines of a list below its heading and what its words mean."""
    return done.stdout.splitlines()[2:]


def test_the_newest_cases_come_first(run: Run, garden: Casebook) -> None:
    done = run("cases", "list")

    assert done.exit_code == 0
    assert done.stdout.startswith("60 cases, the newest 40; --all shows the rest\nproved: ")
    rows = rows_of(done)
    assert len(rows) == 40
    assert rows == sorted(rows, key=lambda row: row[:10], reverse=True)
    assert "2026-05-21  1f2da5  proved  fuse-holder-corroded          tree-watering bowser" in rows
    assert len(rows_of(run("cases", "list", "--all"))) == 60


def test_a_case_left_at_once_is_no_diagnosis(converse: Callable[..., Held], run: Run) -> None:
    case = converse("relay-chatters", "quit", "yes").case
    assert case.ranking  # what was likely from the complaint alone is kept

    row = rows_of(run("cases", "list"))[0]
    said = " ".join(run("cases", "show", case.id).stdout.split())
    review = " ".join(run("cases", "review").stdout.split())

    assert "open no diagnosis, left at once" in " ".join(row.split())
    assert case.cause not in row
    assert "Nothing was asked after the complaint, so there is no diagnosis." in said
    assert case.cause not in review


def test_a_case_left_after_a_question_names_what_it_ended_on(
    converse: Callable[..., Held], run: Run
) -> None:
    case = converse("relay-chatters", "1", "quit", "yes").case

    assert case.cause in rows_of(run("cases", "list"))[0]


def test_how_a_case_stands_is_a_word_on_wide_and_narrow_screens(
    run: Run, garden: Casebook, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Closed with proof, came back, and still open; by hand from garden_year.yaml."""
    stands = {"1f2da5": "proved", "d11336": "back", "8b9430": "open"}
    wide = {row.split()[1]: row.split()[2] for row in rows_of(run("cases", "list", "--all"))}
    monkeypatch.setenv("COLUMNS", "40")
    narrow = run("cases", "list", "--all").stdout.splitlines()
    below = {line.split()[1]: narrow[i + 1].split()[0] for i, line in enumerate(narrow[:-1])}

    assert {name: wide[name] for name in stands} == stands
    assert {name: below[name] for name in stands} == stands
    assert set(wide.values()) <= {"proved", "closed", "open", "back"}


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        (["--since", "2026-05-21", "--until", "2026-05-21"], ["1f2da5"]),
        (["--mode", "fuse-holder-corroded", "--rig", "BOWSER"], ["1f2da5", "9f31ad", "202786"]),
        (["--status", "open"], ["8b9430", "d55f9a"]),
        (["--status", "reopened", "--group", "power-wiring"], ["d11336"]),
        (["--mode", "not-in-the-book", "--since", "2026-08-01"], ["2673c3", "c13c1f"]),
        (["--group", "main-fuse", "--until", "2026-04-30"], ["9f31ad", "202786"]),
    ],
)
def test_filters_choose(run: Run, garden: Casebook, words: list[str], expected: list[str]) -> None:
    """By hand from the visits in tests/casebook/garden_year.yaml."""
    done = run("cases", "list", *words)

    assert [row.split()[1] for row in rows_of(done)] == expected
    assert done.stdout.startswith(f"{len(expected)} of 60 cases\n")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--mode", "fuse-holder-corrodet"], "Did you mean 'fuse-holder-corroded'?"),
        (["--group", "main-fuze"], "Did you mean 'main-fuse'?"),
        (["--status", "opn"], "Did you mean 'open'?"),
        (["--since", "21.5.2026"], "'21.5.2026' is not a day; write it as 2026-03-02"),
        (["--since", "2026-05-02", "--until", "2026-05-01"], "exchange the two"),
    ],
)
def test_filters_that_mean_nothing_are_said(run: Run, words: list[str], said: str) -> None:
    done = run("cases", "list", *words)

    assert done.exit_code == 2
    assert said in done.stderr
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.parametrize("command", ["list", "review", "learn"])
def test_an_empty_casebook_is_said_to_be(run: Run, tmp_path: Path, command: str) -> None:
    done = run("cases", command)

    assert done.exit_code == 0
    assert "There is no case yet. The first one comes with: diagnose walk" in flat(done.stdout)


def flat(text: str) -> str:
    return " ".join(text.split())


def test_none_that_was_wanted_is_said(run: Run, garden: Casebook) -> None:
    done = run("cases", "list", "--rig", "submarine")

    assert done.exit_code == 0
    assert "None of 60 cases is like that." in flat(done.stdout)


def test_the_option_goes_before_the_environment(run: Run, garden: Casebook, tmp_path: Path) -> None:
    done = run("cases", "list", "--casebook", str(tmp_path / "elsewhere"))

    assert "elsewhere:Thereisnocaseyet." in "".join(done.stdout.split())


def test_a_case_is_shown_readably(run: Run, garden: Casebook) -> None:
    text = flat(run("cases", "show", "1f2da5").stdout)

    for said in (
        HOLDER,
        "tree-watering bowser: relay, pressure switch, 14 A pump, 20 A fuse, 8 AWG",
        "confirmed by the part that was swapped",
        "Fuse holder again. Can we have one that works?",
        "Corroded main fuse holder (fuse-holder-corroded).",
        "fuse holder heat too hot to hold",
        "voltage fuse.in fuse.out, asked to run",
        "Parts: sealed fuse holder with cap",
        "Invented for the demo.",
    ):
        assert said in text


def test_a_case_is_found_by_any_part_of_its_id_that_only_it_has(run: Run, garden: Casebook) -> None:
    assert HOLDER in run("cases", "show", "05-21-tree").stdout

    several = run("cases", "show", "bowser")
    assert several.exit_code == 2
    assert "'bowser' fits 1" in several.stderr
    assert "say more" in several.stderr

    none = run("cases", "show", "1f2da6")
    assert none.exit_code == 2
    assert "there is no case called '1f2da6'." in none.stderr


def test_broken_files_are_named_and_the_rest_still_works(run: Run, garden: Casebook) -> None:
    path = garden.path_of(HOLDER)
    path.write_text(path.read_text("utf-8").replace("status: closed", "status: clsd"), "utf-8")

    for command in (["list"], ["review"], ["learn"], ["similar", "9f31ad"], ["export", "--csv"]):
        done = run("cases", *command)
        assert done.exit_code == 0, command
        assert "1f2da5.yaml, line 6, key status: there is no status called 'clsd'" in done.stderr
    assert run("cases", "list").stdout.startswith("59 cases, ")

    broken = run("cases", "show", "1f2da5")
    assert broken.exit_code == 2
    assert "line 6, key status" in broken.stderr


def test_nothing_but_broken_files_is_a_mistake(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "cases" / "2026"
    folder.mkdir(parents=True)
    for name in ("2026-05-21-bowser-000001", "2026-05-21-bowser-000002"):
        (folder / f"{name}.yaml").write_text("schema: 1\n", "utf-8")

    done = run("cases", "list")

    assert done.exit_code == 2
    assert done.stdout == ""
    assert "000001.yaml" in done.stderr
    assert "000002.yaml" in done.stderr


@pytest.mark.parametrize("columns", [40, 80])
@pytest.mark.parametrize("words", COMMANDS[:6], ids=" ".join)
def test_every_screen_fits(
    run: Run, garden: Casebook, monkeypatch: pytest.MonkeyPatch, words: list[str], columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))

    done = run("cases", *words)

    assert done.exit_code == 0
    assert max(map(cell_len, done.stdout.splitlines())) <= columns
    assert len(done.stdout.splitlines()) > 4


EVIL = "[bold red]x[/] <script>alert(1)</script> \u202eexe.\u200b =1+1 {{7*7}} &amp;"


def evil(case: Case) -> Case:
    """The same case with what an attacker might write in every text of it."""
    return replace(
        case,
        rig=replace(case.rig, name=EVIL),
        complaint=(EVIL,),
        root_cause=EVIL,
        true_words=EVIL,
        parts=(EVIL,),
        notes=f"{EVIL}\n{EVIL}",
    )


@pytest.mark.parametrize("columns", [40, 80])
def test_text_from_cases_reaches_the_screen_as_text(
    run: Run, garden: Casebook, monkeypatch: pytest.MonkeyPatch, columns: int
) -> None:
    monkeypatch.setenv("COLUMNS", str(columns))
    case = garden.load(HOLDER)
    garden.path_of(HOLDER).write_text(to_yaml(evil(case)), "utf-8")

    for words in COMMANDS:
        done = run("cases", *words)
        assert done.exit_code == 0, done.stderr
        assert "\x1b" not in done.stdout
        assert "\u202e" not in done.stdout
        assert "\u200b" not in done.stdout
    shown = flat(run("cases", "show", "1f2da5").stdout)
    assert shown.count("[bold red]x[/] <script>alert(1)</script>") >= 5
    assert "\\u202eexe.\\u200b" in shown.replace(" ", "")


def test_escapes_in_a_file_are_refused_without_being_sent(run: Run, garden: Casebook) -> None:
    path = garden.path_of(HOLDER)
    text = path.read_text("utf-8")
    said = "Fuse holder again. Can we have one that works?"
    path.write_text(text.replace(said, '"\\e]0;owned\\a"'), "utf-8")

    done = run("cases", "show", "1f2da5")

    assert done.exit_code == 2
    assert "control character" in done.stderr
    assert "\x1b" not in done.stdout + done.stderr
