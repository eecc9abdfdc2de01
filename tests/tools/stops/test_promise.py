"""A stop stops: every answer alone, some pairs, and the words in which people tell of a danger."""

from __future__ import annotations

import random
from collections.abc import Callable, Collection, Iterable
from pathlib import Path

import pytest
import yaml

from diagnose.bench import Bench
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.records import Complaint
from diagnose.catalogue.rule_records import ThenStop
from diagnose.phrases import understand
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.walkthrough import NoSuchStop, Walk
from tests.tools.stops.promise import checked, raisers, sets_of, told_with, under_power

RIGS = ("bowser", "mist-bench", "header-tank")


@pytest.mark.parametrize("name", RIGS)
def test_nothing_is_under_power_while_a_stop_stands(
    name: str, bench_of: Callable[[str], Bench]
) -> None:
    """Every third answer alone and one pair in a hundred; python -m tests.tools stops does all."""
    bench = bench_of(name)
    sets = list(sets_of(bench))
    alone, pairs = [one for one in sets if len(one) == 1], [one for one in sets if len(one) == 2]
    start = RIGS.index(name)
    chosen = [*alone[start::3], *random.Random(start).sample(pairs, len(pairs) // 100)]
    found = checked(bench, chosen)
    assert found.wrong == []
    assert found.looked_at > 200


def test_every_rule_that_stops_can_be_raised_on_some_rig(
    bench_of: Callable[[str], Bench],
) -> None:
    """But for the one that only suspects a missing fuse."""
    rigs = (*RIGS, "spray-trailer", "bilge")
    tests = {item.id for name in rigs for item in raisers(bench_of(name))}
    wanted = {
        one.name
        for rule in shipped_rules()
        if isinstance(rule.then, ThenStop)
        for one in rule.when
        if one.kind != "suspect"
    }
    assert wanted == tests


def test_what_is_seen_again_after_it_was_made_safe_stops_again(bowser: Bench) -> None:
    walk = Walk(bowser)
    holder = walk.ask("fuse-holder-heat")
    walk.answer(holder, "too-hot-to-hold")
    assert [stop.id for stop in walk.stops()] == ["too-hot"]
    walk.made_safe("too-hot")
    assert walk.stops() == ()
    walk.answer(walk.ask("relay-heat"), "too-hot-to-hold")
    assert [stop.id for stop in walk.stops()] == ["too-hot"]


def test_taking_back_what_made_it_safe_brings_the_stop_back(bowser: Bench) -> None:
    walk = told_with(bowser, Seen("smoke", "seen"))
    walk.made_safe("smoked")
    walk.back()
    assert [stop.id for stop in walk.stops()] == ["smoked"]


def test_what_was_picked_before_a_stop_is_asked_only_after_it(bowser: Bench) -> None:
    """A question under power that was chosen, or taken back, passes the same gate."""
    walk = told_with(bowser, Seen("smoke", "seen"))
    assert not walk.may_be_asked("relay-sound")
    assert walk.may_be_asked("wiring-look")
    walk.made_safe("smoked")
    assert walk.may_be_asked("relay-sound")


def test_what_raised_a_stop_is_not_asked_away(bowser: Bench) -> None:
    """Asked once more and answered otherwise, it would lift the stop without a word."""
    walk = told_with(bowser, Seen("main-fuse-marking", "no-fuse"))
    for _ in range(12):
        question = walk.question()
        if question is None:
            break
        assert question.id != "main-fuse-marking"
        walk.pass_over(question, "unknown")

    assert [stop.id for stop in walk.stops()] == ["no-fuse"]


def test_made_safe_is_no_question(bowser: Bench) -> None:
    walk = told_with(bowser, Seen("smoke", "seen"))
    walk.made_safe("smoked")
    assert (walk.questions, walk.minutes) == (0, 0)


@pytest.mark.parametrize("told", [(), (Seen("flow", "weak"),)])
def test_a_stop_that_does_not_stand_cannot_be_made_safe(
    bowser: Bench, told: tuple[Evidence, ...]
) -> None:
    with pytest.raises(NoSuchStop, match="No stop called 'too-hot' stands now; none does"):
        told_with(bowser, *told).made_safe("too-hot")


def test_a_battery_that_may_burst_is_not_talked_away(bowser: Bench) -> None:
    walk = told_with(bowser, Seen("battery-look", "swollen"))
    with pytest.raises(NoSuchStop, match="Leave the battery to somebody trained"):
        walk.made_safe("battery-may-burst")
    assert walk.question() is None


def test_without_a_stop_the_same_question_is_asked_under_power(bowser: Bench) -> None:
    """That the checks above can fail: the walk does ask for power where nothing stands."""
    walk = told_with(bowser, Seen("fuse-holder-heat", "warm"))
    question = walk.question()
    assert question is not None
    assert under_power(question.test)


def test_words_that_tell_of_a_danger_stop_the_work(bowser: Bench) -> None:
    """The sentences of tests/tables/plain_sentences.yaml that mean what raises a stop, and every
    complaint of the book that does."""
    table = Path(__file__).parents[2] / "tables" / "plain_sentences.yaml"
    raising = {str(item) for item in raisers(bowser)}
    rows = yaml.safe_load(table.read_text(encoding="utf-8"))["sentences"]
    told = [row["text"] for row in rows if _means_a_danger(row.get("means", ()), raising)]
    book = bowser.shop.catalogue
    told += [one.say for one in book.complaints.values() if _means_a_danger(_seen(one), raising)]
    assert len(told) > 30
    asked = 0
    for text in told:
        found = understand(text, book, bowser.hypotheses.facts, bowser.rig)
        walk = told_with(bowser, *(Seen(one.observation, one.option) for one in found.matches))
        assert walk.stops(), text
        if question := walk.question():
            assert not under_power(question.test), text
            asked += 1
    assert asked > 20


def _seen(complaint: Complaint) -> list[str]:
    return [f"{name}={option}" for name, option in complaint.seen.items()]


def _means_a_danger(means: Iterable[str], raising: Collection[str]) -> bool:
    return any(str(Seen(*one.split("="))) in raising for one in means)
