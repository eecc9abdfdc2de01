"""Commands that write a file: what is there stays unless --force, and no file of ours goes."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.casebook.store import Casebook
from diagnose.figures import knowledge_folder

Run = Callable[..., Result]

WRITING = {
    "a picture": (("rig", "draw", "bowser", "--svg"), "x.svg"),
    "a label": (("rig", "label", "bowser", "--out"), "x.svg"),
    "the book": (("handbook", "--html"), "x.html"),
    "a page": (("page", "bowser", "--complaint", "no-water", "--depth", "1", "--out"), "x.html"),
    "a report": (("cases", "report", "dd8b34", "--html"), "x.html"),
    "a table": (("cases", "export", "--csv"), "x.csv"),
    "whole cases": (("cases", "export", "--jsonl"), "x.jsonl"),
}


@pytest.mark.parametrize("kind", WRITING)
def test_what_is_there_stays_until_it_may_go(
    run: Run, garden: Casebook, tmp_path: Path, kind: str
) -> None:
    words, name = WRITING[kind]
    file = tmp_path / name
    file.write_text("something of mine\n")

    refused = run(*words, str(file))
    assert refused.exit_code == 2
    assert (
        refused.stderr == f"{file}: is there already and stays; name another file, or say --force\n"
    )
    assert file.read_text() == "something of mine\n"

    for _ in range(2):  # the second time it replaces its own
        done = run(*words, str(file), "--force")
        assert done.exit_code == 0, done.stderr
    assert file.stat().st_size > 1000


@pytest.mark.parametrize("ours", ["rig", "case"])
@pytest.mark.parametrize("kind", WRITING)
def test_a_rig_or_a_case_is_never_replaced(
    run: Run, garden: Casebook, tmp_path: Path, kind: str, ours: str
) -> None:
    words, name = WRITING[kind]
    file = tmp_path / name
    shutil.copy(
        knowledge_folder() / "rigs" / "bowser.yaml" if ours == "rig" else garden.paths()[0], file
    )
    before = file.read_bytes()

    done = run(*words, str(file), "--force")

    assert done.exit_code == 2
    assert f"is a {ours}, and stays even with --force" in done.stderr
    assert file.read_bytes() == before


def test_a_study_finds_its_old_report_before_it_plays(run: Run, tmp_path: Path) -> None:
    (tmp_path / "report.md").write_text("the study of last year")

    done = run("study", "--cases", "1", "--out", str(tmp_path))

    assert done.exit_code == 2
    assert "report.md: is there already and stays" in done.stderr
    assert (tmp_path / "report.md").read_text() == "the study of last year"
