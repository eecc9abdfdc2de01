"""Some sessions of the monkey; all of them: python -m tests.monkey."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.bench import Bench
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.reasoning.evidence import Seen
from diagnose.walkthrough import Walk
from tests.monkey.manners import MOODS
from tests.monkey.sessions import Monkey, Wrong, session
from tests.plain_rules import holding


@pytest.mark.parametrize("rig", ["bowser", "mist-bench", "header-tank"])
def test_sessions_with_a_monkey(bench_of: Callable[[str], Bench], rig: str, tmp_path: Path) -> None:
    played = [
        session(bench_of(rig), shipped_rules(), f"suite/{number}", casebook, patience=6)
        for number, casebook in enumerate((None, tmp_path))
    ]

    assert sum(tally.counts["question"] for tally in played) > 12
    assert all(tally.off < 1e-9 for tally in played)


def monkey(bench: Bench, *told: Seen) -> Monkey:
    return Monkey(Walk(bench, told), shipped_rules(), "patient", random.Random(1))


def asked(bench: Bench, test: str) -> dict[str, object]:
    return {"type": "question", "id": test, "again": False}


def test_a_caution_that_is_not_said_is_noticed(bowser: Bench) -> None:
    hot = Seen("fuse-holder-heat", "too-hot-to-hold")

    with pytest.raises(Wrong, match="holds and was not said"):
        monkey(bowser, hot)._heed(asked(bowser, "relay-sound"))


def test_a_question_without_its_own_caution_is_noticed(bowser: Bench) -> None:
    test = next(test.id for test in bowser.tests.values() if test.entry.cautions)

    with pytest.raises(Wrong, match=r"without its caution|holds and was not said"):
        monkey(bowser)._heed(asked(bowser, test))


def test_a_barred_question_is_noticed(bowser: Bench) -> None:
    here = monkey(bowser, Seen("pump-action", "silent"))
    here.heard = set(bowser.shop.catalogue.cautions)
    symbols = here.walk._symbols(here.walk.evidence, here.walk.belief())
    here.held = set(holding(here.rules, symbols).cautions)

    with pytest.raises(Wrong, match="though barred"):
        here._heed(asked(bowser, "current motor-feed calling"))


def test_every_mood_does_something_of_its_own() -> None:
    assert len({tuple(sorted(mood.items())) for mood in MOODS.values()}) == len(MOODS) > 4
