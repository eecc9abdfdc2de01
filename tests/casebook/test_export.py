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
    values = [json.loads(line) for line in json_lines(cases, notes=True)]

    assert values == [json.loads(json.dumps(case_values(case))) for case in cases]


def test_notes_are_left_out_unless_asked_for(cases):
    quiet = ["".join(export(cases)) for export in (csv_lines, json_lines)]
    full = ["".join(export(cases, notes=True)) for export in (csv_lines, json_lines)]

    assert not any("Ask for the key" in text for text in quiet)
    assert all("Ask for the key at the gate." in text for text in full)
