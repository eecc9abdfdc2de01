"""Whole drills on the screen and by lines: right, wrong and given up."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from typer.testing import Result

from diagnose.bench import Bench
from diagnose.drill.record import Trainee
from tests.once import given_once

Run = Callable[..., Result]
SAME = (
    "drill",
    "--rig",
    "bowser",
    "--fault",
    "fuse-holder-corroded",
    "--level",
    "1",
    "--seed",
    "4",
)


@pytest.fixture
def drill(run: Run, tmp_path: Path) -> Run:
    """Runs a drill command with lines typed, its file in a folder of the test."""

    def hold(*words: str, typed: tuple[str, ...] = ()) -> Result:
        return run(*words, "--folder", str(tmp_path / "drills"), typed="\n".join([*typed, ""]))

    return hold


def flat(text: str) -> str:
    return " ".join(text.split())


def lines_of(result: Result) -> list[dict[str, Any]]:
    return [json.loads(line) for line in result.stdout.splitlines()]


def test_a_drill_found(drill: Run, tmp_path: Path) -> None:
    result = drill(
        *SAME,
        typed=(
            *("listen relay", "volts fuse holder", "look fuse holder", "look fuse", "ask fuse"),
            *(
                "notes",
                "done",
                "fuse-holder-corroded",
                "unknown",
                "skip",
                "volts fuse holder calling",
            ),
        ),
    )
    assert result.exit_code == 0, result.output
    said = " ".join(result.stdout.split())
    for words in (
        'The customer says: "',
        "A sound rig reads",
        "You say: Corroded main fuse holder.",
        "35 of 35 finding the cause: That is what was hidden.",
        "10 of 10 proving the repair",
        "From number",
        "Where the volts went",
        "Behind it: - Holder without a cap",
        "The advised path",
        "diagnose drill --rig bowser --level 1 --fault fuse-holder-corroded --seed 4",
    ):
        assert words in said
    drills = Trainee.of("me", tmp_path / "drills").drills()
    assert [(one.right, one.modes) for one in drills] == [(True, ("fuse-holder-corroded",))]


def test_a_drill_missed_and_one_given_up(drill: Run, tmp_path: Path) -> None:
    wrong = ("ohms coil", "jumper fuse fused", "done", "motor-seized", "1", "1", "unknown")
    result = drill(*SAME, "--trainee", "Bo", typed=wrong)
    assert "That was not it." in result.stdout
    assert "STOP: There is still a battery" in " ".join(result.stdout.split())
    result = drill(*SAME, "--trainee", "Bo", typed=("quit", "no", "back", "quit", "yes"))
    assert "No cause was named." in result.stdout
    drills = Trainee.of("Bo", tmp_path / "drills").drills()
    assert [one.named for one in drills] == [("motor-seized",), ()]
    assert drills[0].dangers >= 2


def test_leaving_writes_nothing_down(drill: Run, tmp_path: Path) -> None:
    result = drill(*SAME, typed=("volts battery", "done", "back", "list relay"))
    assert result.exit_code == 130
    assert not (tmp_path / "drills").exists()


def test_the_kind_is_asked_for_where_it_was_left_open(drill: Run) -> None:
    result = drill("drill", "--seed", "3", typed=("6", "?", "2", "quit", "yes"))
    assert "Type a number from 1 to 5" in result.stdout
    assert "level 2: look-alikes" in result.stdout


def test_a_component_group_can_be_picked(drill: Run, tmp_path: Path) -> None:
    result = drill("drill", "--seed", "3", typed=("5", "?", "relays", "relay", "quit", "yes"))
    assert "Which component group?" in result.stdout
    assert "control circuit" in result.stdout
    assert "'relays' is none of" in " ".join(result.stdout.split())
    assert "--group relay --seed 3" in result.stdout
    assert [one.group for one in Trainee.of("me", tmp_path / "drills").drills()] == ["relay"]
    assert drill("drill", typed=("5", "quit")).exit_code == 0


def test_all_of_it_at_40_columns(drill: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    typed = ("?", "list", "list fuse", "volts fuse", "notes", "draw", "done", "list", "back")
    result = drill(*SAME, typed=(*typed, "quit", "yes"))
    shown = [line for line in result.stdout.splitlines() if "> " not in line]
    assert max(map(len, shown)) <= 40


def test_progress_of_one_and_of_a_class(drill: Run) -> None:
    assert "Nobody has drilled yet" in drill("drill", "progress").stdout
    drill(*SAME, "--trainee", "Ada", typed=("quit", "yes"))
    one = drill("drill", "progress").stdout
    assert "Ada: 1 drill, 0 found" in one
    assert "Corroded main fuse holder" in one
    drill(*SAME, "--trainee", "Bo", typed=("quit", "yes"))
    everybody = drill("drill", "progress").stdout
    assert "2 trainees" in everybody
    assert "Corroded main fuse holder: 2 of 2" in everybody
    record = json.loads(drill("drill", "progress", "--json").stdout)
    assert [each["trainee"] for each in record["trainees"]] == ["Ada", "Bo"]


@pytest.mark.parametrize("words", [["Ada"], ["ada"], ["Ad"], ["--trainee", "Ada"]])
def test_progress_of_somebody_by_name(drill: Run, words: list[str]) -> None:
    for name in ("Ada", "Bo"):
        drill(*SAME, "--trainee", name, typed=("quit", "yes"))

    shown = drill("drill", "progress", *words)

    assert shown.exit_code == 0
    assert "Ada: 1 drill, 0 found" in shown.stdout
    assert "Bo" not in shown.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["Adda"], "Did you mean 'Ada'?"),
        (["Zoe"], "These have: Ada, Bo."),
        (["Ada", "--trainee", "Bo"], "'Ada' and 'Bo' are two names; give one."),
    ],
)
def test_progress_of_nobody_is_said_to_be_so(drill: Run, words: list[str], said: str) -> None:
    for name in ("Ada", "Bo"):
        drill(*SAME, "--trainee", name, typed=("quit", "yes"))

    shown = drill("drill", "progress", *words)

    assert shown.exit_code == 2
    assert said in shown.stderr


def test_what_i_get_wrong_comes_again(drill: Run) -> None:
    drill(*SAME, typed=("quit", "yes"))
    result = drill("drill", "--wrong", "--seed", "9", "--json-lines", typed=('{"give_up": true}',))
    assert lines_of(result)[-1]["hidden"] == ["fuse-holder-corroded"]


def test_a_name_cannot_speak_to_the_terminal(drill: Run) -> None:
    drill(*SAME, "--trainee", "\x1b[31m[red]Eve", typed=("quit", "yes"))
    shown = drill("drill", "progress").stdout
    assert "\x1b" not in shown
    assert "[red]Eve" in shown


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--rig", "bowsr", "--level", "1"), "bowser"),
        (("--group", "relays"), "Did you mean 'relay'"),
        (("--fault", "fuse-holder-corodded"), "Did you mean 'fuse-holder-corroded'"),
        (("--fault", "float-inverted"), "cannot be hidden"),
        (("--wrong",), "Nothing that was drilled before"),
        (("--wrong", "--group", "relay"), "Take one of"),
        (("--level", "7"), "--level"),
    ],
)
def test_mistakes_are_one_sentence(words: tuple[str, ...], said: str, drill: Run) -> None:
    result = drill("drill", *words, "--json-lines")
    assert result.exit_code == 2
    assert said in result.output


def test_a_drill_by_lines(drill: Run) -> None:
    typed = (
        *('{"do": "volts fuse holder"}', '{"do": "ohms coil"}', '{"do": "isolate"}'),
        *('{"list": "strainer"}', '{"complete": "volts 86 8"}', '{"do": 5}', "nonsense", "{}"),
        *('{"root_cause": 1}', '{"cause": "fuse-holder-corroded"}', '{"fix": 9}'),
        '{"root_cause": 1, "fix": 1, "verify": "volts fuse holder calling"}',
        '{"do": "never reached"}',
    )
    records = lines_of(drill(*SAME, "--json-lines", typed=typed))
    kinds = [record["type"] for record in records]
    assert kinds == [
        *("drill", "found", "stopped", "changed", "acts", "completions"),
        *("error", "error", "error", "error", "form", "error", "debrief"),
    ]
    opening, found, stopped, *_, ended = records
    assert "fuse-holder-corroded" not in opening["complaint"]
    assert (found["unit"], found["state"]) == ("V", "calling")
    assert (stopped["act"], stopped["dangerous"]) == ("ohms-on-live", True)
    assert ended["hidden"] == ["fuse-holder-corroded"]
    assert ended["score"] == round(sum(mark["got"] for mark in ended["marks"]))
    assert {level["point"] for level in ended["volts"]} >= {"fuse.in", "fuse.out", "motor+"}
    assert ended["path"]["steps"]
    assert ended["path"]["then"] is None
    assert ended["root_causes"]["fuse-holder-corroded"]
    assert ended["acts"][0]["each"][0]["failure_mode"] == "fuse-holder-corroded"


@pytest.mark.parametrize("by_lines", [True, False])
def test_the_debrief_comes_also_where_it_cannot_be_written_down(
    drill: Run, tmp_path: Path, by_lines: bool
) -> None:
    (tmp_path / "drills").write_text("no folder")

    if by_lines:
        result = drill(*SAME, "--json-lines", typed=('{"give_up": true}',))
        ended = lines_of(result)[-1]
        assert ended["hidden"] == ["fuse-holder-corroded"]
        assert [one["what"] for one in ended["not_kept"]] == ["drill"]
        assert "The drill could not be written down." in result.stderr
    else:
        result = drill(*SAME, typed=("quit", "yes"))
        assert "Corroded main fuse holder" in result.stdout
        assert "This drill could not be written down:" in result.stdout
    assert result.exit_code == 2


@pytest.fixture
def smelt(bowser: Bench) -> tuple[str, ...]:
    """The drill of a burnt pressure switch of which the customer says that it smells burnt."""
    hidden = "pressure-switch-burnt"
    seeds = (seed for seed in range(12) if "smell" in given_once(bowser, 1, seed, hidden).told.seen)
    seed = str(next(seeds))
    return ("drill", "--rig", "bowser", "--fault", hidden, "--level", "1", "--seed", seed)


def test_a_stop_on_the_screen_stands_until_it_is_made_safe(
    drill: Run, smelt: tuple[str, ...]
) -> None:
    typed = ("volts motor", "look wiring", "safe", "volts motor", "quit", "yes")

    said = flat(drill(*smelt, typed=typed).stdout)

    shown, stopped, safe, found = (
        said.index(words)
        for words in (
            "STOP: Burnt smell 1. Master switch off",
            "STOP: Burnt smell. Nothing under power until what got hot",
            "Made safe, as it says. Go on.",
            "voltage motor+ motor- calling",
        )
    )
    assert shown < stopped < safe < found
    assert "Against it you tried: 1." in said


def test_a_stop_by_lines_stands_until_it_is_made_safe(drill: Run, smelt: tuple[str, ...]) -> None:
    act, safe = '{"do": "volts motor"}', '{"made_safe": true}'

    _, stopped, lifted, found, error, ended = lines_of(
        drill(*smelt, "--json-lines", typed=(act, safe, act, safe, '{"give_up": true}'))
    )

    assert (stopped["type"], stopped["act"]) == ("stopped", "burnt-smell")
    assert stopped["dangerous"]
    assert [stop["id"] for stop in stopped["stops"]] == ["burnt-smell"]
    assert (lifted["type"], lifted["made_safe"]) == ("made_safe", ["burnt-smell"])
    assert lifted["stops"] == []
    assert (found["type"], found["stops"]) == ("found", [])
    assert (error["type"], error["text"][:15]) == ("error", "No stop stands;")
    assert [stop["id"] for stop in ended["stops"]] == ["burnt-smell"]


def test_drills_can_be_checked(run: Run) -> None:
    result = run("drill", "check", "mist-bench", "--count", "2", "--seed", "1")
    assert result.exit_code == 0, result.output
    assert "Found by the advised path: 2, 100%." in result.stdout
