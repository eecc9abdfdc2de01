"""The command expect: what every test point should read, sound and with one fault."""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import pytest
from typer.testing import Result

from diagnose.bench import Bench, Shop
from diagnose.circuit.meter import Reading
from diagnose.reasoning.expectations import fault_in

Run = Callable[..., Result]


@pytest.fixture
def expected(run: Run) -> Callable[..., dict[str, Any]]:
    """The JSON object of a call."""

    def call(*words: str) -> dict[str, Any]:
        done = run("expect", *words, "--json")
        assert done.exit_code == 0, done.stderr
        record: dict[str, Any] = json.loads(done.stdout, parse_constant=pytest.fail)
        return record

    return call


ROUND = (
    *("battery+", "lug+", "fuse.in", "fuse.out", "master.in", "master.out"),
    *("relay.30", "relay.87", "motor+", "motor-", "ground", "lug-"),
)


def test_volts_fall_all_the_way_round_the_circuit(
    expected: Callable[..., dict[str, Any]],
) -> None:
    """Kirchhoff's voltage law: along the current, every test point is below the one before."""
    along = {line["points"][0]: line["value"] for line in expected("bowser")["along"]}

    volts = [along[point] for point in ROUND]

    assert all(after < before for before, after in pairwise(volts))
    assert volts[-1] > 0


def test_drops_and_volts_against_the_lug_agree(expected: Callable[..., dict[str, Any]]) -> None:
    """Kirchhoff's voltage law: the drop across a part is the difference of its two ends."""
    read = {line["read"]: line["value"] for line in expected("bowser")["readings"]}

    across = read["voltage fuse.in fuse.out calling"]
    ends = read["voltage fuse.in lug- calling"] - read["voltage fuse.out lug- calling"]

    assert across == pytest.approx(ends, abs=1e-4)


def test_every_value_lies_in_its_band(expected: Callable[..., dict[str, Any]]) -> None:
    record = expected("header-tank")

    for line in [*record["along"], *record["readings"]]:
        low, high = line["expected"]
        assert low <= line["value"] <= high, line["read"]


def test_a_fault_is_marked_where_it_shows(expected: Callable[..., dict[str, Any]]) -> None:
    record = expected("bowser", "--fault", "fuse-holder-corroded")

    differs = {line["read"] for line in record["readings"] if line["differs"]}
    assert "voltage fuse.in fuse.out calling" in differs
    assert "voltage master.in master.out calling" not in differs
    assert record["fault"]["failure_mode"] == "fuse-holder-corroded"
    assert record["fault"]["blown"] == []


def test_a_severer_fault_shows_more(expected: Callable[..., dict[str, Any]]) -> None:
    drops = []
    for severity in ("mild", "middling", "severe"):
        record = expected("bowser", "--fault", "fuse-holder-corroded", "--severity", severity)
        lines = {line["read"]: line["faulty"] for line in record["readings"]}
        drops.append(lines["voltage fuse.in fuse.out calling"])

    assert drops == sorted(drops)
    assert drops[0] < 1 < drops[-1]


def test_a_short_is_shown_with_the_fuse_it_has_blown(
    expected: Callable[..., dict[str, Any]],
) -> None:
    record = expected("bowser", "--fault", "feed-wire-shorted", "--severity", "severe")

    lines = {line["read"]: line for line in record["readings"]}
    assert record["fault"]["blown"] == ["main_fuse"]
    assert lines["voltage motor+ motor- calling"]["faulty"] == pytest.approx(0, abs=0.05)
    assert lines["resistance fuse.out ground"]["differs"]


@pytest.mark.parametrize(
    ("rig", "without"), [("mist-bench", "relay.30"), ("header-tank", "pswitch.in")]
)
def test_only_points_that_the_rig_has(run: Run, rig: str, without: str) -> None:
    text = run("expect", rig).stdout

    assert "motor+" in text
    assert without not in text


def test_every_failure_mode_can_be_shown(bench_of: Callable[[str], Bench], shop: Shop) -> None:
    bench = bench_of("mist-bench")
    for mode in bench.hypotheses.modes:
        fault = fault_in(shop.catalogue, bench.model, mode, "middling")
        volts = fault.circuits.predict(Reading("voltage", ("battery+", "battery-"), "calling"))[0]
        assert abs(volts[0]) < 16, mode


def test_the_table_stands_on_a_narrow_screen_too(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")

    done = run("expect", "bowser", "--fault", "fuse-holder-corroded")

    lines = done.stdout.splitlines()
    place = lines.index(next(line for line in lines if line.startswith("voltage fuse.in fuse.out")))
    assert max(map(len, lines)) <= 40
    assert "mV (" in lines[place + 1]
    assert lines[place + 2].strip().endswith("<")
