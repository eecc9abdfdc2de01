"""The commands `cases review` and `cases similar`, on the demo's invented year."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.casebook.store import Casebook

Run = Callable[..., Result]


def flat(text: str) -> str:
    return " ".join(text.split())


def block_of(done: Result, title: str) -> list[str]:
    """The lines under a title, each with single spaces."""
    lines = done.stdout.splitlines()
    start = lines.index(title) + 1
    end = next((n for n in range(start, len(lines)) if not lines[n].strip()), len(lines))
    return [flat(line) for line in lines[start:end]]


def test_a_review_counts_what_occurred(run: Run, garden: Casebook) -> None:
    """By hand from the visits in tests/casebook/garden_year.yaml."""
    done = run("cases", "review")

    assert done.exit_code == 0
    assert done.stdout.startswith("60 cases, 2025-12-03 to 2026-11-20\n")
    assert "55 closed, 3 reopened, 2 open." in flat(done.stdout)
    months = block_of(done, "When they came")
    assert len(months) == 12
    assert months[0] == "4 ###########......... 2025-12"
    assert months[6] == "7 #################### 2026-06"
    groups = block_of(done, "Component groups")
    assert groups[:2] == ["10 #################### plumbing", "8 ################.... main-fuse"]
    first, holder = block_of(done, "Failure modes")[:2]
    assert first == "cases failure mode confirmed min where"
    assert holder.startswith("5 ###### fuse-holder-corroded 5 ")
    assert holder.endswith(" relay 4 direct 1")


def test_a_review_says_how_often_the_first_was_right(run: Run, garden: Casebook) -> None:
    cases = [case for case in garden.cases() if case.confirmed]
    first = sum(case.ranking[0][0] == case.true_cause for case in cases)

    hits = block_of(run("cases", "review"), "How often the ranking was right")

    assert hits[0] == f"Of {len(cases)} confirmed cases, the true cause"
    assert hits[1].startswith(f"{first} ##")
    assert hits[1].endswith("was ranked first")
    assert hits[3].startswith("3 #.")


def test_a_review_names_what_came_back_newest_first(run: Run, garden: Casebook) -> None:
    back = " ".join(block_of(run("cases", "review"), "Back within 90 days"))

    opened = "d11336 ground-resistive, propagation mist bench: opened again 9 days later"
    assert back.startswith(f"- {opened}")
    assert "202786 fuse-holder-corroded, tree-watering bowser: back as 9f31ad 34 days later" in back
    assert "ca8a7c pressure-switch-burnt, propagation mist bench: back as 5d35cc 83 days" in back


def test_questions_that_did_not_help_stand_first(run: Run, garden: Casebook) -> None:
    lines = block_of(run("cases", "review", "--all"), "Questions that helped least")[2:]

    rows = [line.split() for line in lines if len(line.split()) > 4 and line[0].isdigit()]
    shares = [int(row[0]) / int(row[-3]) for row in rows]
    assert shares == sorted(shares)
    assert all(int(row[-3]) >= 3 for row in rows)


def test_a_review_of_a_part_is_of_that_part(run: Run, garden: Casebook) -> None:
    done = run("cases", "review", "--rig", "rose", "--until", "2026-06-30")

    assert done.stdout.startswith("4 cases, 2026-02-19 to 2026-06-19\n")
    assert "Nothing came back." in done.stdout
    assert "direct 1" in done.stdout
    assert "relay" not in done.stdout.partition("Questions")[0]


def test_long_times_are_shown_by_the_year(run: Run, garden: Casebook) -> None:
    old = garden.paths()[0]
    text = old.read_text("utf-8").replace("2025-12-03", "2022-12-03")
    name = old.name.replace("2025", "2022")
    (garden.folder / "2022").mkdir()
    (garden.folder / "2022" / name).write_text(text, "utf-8")

    lines = block_of(run("cases", "review"), "When they came")

    assert [line.split()[0] for line in lines] == ["1", "0", "0", "4", "56"]
    assert [line.split()[-1] for line in lines] == ["2022", "2023", "2024", "2025", "2026"]


def test_similar_cases_to_a_case_say_what_they_share(run: Run, garden: Casebook) -> None:
    done = run("cases", "similar", "9f31ad")

    assert done.exit_code == 0
    assert done.stdout.startswith("Like 2026-04-07-tree-watering-bowser-9f31ad\n")
    modes = block_of(done, "What they were")
    assert modes[0].endswith("fuse-holder-corroded")
    assert "fuse holder heat: too hot to hold" in flat(done.stdout)
    cases = done.stdout.partition("most alike first")[2]
    assert "202786  2026-03-03  proved  fuse-holder-corroded" in cases
    assert "9f31ad" not in cases


def test_similar_cases_to_what_was_seen_and_read(run: Run, garden: Casebook) -> None:
    read = "voltage fuse.in fuse.out calling = 1.5 V"

    done = run(
        *("cases", "similar", "--rig", "bowser", "--seen", "fuse-holder-heat=too-hot-to-hold"),
        *("--read", read, "--most", "2"),
    )

    text = flat(done.stdout)
    assert text.startswith("Like what was seen and read")
    assert "2 #################### voltage fuse.in fuse.out, asked to run: high" in text
    assert text.count("tree-watering bowser") == 2


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "say what is at hand: a CASE, or --rig RIG with --seen or --read."),
        (["--rig", "bowser"], "say what is at hand"),
        (["--seen", "smell=burnt"], "say what is at hand"),
        (["9f31ad", "--rig", "bowser"], "not both"),
        (["--rig", "bowzer", "--seen", "smell=burnt"], "Did you mean 'bowser'?"),
        (["--rig", "bowser", "--seen", "smell=brunt"], "Did you mean 'burnt'?"),
        (["nothing-like-it"], "there is no case called 'nothing-like-it'"),
        (["9f31ad", "--most", "0"], "--most"),
    ],
)
def test_nothing_to_compare_with_is_said(
    run: Run, garden: Casebook, words: list[str], said: str
) -> None:
    done = run("cases", "similar", *words)

    assert done.exit_code == 2
    assert said in done.stderr


def test_no_case_alike_is_said(run: Run, tmp_path: Path) -> None:
    done = run("cases", "similar", "--rig", "bowser", "--seen", "smell=burnt")

    assert done.exit_code == 0
    assert "none of 0 cases is like what was seen and read." in flat(done.stdout)
