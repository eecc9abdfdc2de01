"""The study of records at its smallest: what is written down when new is the sound rig's."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.bench import Bench
from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.reading_selection import select_readings
from diagnose.simulate.truth import Truth
from tests.study.research import HOME, OTHER_WORLD
from tests.tools.study_record.__main__ import bands, by_chance
from tests.tools.study_record.off_band import STATES, off_band
from tests.tools.study_record.played import NEW, drawn, recorded, when_new


@pytest.mark.parametrize("world", [HOME, OTHER_WORLD])
def test_the_record_is_of_the_rig_before_it_failed(
    bench_of: Callable[[str], Bench], world: str
) -> None:
    """A pump that does not turn takes no current; when it was new it took that of its label."""
    bench = bench_of("mist-bench")
    rig = drawn(bench, "motor-winding-open", (1, 2, 3), world)
    own = recorded(bench, rig, select_readings(bench.shop.catalogue, bench.model))
    read = {item.id: item.value for item in own.on(NEW)}
    assert len(read) >= 6
    amps = read["current motor-feed calling"]
    assert amps == pytest.approx(bench.rig.pump_current, rel=0.5)


def test_another_day_has_another_charge(bench_of: Callable[[str], Bench]) -> None:
    rig = drawn(bench_of("mist-bench"), "motor-winding-open", (1, 2, 3), HOME)
    assert isinstance(rig, Truth)
    new = when_new(rig)
    assert isinstance(new, Truth)
    rest = reading_of("voltage battery+ battery- rest")
    then, now = (one.scene.circuits.predict(rest)[0][0] for one in (new, rig))
    assert then != pytest.approx(now, abs=1e-4)
    for name in ("coil", "motor.back_emf", "feed_1"):
        assert new.scene.batch[name][0] == rig.scene.sound[name][0]


@pytest.mark.parametrize(("one", "other", "chance"), [(0, 5, 0.0625), (3, 3, 1.0), (0, 0, 1.0)])
def test_a_split_by_chance(one: int, other: int, chance: float) -> None:
    """Two tails of the binomial with a half: 2 x 1/32."""
    assert by_chance(one, other) == pytest.approx(chance)


def test_every_state_is_read_by_both_bands() -> None:
    found = [*off_band(1, 1)]
    assert [one.state for one in found] == [*STATES]
    assert all(one.read >= 6 and max(one.book, one.own) <= one.read for one in found)
    assert len(bands(found)) == 1 + len(STATES)
