"""Trade short forms become tests of the book, readings of our own, or what is stopped."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.bench import Bench
from diagnose.drill.acts import Change, Do, MakeSafe, Stop, act_of
from diagnose.drill.offers import candidates, offers, short_form
from diagnose.drill.session import Session
from diagnose.drill.words import NotAnAct, shipped_words, words_on
from diagnose.errors import UnknownName
from diagnose.reasoning.evidence import NotOnThisRig, Seen
from tests.once import RIGS

WORDS = shipped_words()


@pytest.mark.parametrize("rig", RIGS)
def test_every_test_of_the_book_can_be_typed(rig: str, bench_of: Callable[[str], Bench]) -> None:
    bench = bench_of(rig)
    words = words_on(WORDS, bench.shop.catalogue, bench.rig)
    for test in bench.tests.values():
        act = act_of(short_form(test, words), bench, words, "calling")
        assert isinstance(act, Do)
        assert act.test == test


@pytest.mark.parametrize(
    ("typed", "test"),
    [
        ("volts 30 87 calling", "voltage relay.30 relay.87 calling"),
        ("Volts from 30 to 87, satisfied", "voltage relay.30 relay.87 satisfied"),
        ("voltage fuse.in fuse.out calling", "voltage fuse.in fuse.out calling"),
        ("drop across the fuse holder", "voltage fuse.in fuse.out calling"),
        ("volts 87", "voltage relay.87 lug- calling"),
        ("volts battery motor", "voltage battery+ motor+ calling"),
        ("volts return", "voltage motor- battery- calling"),
        ("volts 87 30", "voltage relay.30 relay.87 calling"),
        ("volts 87a 85", "voltage relay.87a relay.85 calling"),
        ("ohms coil isolated", "resistance relay.86 relay.85"),
        ("amps motor", "current motor-feed calling"),
        ("inrush motor", "peak-current motor-feed calling"),
        ("temp holder", "temperature fuse-holder"),
        ("psi satisfied", "pressure outlet satisfied"),
        ("bucket", "flow-rate outlet calling"),
        ("look fuse holder", "fuse-holder-look"),
        ("swap relay", "swap-relay"),
        ("relay-sound", "relay-sound"),
        ("jumper 30 87 15 A", "jumper-relay-contact"),
        ("hot wire 30 87 fused", "jumper-relay-contact"),
        ("bridge pressure switch 3A", "jumper-pressure-switch"),
    ],
)
def test_short_forms(typed: str, test: str, bowser: Bench) -> None:
    act = act_of(typed, bowser, WORDS, "calling")
    assert isinstance(act, Do)
    assert act.test.id == test


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("ohms coil", "ohms-on-live"),
        ("jumper 30 87 unfused", "unfused-jumper"),
        ("jumper 30 87 40 A", "oversized-jumper"),
        ("jumper pswitch 20 A", "oversized-jumper"),
        ("jumper fuse fused", "bridged-fuse"),
        ("bridge the control fuse", "bridged-fuse"),
        ("jumper battery 10 A", "short-circuit"),
        ("jumper 87 ground fused", "short-circuit"),
        ("jumper motor+ motor- fused", "short-circuit"),
        ("fit fuse 30 A", "larger-fuse"),
        ("bigger fuse", "larger-fuse"),
        ("amps battery+ battery-", "amps-across"),
        ("spark test", "short-circuit"),
    ],
)
def test_what_could_hurt_somebody_is_stopped(typed: str, name: str, bowser: Bench) -> None:
    assert act_of(typed, bowser, WORDS, "calling") == Stop(name, dangerous=True)


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("volts 30 30", "same-point"),
        ("fit fuse 20 A", "new-fuse"),
        ("jumper master fused", "no-jumper"),
    ],
)
def test_what_can_show_nothing_is_stopped(typed: str, name: str, bowser: Bench) -> None:
    assert act_of(typed, bowser, WORDS, "calling") == Stop(name, dangerous=False)


def test_ohms_need_no_word_once_the_battery_is_off(bowser: Bench) -> None:
    assert act_of("battery off", bowser, WORDS, "calling") == Change("isolated")
    assert isinstance(act_of("ohms coil", bowser, WORDS, "isolated"), Do)


def test_a_direct_rig_takes_the_main_fuse_as_limit_for_a_jumper(
    bench_of: Callable[[str], Bench],
) -> None:
    """Its pressure switch carries the motor: 10 A may be bridged there, on the bowser 3 A."""
    act = act_of("jumper pswitch 10 A", bench_of("mist-bench"), WORDS, "calling")
    assert isinstance(act, Do)


@pytest.mark.parametrize(
    ("typed", "error", "words"),
    [
        ("", NotAnAct, "volts 30 87"),
        ("volts", NotAnAct, "two points or one part"),
        ("volts 30 85 86", NotAnAct, "two points"),
        ("jumper 30 87", NotAnAct, "Which fuse"),
        ("swop relay", NotAnAct, "swap relay"),
        ("volts bananas 87", UnknownName, "bananas"),
        ("volts float", NotOnThisRig, "float.in"),
        ("move float", NotOnThisRig, "float-by-hand"),
        ("ohms coil calling", NotAnAct, "isolated"),
        ("volts 30 87 isolated", NotAnAct, "battery off"),
        ("temp banana", UnknownName, "banana"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_sentence(
    typed: str, error: type[Exception], words: str, bowser: Bench
) -> None:
    with pytest.raises(error, match=words):
        act_of(typed, bowser, WORDS, "calling")


def test_a_begun_line_is_completed(bowser: Bench) -> None:
    found = candidates("volts 86", bowser, WORDS)
    assert "volts 86 85 asked" in found
    assert all(line.startswith("volts 86") for line in found)
    assert candidates("nothing like it", bowser, WORDS) == ()


@pytest.mark.parametrize("typed", ["safe", "Made safe", "make it safe", "make the rig safe"])
def test_what_says_that_a_stop_was_dealt_with(typed: str, bowser: Bench) -> None:
    assert act_of(typed, bowser, WORDS, "calling") == MakeSafe()


def test_the_list_can_be_asked_for_a_word(at_work: Callable[..., Session]) -> None:
    session = at_work()
    assert len(offers(session)) == len(session.scenario.bench.tests)
    about = [offer.typed for offer in offers(session, "strainer")]
    assert about == ["look strainer"]


def test_the_list_leaves_out_what_a_stop_keeps_off(at_work: Callable[..., Session]) -> None:
    """By the state of the rig that each test names: what is fed is not offered."""
    session = at_work()
    session.walk.tell([Seen("fuse-holder-heat", "too-hot-to-hold")])
    typed = {offer.typed for offer in offers(session)}
    tests = session.scenario.bench.tests.values()
    fed = {short_form(t, WORDS) for t in tests if t.state in ("calling", "satisfied", "unplugged")}
    assert len(fed) > 40
    assert not typed & fed
    assert {"look fuse holder", "ohms fuse in fuse out isolated"} <= typed
