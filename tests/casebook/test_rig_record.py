"""The record of a rig on the disk: beside its file, strict, only added to."""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from diagnose.bench import Bench
from diagnose.casebook import rig_record
from diagnose.casebook.journal import Journal
from diagnose.casebook.outputs import write_out
from diagnose.casebook.rig_record import (
    NoPlace,
    add_readings,
    copied,
    own_file,
    read_record,
    readings_beside,
    record_path,
    rig_file_for,
)
from diagnose.casebook.store import Casebook
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.rig import Rig, open_rig
from diagnose.errors import BadDocument, DiagnoseError, Mistakes, Place
from diagnose.reasoning.commissioning import AlreadyRecorded, CommissioningRecord
from diagnose.reasoning.evidence import Measured, parse_reading
from diagnose.walkthrough import Walk

RIG = "name: hose trolley\ntopology: direct\ncontrol: manual\npump: {current: 6 A}\n"
NEW, LATER = date(2026, 5, 3), date(2026, 6, 1)
DROP, AMPS = "voltage fuse.in fuse.out calling = 0.05 V", "current motor-feed calling = 6.1 A"


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "trolley.yaml"
    path.write_text(RIG, "utf-8")
    return path


@pytest.fixture
def rig(file: Path) -> Rig:
    return open_rig(str(file))


def items(rig: Rig, *lines: str) -> list[Measured]:
    return [parse_reading(one, shipped_catalogue(), rig, Place("test")) for one in lines]


def test_it_stands_beside_the_rig_and_is_read_back(file: Path, rig: Rig) -> None:
    path, whole = add_readings(file, rig, NEW, items(rig, DROP, AMPS))
    assert path == record_path(file) == file.with_name("trolley.record.yaml")
    assert readings_beside(str(file), rig) == whole
    assert [item.typed for item in whole.on(NEW)] == ["6.1 A", "0.05 V"]
    assert file.read_text("utf-8") == RIG


def test_a_rig_without_a_record_has_none(file: Path, rig: Rig) -> None:
    assert readings_beside(str(file), rig) is None
    assert readings_beside("bowser", open_rig("bowser")) is None
    file.with_name("trolley.record.yaml").write_text("rig: hose trolley\nrecord: []\n", "utf-8")
    assert readings_beside(str(file), rig) is None


def test_what_stands_there_stays_remarks_too(file: Path, rig: Rig) -> None:
    path, _ = add_readings(file, rig, NEW, items(rig, DROP))
    path.write_text(path.read_text("utf-8") + "# the holder was changed in June\n", "utf-8")
    before = path.read_text("utf-8")
    _, whole = add_readings(file, rig, LATER, items(rig, DROP))
    assert path.read_text("utf-8").startswith(before.rstrip())
    assert whole.dates == ("2026-05-03", "2026-06-01")
    _, whole = add_readings(file, rig, NEW, items(rig, AMPS))
    assert len(whole.on(NEW)) == 2
    assert read_record(path, rig) == whole


def test_another_value_of_the_same_day_is_refused(file: Path, rig: Rig) -> None:
    path, _ = add_readings(file, rig, NEW, items(rig, DROP))
    before = path.read_text("utf-8")
    with pytest.raises(AlreadyRecorded, match=r"already, as 0\.05 V; it stays"):
        add_readings(file, rig, NEW, items(rig, DROP.replace("0.05", "0.09")))
    assert path.read_text("utf-8") == before
    add_readings(file, rig, NEW, items(rig, DROP))
    assert path.read_text("utf-8") == before


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("rig: another\nrecord: []\n", "line 1, key rig: is of 'another', and the rig beside it"),
        ("record: []\n", "key rig: this key is needed here and is missing"),
        (
            "rig: hose trolley\nrecord:\n  - taken: yesterday\n    read: []\n",
            "line 3, key record[1].taken: 'yesterday' is not a day",
        ),
        (
            "rig: hose trolley\nrecord:\n  - taken: '2026-05-03'\n    read:\n"
            "    - voltage relay.30 lug- calling = 12 V\n",
            "line 5, key record[1].read[1]: voltage relay.30 lug-, asked to run: this rig has no",
        ),
        (
            f"rig: hose trolley\nrecord:\n  - taken: '2026-05-03'\n    read:\n    - {AMPS}\n"
            f"    - {AMPS.replace('6.1', '7')}\n",
            "line 6, key record[1].read[2]: current motor-feed calling is in the record of",
        ),
        (
            "rig: hose trolley\nrecord: []\nnots: x\n",
            "line 3, key nots: there is no key called 'nots'",
        ),
    ],
)
def test_a_slip_is_named_with_its_line(file: Path, rig: Rig, text: str, said: str) -> None:
    record_path(file).write_text(text, "utf-8")
    with pytest.raises(Mistakes) as caught:
        readings_beside(str(file), rig)
    assert f"trolley.record.yaml, {said}" in str(caught.value)


