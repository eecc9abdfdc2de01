"""No voltage above that of the battery's posts, by Kirchhoff's voltage law."""

from __future__ import annotations

import pytest

from diagnose.bench import Bench, Shop
from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.consistency import voltages_above_battery
from diagnose.reasoning.evidence import Evidence, Seen, check_reading

POSTS = "voltage battery+ battery- calling = 11.0 V"
MOTOR = "voltage motor+ motor- calling"


def read(bowser: Bench, text: str) -> Evidence:
    what, _, value = text.partition("=")
    return check_reading(bowser.shop.catalogue, bowser.rig, reading_of(what.strip()), value.strip())


def found(bowser: Bench, shop: Shop, *texts: str, seen: Evidence | None = None) -> list[str]:
    items = [*(read(bowser, text) for text in texts), *([seen] if seen else [])]
    return [one.id for one, *_ in voltages_above_battery(items, shop.catalogue)]


@pytest.mark.parametrize("volts", ["14.9 V", "12.0 V", "-14.9 V", "11.4 V"])
def test_more_than_the_posts_show(bowser: Bench, shop: Shop, volts: str) -> None:
    assert found(bowser, shop, POSTS, f"{MOTOR} = {volts}") == [MOTOR]


@pytest.mark.parametrize("volts", ["10.4 V", "11.0 V", "11.1 V", "11 V", "about 12 V", "-11.0 V"])
def test_no_more_than_meters_and_rounding_leave_open(bowser: Bench, shop: Shop, volts: str) -> None:
    """Two meters of 0.5 % and 0.02 V each, as common practice has them for cheap ones, and the last
    digit that was given."""
    assert found(bowser, shop, POSTS, f"{MOTOR} = {volts}") == []


def test_only_in_the_same_state(bowser: Bench, shop: Shop) -> None:
    assert found(bowser, shop, POSTS, "voltage lug+ lug- rest = 12.7 V") == []


def test_a_charger_may_feed_it_too(bowser: Bench, shop: Shop) -> None:
    high = f"{MOTOR} = 14.1 V"
    for option, expected in (("runs-better", []), ("no-change", []), ("not-tried", [MOTOR])):
        seen = Seen("charging-source-effect", option)
        assert found(bowser, shop, POSTS, high, seen=seen) == expected
