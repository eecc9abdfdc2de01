"""Learning as the commands show it: what changed and why, and that it can be turned off."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from typer.testing import Result

from diagnose.casebook.store import Casebook

Run = Callable[..., Result]

SEEN = ("--seen", "relay-sound=chatters")


def flat(text: str) -> str:
    return " ".join(text.split())


def ranking(done: Result) -> dict[str, float]:
    assert done.exit_code == 0, done.stderr
    record: dict[str, Any] = json.loads(done.stdout)
    return {one["failure_mode"]: one["probability"] for one in record["ranking"]}


def unconfirmed(casebook: Casebook) -> None:
    """Take the proof away from every case."""
    for path in casebook.paths():
        text = path.read_text("utf-8")
        for how in ("verification", "part-swapped"):
            text = text.replace(f"confirmed_by: {how}", "confirmed_by: none")
        path.write_text(text, "utf-8")


def test_confirmed_cases_move_the_ranking(run: Run, garden: Casebook) -> None:
    learned = run("rank", "bowser", *SEEN, "--json")
    book = run("rank", "bowser", *SEEN, "--json", "--no-learning")

    assert ranking(learned)["fuse-holder-corroded"] > 1.2 * ranking(book)["fuse-holder-corroded"]
    assert sum(ranking(learned).values()) == pytest.approx(1)
    shop = json.loads(learned.stdout)["this_shop"]
    assert shop["cases"] == 5
    assert 30 < shop["of"] <= 46
    assert json.loads(book.stdout)["this_shop"] == {}


def test_without_learning_all_is_as_in_an_empty_casebook(
    run: Run, garden: Casebook, tmp_path: Any
) -> None:
    """To the last bit; and cases that nobody has confirmed never teach."""
    off = run("rank", "bowser", *SEEN, "--json", "--no-learning").stdout
    empty = run("rank", "bowser", *SEEN, "--json", "--casebook", str(tmp_path / "none")).stdout
    unconfirmed(garden)
    untaught = run("rank", "bowser", *SEEN, "--json").stdout

    assert off == empty == untaught


def test_the_screens_say_how_many_it_was_in_this_shop(run: Run, garden: Casebook) -> None:
    text = flat(run("rank", "bowser", *SEEN).stdout)
    assert "Corroded main fuse holder, this shop: 5 of 4" in text

    told = ("--seen", "fuse-holder-look=corroded", "--seen", "fuse-holder-heat=too-hot-to-hold")
    read = ("--read", "voltage fuse.in fuse.out calling = 1.2 V")
    held = flat(run("walk", "bowser", *SEEN, *told, *read, typed="\n\nquit\nno\n").stdout)
    assert "This shop: 5 of 4" in held
    off = run("walk", "bowser", *SEEN, *told, *read, "--no-learning", typed="\n\nquit\nno\n")
    assert "his shop: " not in off.stdout
    assert "It comes to: Corroded main fuse holder" in off.stdout


def test_a_walk_of_lines_learns_too(run: Run, garden: Casebook) -> None:
    stop = '{"answer": "stop"}\n'

    learned = run("walk", "bowser", *SEEN, "--json-lines", typed=stop).stdout.splitlines()[-1]
    off = run("walk", "bowser", *SEEN, "--json-lines", "--no-learning", typed=stop)

    assert json.loads(learned)["this_shop"]["cases"] == 5
    assert json.loads(off.stdout.splitlines()[-1])["this_shop"] == {}


def test_learn_says_which_cases_teach(run: Run, garden: Casebook) -> None:
    text = flat(run("cases", "learn").stdout)

    assert text.startswith("46 of 60 cases teach the ranking")
    assert "11 are not confirmed, 3 not in the book." in text
    assert "fuse-holder-corroded" not in text


def test_learn_shows_what_changed_and_why(run: Run, garden: Casebook) -> None:
    text = flat(run("cases", "learn", "bowser", "--show").stdout)

    assert "Before any question on tree-watering bowser, per cent" in text
    assert " + fuse-holder-corroded 5 of 4" in text
    assert "8 in main-fuse" in text
    assert "The book counts as 30 cases" in text
    newest = flat(run("cases", "learn", "--show").stdout)
    assert "Before any question on header-tank transfer pump" in newest


def test_learn_has_nothing_to_show_where_nothing_is_confirmed(run: Run, garden: Casebook) -> None:
    unconfirmed(garden)

    text = flat(run("cases", "learn", "--show").stdout)

    assert text.startswith("0 of 60 cases teach the ranking")
    assert "So every ranking is that of the book." in text
    assert "Before any question" not in text


def test_cases_of_other_rigs_are_said_not_to_bear_on_this_one(run: Run, garden: Casebook) -> None:
    """Only float cases stay, and the bowser has no float."""
    for path in garden.paths():
        if "true_cause: float-" not in path.read_text("utf-8"):
            path.unlink()

    text = flat(run("cases", "learn", "bowser", "--show").stdout)

    assert "None of them is of a failure mode that tree-watering bowser can have." in text
    rank = json.loads(run("rank", "bowser", *SEEN, "--json").stdout)
    assert rank["this_shop"] == {}
