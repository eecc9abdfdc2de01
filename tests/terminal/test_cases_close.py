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
        (
            ["--cause", "battery-aged", "--measured", "12 A", "--runs", "yes"],
            "another kind of quantity",
        ),
        (["--reopen", "--cause", "battery-aged"], "give only --notes with it"),
        (["--reopen"], "is open; only a closed case can be reopened"),
        (["--measured", "12 V"], "say what it was: --cause ID"),
        (["--cause", "battery-aged", "--measured", "12 V"], "Say --runs yes or --runs no with"),
        (["--cause", "battery-aged", "--measured", "12 V", "--runs", "maybe"], "--runs yes or"),
        (["--cause", "battery-aged", "--runs", "yes"], "go with --measured, the reading that"),
        (
            ["--cause", "battery-aged", "--measured", "12 V", "--runs", "yes", "--load", "shutt"],
            "Did you mean 'shut'?",
        ),
        (["--reopen", "--behind", "No cap."], "give only --notes with it"),
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


def test_a_case_is_closed_by_questions(run: Run, garden: Casebook) -> None:
    """No id, no option: the number of the case, what it was, and whether it went with the part."""
    done = run("cases", "close", typed="\n".join(["?", "2", "no", "Aged battery", "yes", ""]))

    said = flat(done.stdout)
    assert done.exit_code == 0, done.stderr
    assert "2 2026-10-27 rose-garden barrel cart: Discharged battery (d55f9a)" in said
    assert "Was it: Discharged battery?" in said
    assert "Aged battery (battery-aged), confirmed by the part that was swapped." in said
    case = garden.load(OPEN)
    assert (case.status, case.true_cause, case.confirmed) == ("closed", "battery-aged", True)


def test_the_proof_of_a_case_is_asked_for(run: Run, garden: Casebook) -> None:
    proved = run("cases", "close", "d55f9a", typed="\n".join(["yes", "yes", "1", "12.4", ""]))

    assert proved.exit_code == 0, proved.stderr
    assert "Measure now: voltage battery+ battery-, asked to run: " in flat(proved.stdout)
    case = garden.load(OPEN)
    assert (case.status, case.confirmed_by) == ("closed", "verification")
    assert case.true_cause == "battery-discharged"


@pytest.mark.parametrize("typed", [["quit"], ["yes", "yes", "1", "skip"], ["no", "quit"]])
def test_what_is_not_answered_leaves_the_case_as_it_is(
    run: Run, garden: Casebook, typed: list[str]
) -> None:
    before = garden.path_of(OPEN).read_bytes()

    done = run("cases", "close", "d55f9a", typed="\n".join([*typed, ""]))

    assert done.exit_code == 0
    assert "Stays open: " in done.stdout
    assert garden.path_of(OPEN).read_bytes() == before


@pytest.mark.parametrize(
    ("words", "said"),
    [([], "say which case: its id"), (["202786"], "is closed. If the repair has not held, say")],
)
def test_questions_that_nobody_can_answer(
    run: Run, garden: Casebook, words: list[str], said: str
) -> None:
    done = run("cases", "close", *words)

    assert done.exit_code == 2
    assert said in done.stderr


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

    done = run(
        "cases",
        "close",
        "1f2da5",
        "--cause",
        "fuse-holder-corroded",
        "--measured",
        "95 mV",
        "--runs",
        "yes",
    )

    assert "voltage fuse.in fuse.out, asked to run: 95 mV is within" in flat(done.stdout)
    case = garden.load(CLOSED)
    assert (case.confirmed_by, case.status) == ("verification", "closed")
    assert case.verification is not None
    assert case.verification.value == 0.095


def test_a_reading_outside_its_band_leaves_the_case_open(run: Run, garden: Casebook) -> None:
    run("cases", "close", "1f2da5", "--reopen")
    measured = ["--cause", "fuse-holder-corroded", "--measured", "1.2 V", "--runs", "yes"]

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


def proved(run: Run, garden: Casebook, *words: str) -> Result:
    """The corroded holder of the bowser, thought mended once more."""
    run("cases", "close", "1f2da5", "--reopen")
    return run("cases", "close", "1f2da5", "--cause", "fuse-holder-corroded", *words)


def test_no_drop_on_a_rig_that_stands_still_is_no_proof(run: Run, garden: Casebook) -> None:
    """Without current no joint loses volts, good or bad: Ohm's law, V = I R with I = 0."""
    done = proved(run, garden, "--measured", "0 V", "--runs", "no")

    assert "Nothing flows, so nothing can be lost: a drop of 0 V on a rig" in flat(done.stdout)
    assert "Stays reopened" in done.stdout
    case = garden.load(CLOSED)
    assert case.verification is not None
    assert (case.verification.runs, case.verification.load) == (False, "still")
    assert (case.verification.within, case.verification.proves) == (True, False)
    assert not case.confirmed

    shown = flat(run("cases", "show", "1f2da5").stdout)
    assert "read 0 V (it does not run), within" in shown
    assert "Nothing flows, so nothing can be lost" in shown


def test_a_good_reading_beside_a_pump_that_fails_is_no_proof(run: Run, garden: Casebook) -> None:
    done = proved(run, garden, "--measured", "95 mV", "--runs", "no", "--load", "in-use")

    assert "but the pump does not do its job" in flat(done.stdout)
    assert garden.load(CLOSED).status == "reopened"


def test_a_drop_against_a_shut_outlet_is_a_proof(run: Run, garden: Casebook) -> None:
    """There the motor draws more, and the joint would lose more: common practice."""
    proved(run, garden, "--measured", "95 mV", "--runs", "yes", "--load", "shut")

    case = garden.load(CLOSED)
    assert (case.status, case.confirmed_by) == ("closed", "verification")
    assert case.verification is not None
    assert (case.verification.runs, case.verification.load) == (True, "shut")
    assert case.verification.typed == "95 mV"


def test_a_proof_needs_its_digits(run: Run, garden: Casebook) -> None:
    """0 to the volt may be 0.5 V, which is no proof of less than 0.14 V; 0.00 V is."""
    coarse = proved(run, garden, "--measured", "0", "--runs", "yes")
    assert coarse.exit_code == 2
    assert "type every digit the meter shows" in coarse.stderr
    assert coarse.stderr.count("\n") == 1

    assert proved(run, garden, "--measured", "0.05", "--runs", "yes").exit_code == 0
    assert garden.load(CLOSED).status == "closed"


def test_what_was_found_behind_it_is_said_and_no_longer_asked(run: Run, garden: Casebook) -> None:
    assert "Ask: was it this: " in flat(run("cases", "show", "1f2da5").stdout)

    cause = ("--cause", "fuse-holder-corroded", "--confirmed-by", "part-swapped")
    run("cases", "close", "1f2da5", *cause, "--behind", "The cap was off.")

    case = garden.load(CLOSED)
    assert (case.root_cause, case.root_cause_seen) == ("The cap was off.", True)
    shown = flat(run("cases", "show", "1f2da5").stdout)
    assert "Behind it: The cap was off." in shown
    assert "Ask: was it" not in shown
