"""At the rig: answers from the circuit, minutes as the walk counts them, and what is stopped."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.circuit.reading_words import reading_of
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Changed, Found, MadeSafe, Session, Stopped
from diagnose.errors import DiagnoseError
from diagnose.reasoning.evidence import Measured, Seen
from diagnose.walkthrough import NoSuchStop

Work = Callable[..., Session]


def test_a_reading_is_what_the_circuit_gives_within_the_meters_error(at_work: Work) -> None:
    """Of a fuse that has blown, so that the reading holds still."""
    session = at_work("volts fuse holder", "volts fuse holder", seed=8)
    first, second = (one.item for one in session.found)
    assert isinstance(first, Measured)
    assert isinstance(second, Measured)
    scene = session.scenario.truth.scene
    true = float(scene.circuits.predict(first.reading)[0][0])
    assert abs(first.value - true) < 0.05 * abs(true) + 0.1
    assert first.value != second.value


def test_minutes_are_those_of_the_book_with_a_minute_for_asking(at_work: Work) -> None:
    """1 min for asking, 0.5 min for each change of state, 2 min to fetch the meter for the first
    reading (knowledge/figures/reasoning.yaml)."""
    session = at_work("volts fuse holder", "isolate", "ohms coil", "volts fuse holder calling")
    assert [one.minutes for one in session.done] == [4.0, 0.5, 3.0, 2.5]
    assert session.minutes == pytest.approx(10.0)
    assert session.state == "calling"


def test_naming_the_state_brings_the_rig_there(at_work: Work) -> None:
    session = at_work("ohms coil isolated")
    assert isinstance(session.done[0], Found)
    assert session.state == "isolated"


def test_what_is_stopped_counts_and_finds_nothing(at_work: Work) -> None:
    session = at_work("ohms coil", "jumper 30 87 unfused", "volts 30 30")
    assert [one.dangerous for one in session.stopped] == [True, True, False]
    assert session.found == ()
    assert session.minutes == pytest.approx(1.5)


def test_a_slip_of_the_keys_costs_nothing(at_work: Work) -> None:
    session = at_work()
    with pytest.raises(DiagnoseError):
        session.do("volts of what")
    assert session.done == []


def test_the_rules_stop_what_may_not_be_done_now(at_work: Work) -> None:
    """R103: nothing behind an open main fuse is tried."""
    session = at_work("look fuse", "try lamp", mode="main-fuse-blown")
    assert session.found[0].answer == "open"
    stopped = session.stopped[0]
    assert (stopped.name, stopped.dangerous) == ("R103", False)
    assert "main fuse is open" in stopped.because


@pytest.fixture
def smelt(hidden_in: Callable[..., Scenario]) -> Session:
    """A burnt pressure switch of which the customer said that it smells burnt."""
    seeds = (hidden_in("bowser", "pressure-switch-burnt", 1, seed) for seed in range(12))
    return Session(next(one for one in seeds if one.told.seen.get("smell") == "burnt"))


def test_after_a_burnt_smell_power_counts_as_dangerous(smelt: Session) -> None:
    """The look alone gives no power back: what got hot has to be found and cold."""
    for act in ("volts motor", "jumper 30 87 fused", "bench motor"):
        stopped = smelt.do(act)
        assert isinstance(stopped, Stopped)
        assert (stopped.name, stopped.dangerous) == ("burnt-smell", True)
        assert "until what got hot has been found and is cold" in stopped.because
    for look in ("look fuse holder", "look wiring"):
        assert isinstance(smelt.do(look), Found)
    assert isinstance(smelt.do("volts motor"), Stopped)


def test_once_it_is_made_safe_the_readings_go_on(smelt: Session) -> None:
    """Making safe takes the minutes of one change of state (knowledge/figures/reasoning.yaml)."""
    assert smelt.do("safe") == MadeSafe("safe", ("burnt-smell",), 0.5)
    assert smelt.stops() == ()
    assert isinstance(smelt.do("volts motor"), Found)
    assert smelt.raised() == ("burnt-smell",)


def test_nobody_calls_the_pump_while_a_stop_stands(smelt: Session) -> None:
    for state in ("call", "satisfy", "unplug"):
        stopped = smelt.do(state)
        assert isinstance(stopped, Stopped)
        assert stopped.dangerous
    assert smelt.do("battery off") == Changed("battery off", "isolated", 0.5)
    assert isinstance(smelt.do("ohms motor isolated"), Found)


def test_what_nothing_ends_cannot_be_made_safe(at_work: Work) -> None:
    session = at_work()
    session.walk.tell([Seen("battery-look", "swollen")])
    for act in ("volts battery", "battery off", "look fuse holder", "ask fuse"):
        stopped = session.do(act)
        assert isinstance(stopped, Stopped)
        assert (stopped.name, stopped.dangerous) == ("battery-may-burst", True)
    with pytest.raises(NoSuchStop, match="Leave the battery to somebody trained"):
        session.do("safe")
    assert len(session.done) == 4


def test_there_is_nothing_to_make_safe_where_nothing_stands(at_work: Work) -> None:
    session = at_work()
    with pytest.raises(NoSuchStop, match="there is nothing to make safe"):
        session.do("safe")
    assert session.done == []


BRIDGED = (
    Seen("pump-action", "normal"),
    Seen("main-fuse-element", "open"),
    Seen("main-fuse-history", "holds"),
    Seen("onset", "after-work-on-it"),
    Measured(reading_of("voltage fuse.in fuse.out calling"), 0.17),
)
"""A pump that runs through an open fuse, of which nobody has seen yet what bridges it."""


def test_what_the_ranking_suspects_stops_nothing(at_work: Work) -> None:
    """R219 stops the work once a bridged fuse leads the ranking: that would give it away."""
    session = at_work()
    session.walk.told = BRIDGED
    assert session.walk.belief().ranking[0][0] == "main-fuse-missing"
    assert [stop.id for stop in session.walk.stops()] == ["no-fuse"]
    assert session.stops() == ()
    stopped = session.do("jumper pressure switch fused")
    assert "no-fuse" not in getattr(stopped, "name", "")


def test_the_rating_is_read_on_the_fuse(at_work: Work) -> None:
    """The bowser's fuse is a 20 A one; a bridge has no rating."""
    assert at_work("look fuse").found[0].note == "It is marked 20 A."
    assert "no fuse" in at_work("look fuse", mode="main-fuse-missing").found[0].note
    larger = at_work("look fuse", mode="main-fuse-overrated").found[0].note
    assert float(larger.split()[3]) > 30


def test_changes_of_state_are_told(at_work: Work) -> None:
    session = at_work()
    assert session.do("rest") == Changed("rest", "rest", 0.5)
    assert session.do("rest") == Changed("rest", "rest", 0.0)


def test_what_the_customer_told_is_what_one_sees(
    drawn_on: Callable[..., Scenario],
) -> None:
    for seed in range(4):
        scenario = drawn_on("bowser", 2, seed)
        assert scenario.told.seen
        for name, option in scenario.told.seen.items():
            assert scenario.answer(scenario.bench.tests[name]) == option


def test_one_of_several_listed_parts_too_hot_stops_the_work(
    hidden_in: Callable[..., Scenario],
) -> None:
    """Rules speak of a kind of part, answers of each part by its name."""
    session = Session(hidden_in("spray-trailer", "fuse-holder-corroded"))
    session.walk.tell([Seen("part-heat@battery-plug", "too-hot-to-hold")])

    assert [stop.id for stop in session.stops()] == ["too-hot"]
    assert session.walk.stops()[0].id == "too-hot"
    assert isinstance(session.do("call"), Stopped)
