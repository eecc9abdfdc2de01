"""The commands rig check, draw, new and size."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import pytest
from typer.testing import Result

from diagnose.circuit.rig import open_rig
from diagnose.design.describe import ENTRIES
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

    assert "1 unsafe" in text
    assert "20 A / 0.7 = 28.57 A" in text
    assert "Do: Fit a relay: 30 to the master switch" in text
    assert "From: Small pressure switches" in text
    assert "The same rig with a relay:" in text
    assert "relay.87a" in text


def test_the_table_fits_80_columns_and_40(
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
    assert "1 unsafe" in done.stdout
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


# --- new ------------------------------------------------------------------------------------------


def test_enter_all_the_way_makes_a_rig_that_passes(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"

    done = run("rig", "new", str(path), typed="hose reel\n16 A\n" + "\n" * 20)

    assert done.exit_code == 0, done.stderr
    rig = open_rig(str(path))
    assert (rig.name, rig.pump_current, rig.assumed) == ("hose reel", 16, ())
    assert run("rig", "check", str(path)).exit_code == 0


def test_answers_can_be_taken_back_and_nonsense_is_asked_again(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    typed = "hose reel\n16 V\nabc\n?\nwhy\n9 A\nback\n7\n" + "\n" * 20

    done = run("rig", "new", str(path), typed=typed)

    assert done.exit_code == 0, done.stderr
    assert "'16 V'" in done.stdout
    assert open_rig(str(path)).pump_current == 7


def test_a_file_that_is_there_stays(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    path.write_text("mine")

    done = run("rig", "new", str(path))

    assert done.exit_code == 2
    assert "already" in done.stderr
    assert path.read_text() == "mine"


def test_a_file_name_is_asked_for_until_one_is_free(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("hose-reel.yaml").write_text("mine")

    done = run("rig", "new", typed="Hose reel\n4 A\n" + "\n" * 10 + "hose-reel.yaml\n\n")

    assert done.exit_code == 0, done.stderr
    assert "already" in done.stdout
    assert "Written: hose-reel-2.yaml" in done.stdout
    assert Path("hose-reel.yaml").read_text() == "mine"


def test_leaving_writes_nothing(run: Run, tmp_path: Path) -> None:
    for typed in ("hose reel\nquit\n", "hose reel\n"):
        done = run("rig", "new", str(tmp_path / "new.yaml"), typed=typed)

        assert done.exit_code == 130
        assert not list(tmp_path.iterdir())


def test_a_file_that_cannot_be_written_is_named_again_and_nothing_is_lost(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    done = run("rig", "new", typed="Hose reel\n4 A\n" + "\n" * 10 + "no/such/x.yaml\nreel.yaml\n")

    assert done.exit_code == 0, done.stderr
    assert "no/such/x.yaml: cannot be written: there is no such folder" in " ".join(
        done.stdout.split()
    )
    assert open_rig("reel.yaml").pump_current == 4


def test_back_at_the_file_goes_to_the_last_question(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "no" / "such"
    typed = "Hose reel\n4 A\n" + "\n" * 10 + f"back\n33 A*h\n{tmp_path / 'reel.yaml'}\n"

    done = run("rig", "new", str(folder / "x.yaml"), typed=typed)

    assert done.exit_code == 0, done.stderr
    assert open_rig(str(tmp_path / "reel.yaml")).battery_capacity == 33


def test_unknown_leaves_a_value_open_and_the_file_says_so(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"

    done = run("rig", "new", str(path), typed="unknown\n" * 20)

    assert done.exit_code == 0, done.stderr
    assert "It cannot be left open: 10 A is taken." in done.stdout
    assert "not known" in path.read_text()
    assert "pump.pressure" in open_rig(str(path)).assumed


def test_every_question_has_a_help_and_a_reason(run: Run, tmp_path: Path) -> None:
    done = run("rig", "new", str(tmp_path / "new.yaml"), typed="?\nwhy\n\n" * len(ENTRIES))

    assert done.exit_code == 0, done.stderr
    for entry in ENTRIES:
        _, helped, told, *_ = done.stdout.split(f"{entry.key}, Enter for")
        for answer in (helped, told):
            assert len(answer.split("\n", 1)[1].strip()) > 15, entry.key


def test_a_folder_called_like_a_bundled_rig_does_not_hide_it(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("bowser").mkdir()

    assert run("rig", "draw", "bowser").exit_code == 0