def test_what_cannot_be_added_to_is_left_alone(file: Path, rig: Rig) -> None:
    text = "{rig: hose trolley, record: []}\n"
    record_path(file).write_text(text, "utf-8")
    with pytest.raises(BadDocument, match="add the readings there by hand"):
        add_readings(file, rig, NEW, items(rig, DROP))
    assert record_path(file).read_text("utf-8") == text


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no pipes")
def test_a_pipe_or_a_link_to_nowhere_is_named(file: Path, rig: Rig) -> None:
    os.mkfifo(record_path(file))
    with pytest.raises(DiagnoseError, match="should be a file, and is a pipe"):
        readings_beside(str(file), rig)
    record_path(file).unlink()
    record_path(file).symlink_to(file.with_name("gone"))
    with pytest.raises(DiagnoseError, match="this link leads nowhere"):
        readings_beside(str(file), rig)


def test_a_full_disk_leaves_the_record_as_it_was(
    file: Path, rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, _ = add_readings(file, rig, NEW, items(rig, DROP))
    before = path.read_text("utf-8")

    def refuse(*_: object) -> None:
        raise DiagnoseError("the disk is full")

    monkeypatch.setattr(rig_record, "write_whole", refuse)
    with pytest.raises(DiagnoseError, match="full"):
        add_readings(file, rig, LATER, items(rig, DROP))
    assert path.read_text("utf-8") == before


def test_a_bundled_rig_needs_a_copy_in_a_folder_of_ones_own(tmp_path: Path, file: Path) -> None:
    assert own_file("bowser") is None
    with pytest.raises(NoPlace, match="name a folder with --into"):
        rig_file_for("bowser", None)
    with pytest.raises(NoPlace, match="take --into away"):
        rig_file_for(str(file), tmp_path)
    path = rig_file_for("bowser", tmp_path)
    assert copied("bowser", tmp_path) == path
    assert open_rig(str(path)) == open_rig("bowser")
    path.write_text(RIG, "utf-8")
    assert copied("bowser", tmp_path) == path
    assert path.read_text("utf-8") == RIG  # what is there stays


def test_a_page_never_replaces_a_record(file: Path, rig: Rig) -> None:
    path, _ = add_readings(file, rig, NEW, items(rig, DROP))
    other = path.rename(path.with_name("trolley.txt"))
    with pytest.raises(DiagnoseError, match="is a rig's own readings, and stays"):
        write_out(other, "page", force=True)


def test_a_walk_is_gone_on_with_against_the_same_readings(bowser: Bench, tmp_path: Path) -> None:
    """The journal has the readings in it, so that it needs nothing beside itself."""
    read = items(bowser.rig, "current motor-feed calling = 12.1 A")
    own = CommissioningRecord().with_day(NEW, read)
    casebook, asked = Casebook.open(tmp_path / "cases"), list[object]()
    journal = Journal.start(casebook, Walk(replace(bowser, own=own)))
    journal.close()

    def bench_of(*given: object) -> Bench:
        asked.extend(given)
        return bowser

    Journal.resume(journal.path, bench_of, casebook).close()
    assert asked == [bowser.rig, own]
