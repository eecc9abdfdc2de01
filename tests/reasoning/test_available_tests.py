"""What somebody can do, from words; and that no more is asked of them."""

import pytest

from diagnose.bench import Bench
from diagnose.catalogue.load import shipped_catalogue
from diagnose.errors import UnknownName
from diagnose.outcome import conclude
from diagnose.reasoning.available_tests import EVERYTHING, Means, means_in_words
from diagnose.reasoning.evidence import Seen
from diagnose.walkthrough import Walk

KIT = shipped_catalogue().kit
SILENT = (Seen("pump-action", "silent"),)


def after(*said: str) -> Means:
    now = EVERYTHING
    for words in said:
        now = now.updated(words, KIT)
    return now


@pytest.mark.parametrize(
    ("said", "has", "lacks"),
    [
        (["phone"], {"bucket"}, {"voltmeter", "ohmmeter", "clamp", "lamp"}),
        (["no meter"], {"clamp", "lamp"}, {"voltmeter", "ohmmeter"}),
        (["phone", "a clamp"], {"clamp", "bucket"}, {"voltmeter"}),
        (["only voltmeter, lamp"], {"voltmeter", "lamp"}, {"ohmmeter", "tools", "bucket"}),
        (["without clamp and gauge"], {"voltmeter"}, {"clamp", "gauge"}),
        (["nothing", "I have a meter"], {"voltmeter", "ohmmeter"}, {"clamp", "tools"}),
        (["phone", "rig"], set(KIT.things), set()),
        (["no meter", "everything"], set(KIT.things), set()),
        (["Phone, test light"], {"lamp"}, {"voltmeter"}),
    ],
)
def test_what_is_said_is_what_one_can_do(said: list[str], has: set[str], lacks: set[str]) -> None:
    found = after(*said).lacks

    assert lacks <= found
    assert not has & found


def test_a_thing_that_nobody_knows_is_said_to_be_unknown() -> None:
    with pytest.raises(UnknownName, match="voltmeter"):
        after("voltmetr")


@pytest.mark.parametrize(
    ("said", "words"),
    [
        ([], "at the rig, with all that is asked for"),
        (["no meter"], "at the rig, without voltmeter, ohmmeter"),
        (["phone", "nothing"], "on the phone, with nothing but eyes and hands"),
    ],
)
def test_it_is_said_in_a_line(said: list[str], words: str) -> None:
    assert means_in_words(after(*said), KIT) == words


def test_who_has_no_meter_is_asked_for_no_reading(bowser: Bench) -> None:
    walk = Walk(bowser, SILENT, able="phone")
    asked = []
    while (question := walk.question()) is not None and len(asked) < 15:
        asked.append(question)
        walk.pass_over(question, "unknown")

    assert len(asked) > 5
    assert {one.reading for one in asked} == {None}
    assert all(walk.means.suffice_for(one.entry) for one in asked)


def test_what_is_told_over_the_phone_takes_longer(bowser: Bench) -> None:
    here, there = (Walk(bowser, SILENT, able=able) for able in ("", "phone"))

    opened, told = "pump-head-opened", "onset"
    assert there.ask(opened).minutes > 2 * here.ask(opened).minutes
    asking = bowser.model.figures.get("asking-time", "min")
    assert there.ask(told).minutes == here.ask(told).minutes + asking


def test_a_meter_given_up_comes_back_when_it_is_there_again(bowser: Bench) -> None:
    walk = Walk(bowser, SILENT)
    reading = "voltage battery+ battery- calling"
    for test in (reading, "voltage motor+ motor- calling"):
        walk.pass_over(walk.ask(test), "unknown")
    other = "voltage fuse.in fuse.out calling"

    assert other in walk.beyond_reach
    walk.can("a meter")
    assert other not in walk.beyond_reach
    walk.back()
    assert other in walk.beyond_reach


def test_the_first_reading_to_borrow_parts_two_likely_faults(bowser: Bench) -> None:
    told = (*SILENT, Seen("relay-sound", "one-click"), Seen("main-fuse-element", "intact"))
    walk = Walk(bowser, told, able="phone")

    found = conclude(walk).borrow

    assert found is not None
    assert found.needs
    assert {*found.needs} <= walk.means.lacks
    (a, reads_a), (b, reads_b) = found.either, found.other
    likely = [name for name, _ in conclude(walk).ranking[:8]]
    assert {a, b} <= set(likely)
    sound = walk.bench.shop.catalogue.quantities[found.reading.quantity]
    assert abs(reads_a - reads_b) > 5 * sound.absolute


def test_nothing_is_to_be_borrowed_where_everything_is_there(bowser: Bench) -> None:
    assert conclude(Walk(bowser, SILENT)).borrow is None


def test_said_unasked_it_counts_and_can_be_taken_back(bowser: Bench) -> None:
    walk = Walk(bowser, SILENT)
    before = walk.belief().ranking

    step = walk.take(Seen("main-fuse-element", "open"))

    assert walk.questions == 0
    assert walk.minutes == 0
    assert dict(walk.belief().ranking)["main-fuse-blown"] > dict(before)["main-fuse-blown"]
    assert walk.back() == step
    assert walk.belief().ranking == before


def test_a_note_moves_nothing_and_is_kept(bowser: Bench) -> None:
    walk = Walk(bowser, SILENT)
    before = walk.belief().ranking

    walk.note("it rained  all night")

    assert walk.notes == ("it rained all night",)
    assert walk.belief().ranking == before
    assert walk.questions == 0
