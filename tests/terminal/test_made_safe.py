"""--made-safe on the command line: a stop that was dealt with before the command was given."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.bench import Bench
from diagnose.casebook.record import StopAt
from diagnose.casebook.store import Casebook
from tests.tools.stops.promise import under_power

Run = Callable[..., Result]

HOT = ("bowser", "--seen", "fuse-holder-heat=too-hot-to-hold")
SMOKED = ("bowser", "--seen", "smoke=seen")
COMMANDS = (("rank",), ("rank", "--json"), ("walk",), ("walk", "--json-lines"))


def flat(text: str) -> str:
    return " ".join(text.split())


def test_rank_stops_until_it_is_made_safe(run: Run) -> None:
    stopped, lifted = run("rank", *HOT), run("rank", *HOT, "--made-safe", "too-hot")

    assert (stopped.exit_code, lifted.exit_code) == (0, 0)
    assert "STOP: Too hot to hold 1. Master switch off." in flat(stopped.stdout)
    assert "STOP" not in lifted.stdout


def test_rank_as_json_asks_for_power_only_once_it_is_made_safe(run: Run, bowser: Bench) -> None:
    stopped = json.loads(run("rank", "--json", *SMOKED).stdout)
    lifted = json.loads(run("rank", "--json", *SMOKED, "--made-safe", "smoked").stdout)

    assert [stop["id"] for stop in stopped["stops"]] == ["smoked"]
    assert not under_power(bowser.tests[stopped["next"]["id"]])
    assert lifted["stops"] == []
    assert under_power(bowser.tests[lifted["next"]["id"]])
    assert lifted["fix"][0] not in stopped["stops"][0]["do"]


def test_two_stops_are_made_safe_each_by_its_name(run: Run) -> None:
    told = (*HOT, *SMOKED[1:], "--made-safe", "too-hot")

    one = json.loads(run("rank", "--json", *told).stdout)
    both = json.loads(run("rank", "--json", *told, "--made-safe", "smoked").stdout)

    assert [stop["id"] for stop in one["stops"]] == ["smoked"]
    assert both["stops"] == []


def test_a_walk_begins_with_it_and_keeps_it(run: Run, tmp_path: Path) -> None:
    done = run("walk", *SMOKED, "--made-safe", "smoked", typed="unknown\nquit\nyes\n")

    assert done.exit_code == 0, done.output
    assert "STOP" not in done.stdout
    (case,) = Casebook.open(tmp_path / "cases").cases().good
    assert [stop.stop for stop in case.stops] == ["smoked"]
    assert case.stops[0].lifted is not None


def test_lines_begin_without_the_stop(run: Run) -> None:
    stopped = run("walk", "--json-lines", *SMOKED)
    lifted = run("walk", "--json-lines", *SMOKED, "--made-safe", "smoked")

    assert '"type": "stop"' in stopped.stdout
    assert '"type": "stop"' not in lifted.stdout


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
@pytest.mark.parametrize(
    ("told", "name", "said"),
    [
        (HOT, "to-hot", "No stop called 'to-hot' stands now; these do: too-hot."),
        (HOT, "smoked", "No stop called 'smoked' stands now; these do: too-hot."),
        (("bowser",), "too-hot", "No stop called 'too-hot' stands now; none does."),
        (HOT, "\x1b[31m", "No stop called '\\x1b[31m' stands now; these do: too-hot."),
        (
            ("bowser", "--seen", "battery-look=swollen"),
            "battery-may-burst",
            "Battery may burst: saying so does not end it. Leave the battery to somebody trained",
        ),
    ],
)
def test_a_name_that_does_not_fit_is_one_sentence(
    run: Run, command: tuple[str, ...], told: tuple[str, ...], name: str, said: str
) -> None:
    done = run(*command, *told, "--made-safe", name)

    assert done.exit_code == 2
    assert done.stdout == ""
    assert done.stderr.startswith(said)
    assert done.stderr.count("\n") == 1


def test_it_cannot_be_given_with_a_walk_that_is_gone_on_with(run: Run) -> None:
    done = run("walk", "--resume", "--made-safe", "too-hot")

    assert done.exit_code == 2
    assert "--resume goes on with a walk as it was; give nothing else with it." in done.stderr


# -- closing a case --------------------------------------------------------------------------------

OPEN = "2026-10-27-rose-garden-barrel-cart-d55f9a"
CAUSE = ("cases", "close", "d55f9a", "--cause", "battery-aged")
NOON = datetime(2026, 10, 27, 12, 0, tzinfo=UTC)


@pytest.fixture
def stopped(garden: Casebook) -> Casebook:
    """The demo's year, in which the stops of an open case stand."""
    stops = StopAt("too-hot", NOON), StopAt("battery-may-burst", NOON)
    garden.update(OPEN, lambda case: replace(case, stops=stops))
    return garden


@pytest.mark.parametrize(
    "how",
    [
        ("--confirmed-by", "part-swapped"),
        ("--measured", "12.4 V", "--runs", "yes"),
        ("--notes", "Done."),
    ],
)
@pytest.mark.parametrize("safe", [(), ("--made-safe", "too-hot")])
def test_a_case_whose_stop_stands_is_not_closed(
    run: Run, stopped: Casebook, how: tuple[str, ...], safe: tuple[str, ...]
) -> None:
    before = stopped.path_of(OPEN).read_bytes()

    done = run(*CAUSE, *how, *safe)

    assert done.exit_code == 2
    assert "stands stopped:" in done.stderr
    assert "give --made-safe" in done.stderr
    assert done.stderr.count("\n") == 1
    assert stopped.path_of(OPEN).read_bytes() == before


def test_it_is_closed_once_every_stop_was_dealt_with(run: Run, stopped: Casebook) -> None:
    """Also one that no answer ends in a walk: whoever it was left to has dealt with it."""
    safe = ("--made-safe", "too-hot", "--made-safe", "battery-may-burst")

    done = run(*CAUSE, "--confirmed-by", "part-swapped", *safe)

    assert done.exit_code == 0, done.stderr
    case = stopped.load(OPEN)
    assert (case.status, case.confirmed, case.standing) == ("closed", True, ())
    assert all(stop.raised == NOON and stop.lifted and stop.lifted > NOON for stop in case.stops)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("--made-safe", "to-hot"), "no stop that stands called 'to-hot'. Did you mean 'too-hot'"),
        (("--made-safe", "smoked"), "no stop that stands called 'smoked'"),
    ],
)
def test_a_stop_that_the_case_has_not_is_one_sentence(
    run: Run, stopped: Casebook, words: tuple[str, ...], said: str
) -> None:
    before = stopped.path_of(OPEN).read_bytes()

    done = run(*CAUSE, *words)

    assert done.exit_code == 2
    assert said in done.stderr
    assert done.stderr.count("\n") == 1
    assert stopped.path_of(OPEN).read_bytes() == before


def test_a_case_that_is_opened_again_takes_no_made_safe(run: Run, garden: Casebook) -> None:
    done = run("cases", "close", "1f2da5", "--reopen", "--made-safe", "too-hot")

    assert done.exit_code == 2
    assert "give only --notes with it" in done.stderr
