"""The command `cases export`, read back by other programs."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.casebook.store import Casebook

Run = Callable[..., Result]

NOTE = "Invented for the demo."


def test_json_lines_are_whole_cases_without_notes(run: Run, garden: Casebook) -> None:
    done = run("cases", "export", "--jsonl", "--mode", "fuse-holder-corroded")

    cases = [json.loads(line) for line in done.stdout.splitlines()]
    assert [case["id"][-6:] for case in cases][:3] == ["202786", "9f31ad", "1f2da5"]
    assert len(cases) == 5
    assert {"rig", "seen", "read", "ranking", "knowledge"} <= set(cases[0])
    assert NOTE not in done.stdout
    assert done.stdout.isascii()


def test_csv_is_a_table_without_notes(run: Run, garden: Casebook) -> None:
    done = run("cases", "export", "--csv")

    rows = [*csv.DictReader(io.StringIO(done.stdout))]
    assert len(rows) == 60
    assert len({len(row) for row in rows}) == 1
    assert rows[0]["rig"] == "header-tank transfer pump"
    assert "notes" not in rows[0]
    assert NOTE not in done.stdout


@pytest.mark.parametrize("form", ["--csv", "--jsonl"])
def test_notes_come_only_when_asked_for(run: Run, garden: Casebook, form: str) -> None:
    assert run("cases", "export", form, "--notes").stdout.count(NOTE) == 60


@pytest.mark.parametrize(
    ("name", "words"), [("a.csv", []), ("a.jsonl", []), ("a.txt", ["--csv"]), ("a.csv", ["--csv"])]
)
def test_a_file_holds_what_would_have_been_shown(
    run: Run, garden: Casebook, tmp_path: Path, name: str, words: list[str]
) -> None:
    form = words or [f"--{name.partition('.')[2]}"]

    done = run("cases", "export", str(tmp_path / name), *words)

    assert done.exit_code == 0
    assert done.stdout == ""
    assert f"60 cases written to {tmp_path / name}." in done.stderr
    assert (tmp_path / name).read_bytes() == run("cases", "export", "-", *form).stdout_bytes


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--csv", "--jsonl"], "say one form: --csv for a table, or --jsonl for whole cases."),
        (["cases.txt"], "a name that ends in .txt does not say in which form"),
        (["/dev/null/a.csv"], "a.csv: cannot be written: there is no such folder"),
    ],
)
def test_an_export_that_cannot_be_is_refused(
    run: Run, garden: Casebook, words: list[str], said: str
) -> None:
    done = run("cases", "export", *words)

    assert done.exit_code == 2
    assert said in done.stderr


def test_without_a_form_it_is_a_table(run: Run, garden: Casebook, tmp_path: Path) -> None:
    bare = run("cases", "export", str(tmp_path / "all"))

    assert bare.exit_code == 0
    table = run("cases", "export").stdout_bytes
    assert table == run("cases", "export", "--csv").stdout_bytes
    assert (tmp_path / "all").read_bytes() == table


def test_a_file_that_is_there_is_not_replaced_unasked(
    run: Run, garden: Casebook, tmp_path: Path
) -> None:
    file = tmp_path / "all.csv"
    file.write_text("mine", encoding="utf-8")

    refused = run("cases", "export", str(file))
    assert refused.exit_code == 2
    assert "--force" in refused.stderr
    assert file.read_text(encoding="utf-8") == "mine"
    assert run("cases", "export", str(file), "--force").exit_code == 0
    assert file.read_text(encoding="utf-8") != "mine"


def test_no_case_is_overwritten_by_an_export(run: Run, garden: Casebook) -> None:
    path = garden.paths()[0]
    before = path.read_bytes()

    for target in (path, garden.folder / "all.csv"):
        done = run("cases", "export", "--csv", str(target))
        assert done.exit_code == 2
        assert "is in the casebook itself" in done.stderr
    assert path.read_bytes() == before


def test_nothing_to_export_is_an_empty_table(run: Run) -> None:
    assert run("cases", "export", "--jsonl").stdout == ""
    assert len(run("cases", "export", "--csv").stdout.splitlines()) == 1
