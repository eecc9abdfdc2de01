"""What the rules have found, as a fitter says it: in order, with the figures."""

from __future__ import annotations

import pytest

from diagnose.bench import Bench
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.rule_records import PARTS, ThenFinding
from diagnose.circuit.reading_words import reading_of
from diagnose.outcome import conclude
from diagnose.reasoning.evidence import Evidence, Seen, check_reading
from diagnose.reasoning.explanation import MOST, FindingSentence, best_supported
from diagnose.walkthrough import Walk

RETURN = "voltage motor- lug- calling"
MOTOR = "voltage motor+ motor- calling"
BATTERY = "voltage battery+ battery- calling"


def said(bench: Bench, *told: Seen, **read: str) -> list[str]:
    return [one.text for one in found(bench, *told, **read)]


def found(bench: Bench, *told: Seen, **read: str) -> tuple[FindingSentence, ...]:
    """What is said of these readings; each is named as one of this module's."""
    book, names = bench.shop.catalogue, {"back": RETURN, "motor": MOTOR, "battery": BATTERY}
    items: list[Evidence] = [
        check_reading(book, bench.rig, reading_of(names[name]), text) for name, text in read.items()
    ]
    return conclude(Walk(bench, (*told, *items))).findings


def test_a_loss_is_said_with_its_volts(bowser: Bench) -> None:
    assert said(bowser, back="2.2 V") == [
        "2.2 V are lost in the return, from the motor to the battery."
    ]


def test_and_of_how_many_where_that_is_known(bowser: Bench) -> None:
    """12.4 V at the battery less 10.0 V at the motor are 2.4 V; Kirchhoff's voltage law."""
    slow = Seen("pump-action", "slow")

    assert said(bowser, slow, back="2.2", motor="10.0", battery="12.4") == [
        "The motor gets only 10.0 V and runs slowly.",
        "2.2 V of 2.4 V are lost in the return.",
    ]


def test_the_figure_is_the_one_that_was_typed(bowser: Bench) -> None:
    assert said(bowser, back="about 2") == [
        "about 2 V are lost in the return, from the motor to the battery."
    ]


def test_volts_that_do_not_add_up_are_not_taken_from_each_other(bowser: Bench) -> None:
    """More at the motor than at the battery is a slip: no share is worked out of it."""
    assert said(bowser, back="2.2", motor="10.0", battery="9.0") == [
        "2.2 V are lost in the return, from the motor to the battery."
    ]


def test_the_supply_is_said_first_and_the_water_last(bowser: Bench) -> None:
    order = [PARTS.index(one.part) for one in found(bowser, back="2.2", battery="11.0")]
    told = (Seen("air-in-suction", "bubbles"), Seen("other-loads", "weak-too"))
    told += (Seen("relay-sound", "chatters"), Seen("time-pattern", "at-random-with-movement"))
    parts = [one.part for one in found(bowser, *told, back="2.2", battery="11.0")]

    assert order == sorted(order)
    assert parts == sorted(parts, key=PARTS.index)
    assert (parts[0], parts[-1]) == ("supply", "water")


def test_a_screen_shows_those_that_rest_on_most(bowser: Bench) -> None:
    told = (Seen("air-in-suction", "bubbles"), Seen("relay-sound", "chatters"))
    told += (Seen("other-loads", "weak-too"), Seen("time-pattern", "at-random-with-movement"))
    everything = found(bowser, *told, Seen("wire-heat", "warm"), back="2.2", battery="11.0")

    shown = best_supported(everything)
    left = [one for one in everything if one not in shown]
    assert len(shown) == MOST < len(everything)
    assert min(one.rests_on for one in shown) >= max(one.rests_on for one in left)
    assert list(shown) == [one for one in everything if one in shown]


def test_nothing_is_said_where_nothing_is_found(bowser: Bench) -> None:
    assert found(bowser) == ()


@pytest.mark.parametrize("rule", [one for one in shipped_rules() if one.finding])
def test_every_finding_of_the_book_is_said(rule: object) -> None:
    then = rule.then  # type: ignore[attr-defined]
    assert isinstance(then, ThenFinding)
    assert then.part in PARTS
    assert then.says.endswith(".")
    assert len(then.said("12.34 V" for _ in then.figures)) <= 160
