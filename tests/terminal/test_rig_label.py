"""The command rig label: what it writes and where, and what a phone reads of it."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from rich.console import Console
from typer.testing import Result

from diagnose.circuit.rig import bundled_rigs, open_rig, read_rig
from diagnose.documents import parse
from diagnose.terminal.plain import Screen
from tests.report.labels import Printed, printed

Run = Callable[..., Result]
ADDRESS = "https://example.org/garden/rigs/tree-watering-bowser?of=label&n=1"


def labelled(run: Run, *words: str) -> Printed:
    done = run("rig", "label", *words)
    assert done.exit_code == 0, done.output
    assert done.stderr == ""
    assert done.stdout.isascii()
    return printed(done.stdout)


def test_it_says_what_whoever_stands_at_the_rig_has_to_know(run: Run) -> None:
    """Its figures are those of the rig file and of `diagnose expect`."""
    said = labelled(run, "bowser").said
    for words in (
        "tree-watering bowser",
        "20 A main fuse, within 5 in of the post",
        "3 A control fuse, where fuse.out is tapped",
        "8 AWG to the motor and back, 1 mm2 to the coil",
        "master switch; relay, 70 A contact, coil 85 ohm",
        "In the coil's line pressure switch",
        "Switch off before you touch a wire; local codes go first.",
    ):
        assert words in said, words
    assert "…" not in said
    expected = " ".join(run("expect", "bowser").stdout.split())
    for name, label in (
        ("voltage battery+ battery-", "Battery, all off: battery+ battery-"),
        ("voltage motor+ motor-", "Motor: motor+ motor-"),
        ("voltage motor- battery-", "Lost on the way back: motor- battery-"),
    ):
        band = re.search(rf"{re.escape(label)} (\S+ to \S+) ", said)
        assert band, label
        assert re.search(rf"{re.escape(name)} \S+ m?V {re.escape(band[1])}", expected), label


def test_a_phone_reads_the_address(run: Run) -> None:
    found = labelled(run, "bowser", "--address", ADDRESS)
    assert found.scanned == ADDRESS
    assert "https://example.org" in found.said


@pytest.mark.parametrize("name", bundled_rigs())
def test_a_phone_reads_the_rig_file(run: Run, name: str) -> None:
    """On a label of the usual width every bundled rig fits, with modules of at least 0.396 mm: GS1
    General Specifications, 5.12.3.1 (from memory)."""
    found = labelled(run, name)
    assert read_rig(parse(found.scanned, "scanned")) == open_rig(name)
    assert found.module >= 0.396


def test_letters_beyond_ascii_come_through(run: Run, tmp_path: Path) -> None:
    rig = tmp_path / "kaethe.yaml"
    rig.write_text(
        'name: "Käthe, 灌水 # 2"\ntopology: direct # Rosa\npump: {current: 7 A} # R # 2\n', "utf-8"
    )
    found = labelled(run, str(rig))
    assert read_rig(parse(found.scanned, "scanned")) == open_rig(str(rig))
    assert found.scanned.count("#") == 1  # remarks stay in the workshop
    assert "Käthe, 灌水 # 2" in found.said


def test_what_does_not_fit_is_said_with_what_to_do(run: Run, tmp_path: Path) -> None:
    plugs = "".join(f"  - plug: {{name: plug number {n}, rating: 50 A}}\n" for n in range(30))
    rig = tmp_path / "many.yaml"
    head = "name: many\nfeed:\n  - fuse: {rating: 10 A}\n"
    rig.write_text(f"{head}{plugs}  - hand_switch\npump: {{current: 7 A}}\n", "utf-8")
    done = run("rig", "label", str(rig))
    assert done.exit_code == 0
    assert not printed(done.stdout).root.findall(".//{*}path")
    (line,) = done.stderr.splitlines()
    assert "--address URL" in line
    wider = re.search(r"say --width (\d+) ", line)
    assert wider
    assert labelled(run, str(rig), "--width", wider[1]).scanned.startswith("name: many")
    assert run("rig", "label", str(rig), "--width", str(int(wider[1]) - 2)).stderr


def test_an_address_that_no_code_holds_is_refused(run: Run) -> None:
    """The largest code, 40-L, holds 2,953 bytes: ISO/IEC 18004, table 7 (from memory)."""
    for size, width, words in (
        (2000, "100", "say --width"),
        (2953, "100", "say --width"),
        (2954, "200", "2,953 bytes"),
    ):
        address = "https://example.org/".ljust(size, "x")
        refused = run("rig", "label", "bowser", "--address", address, "--width", width)
        assert refused.exit_code == 2
        assert refused.stdout == ""
        assert words in refused.stderr
        assert "give a shorter one" in refused.stderr
    assert (
        labelled(run, "bowser", "--address", address[:-1], "--width", "200").scanned
        == (address[:-1])
    )


@pytest.mark.parametrize(
    "wrong",
    [
        ("--address", "not an address"),
        ("--address", "example.org/pump"),
        ("--address", "https://example.org/Käthe"),
        ("--address", "https://example.org/\x1b[31m"),
        ("--width", "20"),
        ("--width", "1 m"),
        ("--width", "wide"),
    ],
)
def test_a_mistake_is_told_in_a_line(run: Run, wrong: tuple[str, str]) -> None:
    done = run("rig", "label", "bowser", *wrong)
    assert done.exit_code == 2
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1
    assert done.stderr.startswith(wrong[0])
    assert done.stderr.rstrip("\n").isprintable()


def test_its_width_may_be_told_in_any_unit(run: Run) -> None:
    """An inch is 25.4 mm: ISO 80000-3 (from memory)."""
    assert labelled(run, "bowser", "--width", "4 in").size[0] == 101.6


def test_in_a_terminal_it_goes_into_a_file(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    screen = Screen(Console(file=io.StringIO(), force_terminal=True, width=80), drawn=False)
    monkeypatch.setattr(Screen, "standard", lambda: screen)
    Path("shed").mkdir()
    Path("shed/cart.yaml").write_text("topology: direct\nname: c\npump: {current: 7 A}\n", "utf-8")
    assert run("rig", "label", "shed/cart.yaml").exit_code == 0
    before = Path("cart-label.svg").read_text("ascii")
    assert printed(before).size[0] == 100
    assert run("rig", "label", "shed/cart.yaml", "--width", "150").exit_code == 2
    assert Path("cart-label.svg").read_text("ascii") == before
    assert run("rig", "label", "shed/cart.yaml", "--width", "150", "--force").exit_code == 0
    assert printed(Path("cart-label.svg").read_text("ascii")).size[0] == 150


def test_what_is_unsafe_or_guessed_is_said(run: Run, tmp_path: Path) -> None:
    """A pressure switch that carries 20 A, and a fuse that no file tells."""
    rig = tmp_path / "hose-cart.yaml"
    rig.write_text("name: hose cart\ntopology: direct\npump: {current: 20 A}\n", "utf-8")
    said = labelled(run, str(rig)).said
    assert "NOT TO BE USED AS IT IS" in said
    assert "Taken as usual, not told by the rig file: wire gauge, main fuse rating" in said


def test_readings_of_its_own_stand_in_place_of_the_books(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("cart.yaml").write_text("topology: direct\nname: c\npump: {current: 7 A}\n", "utf-8")
    amps = ("--read", "current motor-feed calling = 6.1 A", "--on", "2026-05-03")
    before = labelled(run, "cart.yaml").said
    assert run("rig", "record", "cart.yaml", *amps).exit_code == 0
    after = labelled(run, "cart.yaml").said
    assert "By the book" in before
    assert "2026-05-03" in after
    assert before.split("current")[1][:20] != after.split("current")[1][:20]
