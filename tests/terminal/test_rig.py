"""The commands rig check, draw and size."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest
from typer.testing import Result

from diagnose.circuit.rig import open_rig
from diagnose.design.drawing import draw, healthy_volts

Run = Callable[..., Result]

HOSE_CART = """
# Invented.
name: hose cart
topology: direct
pump: {current: 20 A}
wire: {gauge: 8 AWG, length: 7 ft}
"""


@pytest.fixture
def hose_cart(tmp_path: Path) -> str:
    """A rig whose pressure switch carries 20 A."""
    path = tmp_path / "hose-cart.yaml"
    path.write_text(HOSE_CART)
    return str(path)


# --- check ----------------------------------------------------------------------------------------


def test_a_sound_rig_has_status_0_and_an_unsafe_one_1(run: Run, hose_cart: str) -> None:
    assert run("rig", "check", "bowser").exit_code == 0
    assert run("rig", "check", hose_cart).exit_code == 1


def test_the_unsafe_finding_is_told_with_sums_cure_source_and_the_circuit_that_cures_it(
    run: Run, hose_cart: str
) -> None:
    text = " ".join(run("rig", "check", hose_cart).stdout.split())

    assert "Do not use it as it is: 1 unsafe" in text
    assert "20 A / 0.7 = 28.57 A" in text
    assert "Do: Fit a relay: 30 to the master switch" in text
    assert "From: Small pressure switches" in text
    assert "The same rig with a relay:" in text
    assert "relay.87a" in text


def test_what_must_change_comes_first_with_what_to_do_and_why(run: Run, hose_cart: str) -> None:
    done = run("rig", "check", hose_cart, "--duty", "3 h", "--insulation", "60")
    text = " ".join(done.stdout.split())

    order = (
        "Do not use it as it is",
        "Unsafe: change it before the pump runs again",
        "Do: Fit a relay",
        "Why: The pressure switch carries the motor itself",
        "This rig: 20 A. Wanted:",
        "Should change: it will disappoint",
        "battery size",
        "In order",
        "fuse distance: ",
        "Before you change anything",
        "To look at, since no sum shows it",
        "Where the volts go",
    )
    places = [text.find(words) for words in order]
    assert places == sorted(places)
    assert places[0] > 0


@pytest.mark.parametrize("rig", ["bowser", "mist-bench", "orchard-cart"])
def test_what_is_in_order_does_not_read_as_a_failure(run: Run, rig: str) -> None:
    done = run("rig", "check", rig)

    assert "!" not in done.stdout
    told = done.stdout.partition("\nIn order\n")[2].partition("\n\n")[0]
    assert 0 < len(told.splitlines()) < 14
    assert not [word for word in ("limit", "Wanted", "unsafe") if word in told]
    assert ("By its sums it is well built" in done.stdout) == (rig == "bowser")


def test_the_screen_fits_80_columns_and_40(
    run: Run, hose_cart: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for width in (80, 40):
        monkeypatch.setenv("COLUMNS", str(width))
        for rig in (hose_cart, "bowser", "header-tank", "mist-bench"):
            lines = run("rig", "check", rig).stdout.splitlines()
            assert max(len(line.rstrip()) for line in lines) <= width


def test_json_holds_findings_volts_and_wire(run: Run, hose_cart: str) -> None:
    record = json.loads(run("rig", "check", hose_cart, "--json").stdout)

    assert (record["type"], record["unsafe"]) == ("check", True)
    assert record["findings"][0]["id"] == "switch-carries-motor"
    assert record["findings"][0]["severity"] == "unsafe"
    assert record["wire"][0]["3 %"]["sizes"] == ["10 AWG", "6 mm2"]
    points = [stretch["points"] for stretch in record["stretches"]]
    assert (points[0][0], points[-1][1]) == ("battery+", "battery-")
    assert "chafe-guarded" in [item["id"] for item in record["checklist"]]


def test_how_the_wire_lies_changes_the_verdict(run: Run) -> None:
    """8 AWG of 60 degC in air of 50 degC, 25 in a bundle: 55 A x 0.58 x 0.4 = 12.76 A."""
    where = ("--insulation", "60", "--air", "50 degC", "--bundle", "25")

    done = run("rig", "check", "bowser", *where)

    assert done.exit_code == 1
    assert "55 A x 0.58 (warm air) x 0.4 (bundle) = 12.76 A" in " ".join(done.stdout.split())


def test_the_checklist_is_asked_one_by_one_and_a_no_counts(run: Run) -> None:
    typed = "yes\nno\n\nunknown\nquit\n"

    done = run("rig", "check", "bowser", "--ask", typed=typed)

    assert done.exit_code == 1
    assert "Do not use it as it is: 1 unsafe" in done.stdout
    assert "positive post covered" in done.stdout
    assert "strapped" not in done.stdout.split("To look at")[1]
    assert "lugs bolted on" in done.stdout.split("To look at")[1]


def test_an_answer_to_the_checklist_can_be_taken_back(run: Run) -> None:
    done = run("rig", "check", "bowser", "--ask", typed="back\nyes\nno\nback\nyes\nquit\n")

    assert done.exit_code == 0
    assert "This is the first question." in done.stdout
    assert done.stdout.count("2 of ") == 2
    assert "positive post covered" not in done.stdout.split("To look at")[1]


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["rig", "check", "bower"], "bowser"),
        (["rig", "check", "bowser", "--insulation", "100"], "insulation class"),
        (["rig", "check", "bowser", "--air", "300"], "out of range"),
        (["rig", "check", "bowser", "--bundle", "many"], "--bundle"),
        (["rig", "check", "bowser", "--duty", "2 V"], "--duty"),
        (["rig", "draw", "bowser", "--reading", "motor+"], "two test points"),
        (["rig", "draw", "bowser", "--reading", "motor+ moter-"], "motor-"),
        (["rig", "draw", "mist-bench", "--reading", "relay.86 relay.85"], "relay.86"),
        (["rig", "draw", "bowser", "--svg", "no/such/folder/x.svg"], "cannot be written"),
        (["rig", "size", "--current", "16 V", "--length", "12 ft"], "16 V"),
        (["rig", "size", "--current", "0", "--length", "12 ft"], "out of range"),
        (["rig", "size", "--current", "16", "--length", "12", "A", "ft", "V"], "'V'"),
    ],
)
def test_a_mistake_is_one_sentence_and_status_2(run: Run, words: list[str], told: str) -> None:
    done = run(*words)

    assert done.exit_code == 2
    assert told in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1


# --- size -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "words",
    [
        ["--current", "16 A", "--length", "12 ft"],
        ["--current", "16", "A", "--length", "12", "ft"],
        ["--length", "12", "--current", "16"],
        ["--current", "16000", "mA", "--length", "3.6576", "m"],
    ],
)
def test_a_size_with_units_in_quotes_or_not(run: Run, words: list[str]) -> None:
    done = run("rig", "size", *words)

    assert done.exit_code == 0
    assert "Run 8 AWG or 10 mm2, out and back." in done.stdout
    assert "Behind a 20 A fuse nothing thinner than 16 AWG or 1.5 mm2" in done.stdout
    assert "10.75 x 16 A x 24 ft / 0.36 V = 11467 CM" in done.stdout


def test_a_size_as_json(run: Run) -> None:
    """By hand: 10.75 x 16 x 18 / 0.36 = 8600 CM, / 1.2 = 2580 CM; fuse 17.6 to 20 A."""
    record = json.loads(run("rig", "size", "--current", "16", "--length", "9", "--json").stdout)

    assert record["wire"] == ["10 AWG", "6 mm2"]
    assert record["fuse"] == [20.0, 20.0]
    assert record["lengths"][0]["10 %"]["sizes"] == ["14 AWG", "2.5 mm2"]


# --- draw -----------------------------------------------------------------------------------------


def test_the_drawing_on_the_screen_with_probes_and_volts(run: Run) -> None:
    rig = open_rig("header-tank")
    probes = {"fuse.in": "RED", "fuse.out": "BLK"}

    words = ("--reading", "voltage fuse.in fuse.out calling", "--expect", "--ascii")
    done = run("rig", "draw", "header-tank", *words)

    drawn = draw(rig, 80, True, probes, healthy_volts(rig))
    assert done.stdout.rstrip("\n") == drawn


def test_a_picture_is_written(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "bowser.svg"

    done = run("rig", "draw", "bowser", "--svg", str(path), "--expect")

    assert done.exit_code == 0
    root = ElementTree.parse(path).getroot()
    assert root.tag.endswith("svg")
    assert "tree-watering bowser" in " ".join(root.itertext())


def test_a_folder_called_like_a_bundled_rig_does_not_hide_it(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("bowser").mkdir()

    assert run("rig", "draw", "bowser").exit_code == 0
