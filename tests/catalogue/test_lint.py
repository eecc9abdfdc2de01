"""Lint finds each slip that it is for, at its place, and nothing in sound knowledge."""

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.catalogue.issues import Issue, Severity
from diagnose.catalogue.lint import CHECKS, UNREADABLE, lint_folder

BROKEN = Path(__file__).parents[1] / "broken_knowledge"
SLIPS: list[dict[str, Any]] = yaml.safe_load((BROKEN / "slips.yaml").read_text("utf-8"))["slips"]

Spoil = Callable[[str, str, str], None]


def make(slip: dict[str, Any], folder: Path, spoil: Spoil) -> None:
    """Put one slip into the knowledge in `folder`."""
    if "to" in slip:
        (folder / slip["to"]).parent.mkdir(exist_ok=True)
        (folder / slip["file"]).rename(folder / slip["to"])
    else:
        spoil(slip["file"], slip["old"], slip["new"])
    for other, old, new in slip.get("then", ()):
        spoil(other, old, new)


def said(issues: Iterable[Issue]) -> str:
    return "\n".join(map(str, issues))


def test_sound_knowledge_is_clean(folder: Path) -> None:
    assert lint_folder(folder) == ()


@pytest.mark.parametrize(
    "slip", SLIPS, ids=[f"{n}-{slip['check']}" for n, slip in enumerate(SLIPS)]
)
def test_slip_is_found_at_its_place(slip: dict[str, Any], folder: Path, spoil: Spoil) -> None:
    make(slip, folder, spoil)

    issues = list(lint_folder(folder))

    codes = {issue.code for issue in issues}
    assert codes == {slip["check"], *slip.get("also", ())}, said(issues)
    where = str(folder / slip.get("at", slip["file"]))
    meant = [one for one in issues if one.code == slip["check"]]
    here = [one for one in meant if one.place and one.place.file == where]
    assert any(all(words in str(one) for words in slip["says"]) for one in here), said(meant)
    assert all(one.place and one.place.line for one in here if one.place and one.place.key)


def test_every_check_has_a_slip() -> None:
    assert {slip["check"] for slip in SLIPS} == {check.code for check in CHECKS}


def test_checks_have_codes_of_their_own_and_one_line_of_meaning() -> None:
    codes = [check.code for check in CHECKS]

    assert codes == sorted(set(codes))
    assert UNREADABLE not in codes
    for check in CHECKS:
        assert check.meaning.endswith("."), check.code
        assert "\n" not in check.meaning, check.code


def test_every_severity_says_what_it_means() -> None:
    assert len({severity.meaning for severity in Severity}) == len(Severity) == 3


def test_worst_comes_first_and_then_the_order_of_the_files(folder: Path, spoil: Spoil) -> None:
    blown = "failure_modes/main-fuse/main-fuse-blown.yaml"
    spoil(blown, "status: reviewed", "status: draft")
    spoil(blown, "revised: 2026-11-25", "revised: soon")
    spoil(blown, "fix: [Find the cause first.]", "fix: []")
    spoil("cautions.yaml", "sources: [workshop]", "sources: []")

    issues = lint_folder(folder)

    assert [issue.code for issue in issues] == ["K806", "K401", "K410", "K411"]


def test_what_cannot_be_read_is_an_issue_with_its_place(folder: Path, spoil: Spoil) -> None:
    spoil("rigs/bench.yaml", "topology: relay", "topology: relais")
    spoil("figures/circuit.yaml", "basis: estimate", "basis: guess")
    spoil("vocabulary.yaml", "conditions:", "states:")
    spoil("rules/all.yaml", "is: [corroded]", "is: [green]")
    (folder / "plain_words.yaml").write_text("things: {pump: [pump]}\nthing: {}\n", "utf-8")

    issues = lint_folder(folder)

    assert {issue.code for issue in issues} == {UNREADABLE}
    assert {Path(one.place.file).name for one in issues if one.place} == {
        "bench.yaml",
        "circuit.yaml",
        "vocabulary.yaml",
        "all.yaml",
        "plain_words.yaml",
    }
    assert "bench.yaml, line 3, key topology: there is no topology called 'relais'" in said(issues)


def test_a_folder_without_knowledge_is_an_issue(tmp_path: Path) -> None:
    issues = lint_folder(tmp_path)

    assert {issue.code for issue in issues} == {UNREADABLE}
    assert "vocabulary.yaml" in said(issues)


def test_a_stray_file_that_cannot_be_read_is_an_issue(folder: Path) -> None:
    (folder / "rigs" / "old").mkdir()
    (folder / "rigs" / "old" / "bench.yaml").write_text("a: [", "utf-8")

    (issue,) = lint_folder(folder)

    assert issue.code == UNREADABLE
    assert "bench.yaml, line 2: this is not YAML" in str(issue)
