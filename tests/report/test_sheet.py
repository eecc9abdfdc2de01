"""A build sheet: everything that its builder needs, on paper and without a browser."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import pytest

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.network import points_on
from diagnose.circuit.rig import Rig, open_rig, read_rig
from diagnose.documents import parse
from diagnose.report.sheet import Sheet
from diagnose.report.sheet_html import sheet_html
from diagnose.report.sheet_parts import crimps, runs_of
from diagnose.report.sheet_text import WIDE, sheet_text

LISTED = """
name: spray trailer
battery: {kind: lithium, capacity: 100 A*h}
feed:
  - plug: {name: battery plug, rating: 50 A}
  - fuse: {rating: 25 A, distance: 6 in}
  - master_switch
  - relay: {contact: 80 A, coil: 90 ohm}
control:
  tap: fuse.out
  parts:
    - fuse: {rating: 3 A}
    - pressure_switch
pump: {current: 18 A, pressure: 60 psi, flow: 5 gal/min}
loads: [{name: second pump, at: fuse.out, current: 6 A}]
wire: {gauge: 10 AWG, length: 8 ft}
"""


def sheet_of(rig: Rig) -> Sheet:
    return Sheet(rig, for_rig(shipped_catalogue(), rig))


def listed() -> Rig:
    return read_rig(parse(LISTED, "trailer"))


RIGS: dict[str, Callable[[], Rig]] = {
    "bowser": lambda: open_rig("bowser"),
    "mist-bench": lambda: open_rig("mist-bench"),
    "listed": listed,
}


@pytest.mark.parametrize("name", RIGS)
def test_the_text_has_it_all_within_eighty_columns(name: str) -> None:
    rig = RIGS[name]()
    text = sheet_text(sheet_of(rig))
    lines = text.splitlines()
    assert max(map(len, lines)) <= WIDE
    for point in points_on(rig):
        assert point in text
    for title in (
        "PARTS",
        "WIRE, CRIMPS",
        "What it should read",
        "CHECKS",
        "TO LOOK AT",
        "CAUTIONS",
    ):
        assert any(line.upper().startswith(title.upper()) for line in lines), title
    assert "spanner" in text  # the battery's caution
    assert shipped_catalogue().cautions["local-codes"].text.strip() in " ".join(text.split())
    assert "________" in text
    plain = sheet_text(sheet_of(rig), ascii_only=True)
    assert plain.isascii()


def test_parts_come_with_their_ratings_and_wire_with_its_length() -> None:
    """28 ft out and back, and a tenth more: 30.8 ft, by hand. Six runs of power wire have twelve
    ends: lug to fuse, fuse to master, master to relay, relay to motor, motor to stud, stud to lug;
    four thin ones have eight."""
    said = " ".join(sheet_text(sheet_of(open_rig("bowser"))).split())
    for words in (
        "battery, 12 V, AGM 90 A h",
        "main fuse 20 A holder rated above it, within 5 in of the post",
        "relay 70 A contact coil 85 ohm",
        "pump, diaphragm 14 A 50 psi, 4 gal/min",
        "control fuse 3 A where fuse.out is tapped",
        "14 ft (4.27 m) out and 14 ft (4.27 m) back; buy 30.8 ft",
        "Crimps: 12 for 8 AWG and 8 for 1 mm2",
        "Fuses: 20 A and 3 A",
    ):
        assert words in said
    assert "hand switch" not in said  # nobody said that it has one


def test_a_listed_rig_names_its_parts_and_what_to_change() -> None:
    sheet = sheet_of(listed())
    said = " ".join(sheet_text(sheet).split())
    assert "battery plug 50 A breaks the minus too" in said
    assert "second pump 6 A at fuse.out" in said
    assert "lithium" in said
    assert "Swollen, hot, hissing" in said  # its own caution
    assert sheet.changes
    assert f"Change: {sheet.changes[0].name}." in said


def test_what_is_unsafe_stands_first() -> None:
    """A 60 A fuse before 14 AWG: three times what the boat tables let it carry."""
    rig = replace(open_rig("bowser"), main_fuse_rating=60.0, wire_area=2.08, wire_gauge="14 AWG")
    sheet = sheet_of(rig)
    assert sheet.changes[0].unsafe
    assert "NOT TO BE USED AS IT IS" in sheet_text(sheet)
    assert "NOT TO BE USED AS IT IS" in sheet_html(sheet)


class _Balanced(HTMLParser):
    """Notes tags that are closed wrongly, and all that is said."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.wrong: list[str] = []
        self.said = ""

    def handle_starttag(self, tag: str, attrs: object) -> None:
        if tag not in ("meta", "img", "br"):
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.wrong.append(tag)

    def handle_data(self, data: str) -> None:
        self.said += data


def test_the_page_is_whole_and_text_stays_text() -> None:
    rig = replace(open_rig("bowser"), name="<b>bowser</b> & co")
    page = sheet_html(sheet_of(rig))
    read = _Balanced()
    read.feed(page)
    assert read.wrong == read.open == []
    assert "Build sheet: <b>bowser</b> & co" in read.said
    assert page.count('class="sheet"') == 2
    assert "data:image/svg+xml" in page
    assert "@media print" in page
    assert "http://" not in page.replace("http://www.w3.org", "")


def test_its_crimps_are_two_ends_a_run() -> None:
    sheet = sheet_of(open_rig("mist-bench"))
    runs = [*runs_of(sheet.plan)]
    assert len(runs) == 6
    assert crimps(runs).startswith("Crimps: 12 for 4 mm2,")


def test_the_command_writes_text_and_pages_and_replaces_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from typer.testing import CliRunner

    from diagnose.terminal.app import app

    def call(*words: str) -> tuple[int, str]:
        done = CliRunner().invoke(app, ["rig", "sheet", "mist-bench", *words])
        return done.exit_code, " ".join(done.output.split())

    for name in ("sheet.txt", "sheet.html"):
        path = tmp_path / name
        assert call("--out", str(path))[0] == 0
        assert ("<html" in path.read_text("utf-8")) == name.endswith("html")
        assert call("--out", str(path))[0] == 2
    assert call("--out", str(tmp_path / "sheet.yaml"), "--force")[0] == 2
    status, said = call("--ascii")
    assert status == 0
    assert "Build sheet: propagation mist bench" in said
