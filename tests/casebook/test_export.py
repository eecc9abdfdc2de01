"""Cases for other programs."""

import csv
import io
import json

import pytest

from diagnose.casebook.case_file import case_values
from diagnose.casebook.export import csv_lines, json_lines
from diagnose.casebook.record import ReadAt, Verification
from diagnose.circuit.reading_words import reading_of


@pytest.fixture
def cases(made, mended):
    drop = reading_of("voltage fuse.in fuse.out calling")
    return [
        made(1, notes="Ask for the key at the gate.", complaint=('nothing, "at all"', "relay")),
        mended(2, verification=Verification(drop, 0.05, 0.03, 0.138), parts=("fuse", "holder")),
        mended(3, "not-in-the-book", true_words="=SUM(A1)", parts=("-1", "@x")),
    ]


def read_csv(lines):
    return list(csv.DictReader(io.StringIO("".join(lines), newline="")))


def test_csv_has_a_heading_and_a_row_a_case(cases):
    """Read back by Python's csv, an implementation of RFC 4180."""
    first, second, _ = read_csv(csv_lines(cases))

    assert first["id"] == cases[0].id
    assert first["opened"] == "2026-03-02 10:00:00 UTC"
    assert first["complaint"] == 'nothing, "at all"; relay'
    assert first["seen"] == "relay-sound=chatters"
    assert first["read"] == "voltage fuse.in fuse.out calling = 4.5 V"
    assert (first["cause"], first["probability"]) == ("fuse-holder-corroded", "0.75")
    assert (first["true_cause"], first["closed"], first["verification"]) == ("", "", "")
    assert second["verification"] == "voltage fuse.in fuse.out calling = 0.05 V"
    assert second["parts"] == "fuse; holder"


def test_readings_go_out_as_they_were_typed(made):
    drop = reading_of("voltage fuse.in fuse.out calling")
    read = ReadAt(drop, 4.0, 0.03, 0.138, "high", typed="about 4 V")
    case = made(1, read=(read,), verification=Verification(drop, 0.05, 0.0, 0.1, typed="0.050 V"))

    (row,) = read_csv(csv_lines([case]))
    assert row["read"] == "voltage fuse.in fuse.out calling = about 4 V"
    assert row["verification"] == "voltage fuse.in fuse.out calling = 0.050 V"
    assert json.loads(next(json_lines([case])))["read"][0]["typed"] == "about 4 V"


def test_csv_lines_end_as_rfc_4180_has_it(cases):
    assert all(line.endswith("\r\n") and line.count("\n") == 1 for line in csv_lines(cases))


def test_a_text_that_a_spreadsheet_would_calculate_is_defused(cases):
    row = read_csv(csv_lines(cases))[2]

    assert row["true_words"] == "'=SUM(A1)"
    assert row["parts"] == "'-1; @x"


def test_json_lines_say_what_the_files_say(cases):
    values = [json.loads(line) for line in json_lines(cases)]

    assert values == [json.loads(json.dumps(case_values(case))) for case in cases]


OWN_WORDS = {
    "notes": "Ask for the key at the gate.",
    "complaint": ("Pump at the dovecote goes like treacle", "relay-chatters"),
    "true_words": "Slug in the float",
    "root_cause": "Gate boy hosed it down",
    "root_cause_seen": True,
    "parts": ("blue fuse from the tin",),
}


@pytest.mark.parametrize("export", [csv_lines, json_lines])
@pytest.mark.parametrize("field", OWN_WORDS)
def test_own_words_are_left_out_unless_asked_for(mended, shop, export, field):
    case = mended(3, "not-in-the-book", **(OWN_WORDS | {"true_words": "Slug in the float"}))
    text = OWN_WORDS[field]
    said = text if isinstance(text, str) else str(text[0]) if isinstance(text, tuple) else "true"

    quiet = "".join(export([case], shop.catalogue))
    full = "".join(export([case]))

    if field != "root_cause_seen":
        assert said in full
        assert said not in quiet
    assert "relay-chatters" in quiet


def test_what_the_book_says_stays(made, shop):
    mode = shop.catalogue.failure_modes["fuse-holder-corroded"]
    case = made(1, root_cause=" ".join(mode.root_causes[0].cause.split()), parts=(mode.parts[0],))

    values = json.loads(next(json_lines([case], shop.catalogue)))

    assert values["root_cause"] == case.root_cause
    assert values["parts"] == [mode.parts[0]]


@pytest.mark.parametrize("sign", "=+-@＝＋－＠﹦﹢﹣﹫⁼⁺⁻−\t\r\n")
def test_no_width_of_a_sign_begins_a_formula(made, sign):
    """The signs are those of the Open Worldwide Application Security Project's page on injection
    into CSV (from memory), with the small, raised and double forms that Unicode equates to them."""
    (row,) = read_csv(csv_lines([made(1, notes=f"{sign}1+1", parts=(f" {sign}1",))]))

    assert row["notes"].startswith("'")
    assert row["parts"].startswith("'")
