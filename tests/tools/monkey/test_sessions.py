"""Some sessions of the monkey; all of them: python -m tests.tools monkey."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.bench import Bench
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.reasoning.evidence import Seen
from diagnose.refusing import symbols
from diagnose.walkthrough import Walk
from tests.plain_rules import holding
from tests.tools.monkey.manners import MOODS
from tests.tools.monkey.sessions import Monkey, Tally, Wrong, session


@pytest.mark.parametrize("rig", ["bowser", "mist-bench", "header-tank"])
def test_sessions_with_a_monkey(bench_of: Callable[[str], Bench], rig: str, tmp_path: Path) -> None:
    played = [
        session(bench_of(rig), shipped_rules(), f"suite/{number}", casebook, patience=6)
        for number, casebook in enumerate((None, tmp_path))
    ]

    assert sum(tally.counts["question"] for tally in played) > 12
    assert all(tally.off < 1e-9 for tally in played)


HOT = Seen("fuse-holder-heat", "too-hot-to-hold")


def test_sessions_that_begin_with_a_stop(bowser: Bench, tmp_path: Path) -> None:
    tally = Tally()
    for number in range(4):
        folder = tmp_path if number == 0 else None
        tally.add(session(bowser, shipped_rules(), f"stop/{number}", folder, 8, told=(HOT,)))

    assert tally.counts["stop"] >= 4
    assert tally.counts["made safe"] >= 2
    assert tally.counts["question"] > 20


def monkey(bench: Bench, *told: Seen) -> Monkey:
    return Monkey(Walk(bench, told), shipped_rules(), "patient", random.Random(1))


def asked(bench: Bench, test: str) -> dict[str, object]:
    cautions = ["What can hurt."] * len(bench.tests[test].entry.cautions)
    return {"type": "question", "id": test, "again": False, "cautions": cautions}


def told_all(here: Monkey, *stops: str) -> Monkey:
    """The same monkey after every caution was said to it, and these stops."""
    here.heard = set(here.walk.bench.shop.catalogue.cautions)
    known = symbols(here.walk.bench, here.walk.evidence, here.walk.belief())
    here.held = set(holding(here.rules, known).cautions)
    here.fresh = [{"type": "stop", "id": name} for name in stops]
    return here


def test_a_caution_that_is_not_said_is_noticed(bowser: Bench) -> None:
    crusted = Seen("battery-look", "wet-or-crusted")

    with pytest.raises(Wrong, match="R210 holds and was not said"):
        monkey(bowser, crusted)._heed(asked(bowser, "relay-sound"))


def test_a_stop_that_is_not_said_is_noticed(bowser: Bench) -> None:
    with pytest.raises(Wrong, match=r"set\(\) said, {'too-hot'} began"):
        told_all(monkey(bowser, HOT))._heed(asked(bowser, "fuse-holder-look"))


def test_a_stop_that_is_said_without_reason_is_noticed(bowser: Bench) -> None:
    with pytest.raises(Wrong, match=r"{'smoked'} said, set\(\) began"):
        told_all(monkey(bowser), "smoked")._heed(asked(bowser, "fuse-holder-look"))


def test_a_question_under_power_is_noticed_while_a_stop_stands(bowser: Bench) -> None:
    """Once it is made safe the same question may be asked; seen again, the stop stands again."""
    here = told_all(monkey(bowser, HOT), "too-hot")
    here._heed(asked(bowser, "fuse-holder-look"))
    with pytest.raises(Wrong, match="relay-sound is asked under power"):
        here._heed(asked(bowser, "relay-sound"))

    here.walk.made_safe("too-hot")
    here._heed(asked(bowser, "relay-sound"))

    here.walk.answer(here.walk.ask("fuse-holder-heat"), "too-hot-to-hold")
    told_all(here, "too-hot")._heed(asked(bowser, "wiring-look"))
    with pytest.raises(Wrong, match="relay-sound is asked under power"):
        here._heed(asked(bowser, "relay-sound"))


def test_any_question_is_noticed_where_nothing_ends_the_stop(bowser: Bench) -> None:
    here = told_all(monkey(bowser, Seen("battery-look", "swollen")), "battery-may-burst")

    with pytest.raises(Wrong, match="onset is asked though nothing ends"):
        here._heed(asked(bowser, "onset"))


def test_a_question_without_its_own_caution_is_noticed(bowser: Bench) -> None:
    test = next(test.id for test in bowser.tests.values() if test.entry.cautions)

    with pytest.raises(Wrong, match=r"without its caution"):
        monkey(bowser)._heed(asked(bowser, test))


def test_a_barred_question_is_noticed(bowser: Bench) -> None:
    here = told_all(monkey(bowser, Seen("pump-action", "silent")))

    with pytest.raises(Wrong, match="though barred"):
        here._heed(asked(bowser, "flow-rate outlet calling"))


def test_every_mood_does_something_of_its_own() -> None:
    assert len({tuple(sorted(mood.items())) for mood in MOODS.values()}) == len(MOODS) > 4
