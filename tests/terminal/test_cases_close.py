"""The command `cases close`: what it was in the end, and that a repair has not held."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from typer.testing import Result

from diagnose.casebook.store import Casebook

Run = Callable[..., Result]

OPEN = "2026-10-27-rose-garden-barrel-cart-d55f9a"
CLOSED = "2026-05-21-tree-watering-bowser-1f2da5"
FIRST = "2026-03-03-tree-watering-bowser-202786"


def flat(text: str) -> str:
    return " ".join(text.split())


def test_an_open_case_is_closed_with_what_it_was(run: Run, garden: Casebook) -> None:
    how = ["--confirmed-by", "part-swapped", "--part", "battery, 35 A*h", "--notes", "Had to be."]

    done = run("cases", "close", "d55f9a", "--cause", "battery-aged", *how)

    assert done.exit_code == 0
    assert "Aged battery (battery-aged), confirmed by the part that was swapped." in flat(
        done.stdout
    )
    case = garden.load(OPEN)
    assert (case.status, case.true_cause, case.confirmed) == ("closed", "battery-aged", True)
    assert case.parts == ("battery, 35 A*h",)
    assert case.notes.endswith("Had to be.")
    assert case.cause == "battery-discharged"


def test_a_case_closed_without_proof_is_said_not_to_count(run: Run, garden: Casebook) -> None:
    done = run("cases", "close", "d55f9a", "--cause", "battery-aged")

    assert "not confirmed. Only confirmed cases count in rankings" in flat(done.stdout)
    assert not garden.load(OPEN).confirmed


def test_not_in_the_book_takes_words(run: Run, garden: Casebook) -> None:
    words = ["--cause", "not-in-the-book", "--words", "Mouse nest in the motor"]

    done = run("cases", "close", "d55f9a", *words, "--confirmed-by", "part-swapped")

    assert done.exit_code == 0
    assert "count in rankings" not in done.stdout
    assert garden.load(OPEN).true_words == "Mouse nest in the motor"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "say what it was: --cause ID, or --cause not-in-the-book --words '...'; the walk"),
        (["--cause", "not-in-the-book"], "so say in words what it was"),
        (["--cause", "batery-aged"], "Did you mean 'battery-aged'?"),
        (["--cause", "battery-aged", "--confirmed-by", "swapped"], "Did you mean 'part-swapped'?"),
        (["--cause", "batery-aged", "--measured", "12 V"], "Did you mean 'battery-aged'?"),
        (["--cause", "not-in-the-book", "--words", "x", "--measured", "1 V"], "no proving reading"),
        (["--cause", "battery-aged", "--measured", "12 A"], "another kind of quantity"),
        (["--reopen", "--cause", "battery-aged"], "give only --notes with it"),
        (["--reopen"], "is open; only a closed case can be reopened"),
        (["--measured", "12 V"], "say what it was: --cause ID"),
    ],
)
def test_what_makes_no_sense_changes_nothing(
    run: Run, garden: Casebook, words: list[str], said: str
) -> None:
    before = garden.path_of(OPEN).read_bytes()

    done = run("cases", "close", "d55f9a", *words)

    assert done.exit_code == 2
    assert said in done.stderr
    assert garden.path_of(OPEN).read_bytes() == before


def test_a_case_that_came_back_is_opened_again(run: Run, garden: Casebook) -> None:
    done = run("cases", "close", "1f2da5", "--reopen", "--notes", "Hot again.")

    assert done.exit_code == 0
    assert "Open again" in done.stdout
    case = garden.load(CLOSED)
    assert (case.status, case.confirmed) == ("reopened", False)
    assert case.notes.endswith("Hot again.")
    assert len(case.came_back) == 1

    run(
        "cases", "close", "1f2da5", "--cause", "fuse-holder-loose", "--confirmed-by", "verification"
    )
    case = garden.load(CLOSED)
    assert (case.status, case.true_cause, case.confirmed) == ("closed", "fuse-holder-loose", True)
    assert len(case.came_back) == 1


def test_a_reading_in_its_band_closes_and_confirms(run: Run, garden: Casebook) -> None:
    run("cases", "close", "1f2da5", "--reopen")

    done = run("cases", "close", "1f2da5", "--cause", "fuse-holder-corroded", "--measured", "95 mV")

    assert "voltage fuse.in fuse.out calling: 95 mV is within" in flat(done.stdout)
    case = garden.load(CLOSED)
    assert (case.confirmed_by, case.status) == ("verification", "closed")
    assert case.verification is not None
    assert case.verification.value == 0.095


def test_a_reading_outside_its_band_leaves_the_case_open(run: Run, garden: Casebook) -> None:
    run("cases", "close", "1f2da5", "--reopen")
    measured = ["--cause", "fuse-holder-corroded", "--measured", "1.2 V"]

    done = run("cases", "close", "1f2da5", *measured)

    assert "1.2 V is outside" in flat(done.stdout)
    assert "Stays reopened" in done.stdout
    case = garden.load(CLOSED)
    assert (case.status, case.confirmed) == ("reopened", False)
    assert case.verification is not None

    closed = run("cases", "close", "202786", *measured)
    assert closed.exit_code == 2
    assert "if the repair has not held, say --reopen" in closed.stderr


def test_what_is_added_later_keeps_what_was_said_before(run: Run, garden: Casebook) -> None:
    before = garden.load(FIRST)

    run("cases", "close", "202786", "--cause", "fuse-holder-corroded", "--notes", "And a photo.")

    after = garden.load(FIRST)
    assert (after.confirmed_by, after.closed) == (before.confirmed_by, before.closed)
    assert after.notes == f"{before.notes}\nAnd a photo."
    assert after.parts == before.parts

    run("cases", "close", "202786", "--cause", "fuse-holder-loose")
    assert garden.load(FIRST).confirmed_by == "none"
