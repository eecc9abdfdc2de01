"""A label: nothing goes beyond its edge, text stays text, and its code is the standard's."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from diagnose.circuit.rig import bundled_rigs, open_rig
from diagnose.report.fitting import Letters, broken, is_known
from diagnose.report.label_svg import NARROWEST, WIDEST
from diagnose.report.qr import MOST_BYTES, code_of
from tests.report.labels import NAMES, Printed, Word, drawn, worst

WIDTHS = (NARROWEST, 79.0, 80.0, 100.0, WIDEST)


@pytest.fixture(scope="module")
def font() -> Callable[[Word], float]:
    """How wide a line is in the widest of the usual plain letters: DejaVu, as matplotlib has it."""
    ttf = Path(pytest.importorskip("matplotlib").get_data_path()) / "fonts" / "ttf"
    fonts = pytest.importorskip("PIL.ImageFont")
    named = {bold: str(ttf / f"DejaVuSans{'-Bold' * bold}.ttf") for bold in (False, True)}
    known: dict[bool, Any] = {bold: fonts.truetype(name, 1000) for bold, name in named.items()}
    return lambda word: known[word.bold].getlength(word.said) * word.size / 1000


def assert_inside(label: Printed, measure: Callable[[Word], float]) -> None:
    width, height = label.size
    for word in label.words:
        assert word.y - word.size >= 2, word
        assert word.y + 0.3 * word.size <= height, word
        start, end = word.ends(word.pressed or measure(word))
        assert start >= 2, word
        assert end <= width - 2, word


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", bundled_rigs())
def test_nothing_of_a_bundled_rig_goes_beyond_the_edge(
    name: str, width: float, font: Callable[[Word], float]
) -> None:
    found = drawn(open_rig(name), width)
    assert_inside(found, font)
    assert "…" not in found.said


@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("name", ["worst", *NAMES])
def test_nothing_of_a_strange_one_does(
    name: str, width: float, font: Callable[[Word], float]
) -> None:
    rig = worst() if name == "worst" else replace(open_rig("bowser"), name=NAMES[name])
    found = drawn(rig, width, f"https://example.org/{'W' * 150}")
    assert_inside(found, font)
    assert found.said.isprintable()
    assert not found.root.findall(".//{*}script")


def test_more_fuses_than_have_room_are_counted() -> None:
    found = drawn(worst(), 100)
    assert "7 more: see diagnose rig sheet." in found.said
    assert sum(word.said == "20 A" for word in found.words) == 8 - ("25 A" in found.said)


def test_a_name_is_broken_cut_and_stays_text() -> None:
    rig = replace(open_rig("bowser"), name=NAMES["markup"])
    words = [word.said for word in drawn(rig, 200).words]
    assert NAMES["markup"] in words
    long = replace(rig, name=NAMES["wide"])
    lines = [word.said for word in drawn(long, 60).words if set(word.said) <= {*"Ww…"}]
    assert len(lines) == 3
    assert lines[-1].endswith("…")


def test_no_letter_is_wider_than_it_is_taken_for(font: Callable[[Word], float]) -> None:
    """Against the font itself: every sign of Latin, Greek and the Cyrillic in use that it has."""
    for bold in (False, True):
        for number in (*range(0x20, 0x7F), *range(0xA1, 0x460)):
            sign = chr(number)
            if sign.isprintable() and is_known(sign):
                real = font(Word(sign, 1.0, bold, 0, 0, "start", None))
                assert real <= Letters(1.0, bold).width(sign) + 0.005, sign


def test_a_number_stays_with_its_unit() -> None:
    letters = Letters(1.0)
    for width in range(8, 40):
        lines = broken("a pump of 14 A and 1 mm2 of wire", letters, float(width), 99)
        assert " ".join(lines) == "a pump of 14 A and 1 mm2 of wire"
        assert not any(line[-1].isdigit() and line[-1] != "2" for line in lines)


# --- the code -------------------------------------------------------------------------------------


def codewords(matrix: np.ndarray) -> list[int]:
    """The codewords of a symbol of version 1 with mask pattern 010, read as ISO/IEC 18004 has it:
    columns in pairs from the right, up and down in turn, without the column of the timing pattern;
    under this mask a module is turned over where its column is a multiple of three."""
    other = np.zeros((21, 21), bool)
    other[:9, :9] = other[:9, 13:] = other[13:, :9] = True
    other[6, :] = other[:, 6] = True
    bits = []
    for pair, right in enumerate((20, 18, 16, 14, 12, 10, 8, 5, 3, 1)):
        rows = range(20, -1, -1) if pair % 2 == 0 else range(21)
        cells = ((row, column) for row in rows for column in (right, right - 1))
        bits += [int(matrix[at]) ^ (at[1] % 3 == 0) for at in cells if not other[at]]
    return [int("".join(map(str, map(int, bits[n : n + 8]))), 2) for n in range(0, len(bits), 8)]


def test_the_library_writes_the_standards_own_example() -> None:
    """ISO/IEC 18004, annex I: 01234567 as version 1-M with mask pattern 010 (from memory)."""
    segno = pytest.importorskip("segno")
    made = segno.make_qr("01234567", version=1, error="m", mask=2, boost_error=False)
    data = (0x10, 0x20, 0x0C, 0x56, 0x61, 0x80, *(0xEC, 0x11) * 5)
    correction = (0xA5, 0x24, 0xD4, 0xC1, 0xED, 0x36, 0xC7, 0x87, 0x2C, 0x55)
    assert codewords(np.array([list(row) for row in made.matrix])) == [*data, *correction]


def test_a_label_shows_the_librarys_code() -> None:
    """Modules and size: version 3 has 29 of them, ISO/IEC 18004, table 1 (from memory)."""
    segno = pytest.importorskip("segno")
    address = "https://example.org/garden/rigs/bowser"
    label = drawn(open_rig("bowser"), 100, address)
    made = segno.make_qr(address, error="l")
    assert made.version == 3
    assert label.dark.shape == (29, 29)
    assert label.dark.tolist() == [list(row) for row in made.matrix]
    assert label.module == pytest.approx(30 / 37, abs=1e-4)


def test_what_the_largest_code_holds() -> None:
    """Version 40-L: 2,953 bytes on 177 modules, ISO/IEC 18004, tables 1 and 7 (from memory)."""
    largest = code_of("x" * MOST_BYTES)
    assert largest
    assert len(largest.rows) == 177
    assert code_of("x" * (MOST_BYTES + 1)) is None
    assert (
        code_of("é" * (MOST_BYTES // 2) + "x") is None
    )  # who says that it is UTF-8 takes room too
    assert code_of("") is None
