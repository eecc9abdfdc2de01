"""The folder of cases: found, never overwritten, and readable beside broken files."""

from dataclasses import replace
from pathlib import Path

import pytest
from platformdirs.macos import MacOS
from platformdirs.unix import Unix

from diagnose.casebook.case_file import to_yaml
from diagnose.casebook.store import Casebook
from diagnose.errors import DiagnoseError


def test_the_folder_is_the_one_given_before_all_others(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.delenv("DIAGNOSE_CASEBOOK", raising=False)
    assert Casebook.open().folder == tmp_path / "data" / "diagnose" / "cases"

    (tmp_path / "cases").mkdir()
    assert Casebook.open().folder == Path("cases")

    monkeypatch.setenv("DIAGNOSE_CASEBOOK", str(tmp_path / "from the environment"))
    assert Casebook.open().folder == tmp_path / "from the environment"
    assert Casebook.open(tmp_path / "given").folder == tmp_path / "given"


@pytest.mark.parametrize(
    ("system", "folder"),
    [
        (MacOS, "home/Library/Application Support/diagnose"),
        (Unix, "home/.local/share/diagnose"),
    ],
)
def test_each_system_has_its_place_for_a_users_data(tmp_path, monkeypatch, system, folder):
    """Where casebooks of before the library was used lie. Source: the folders that each system's
    own guide names; XDG: a relative path is ignored."""
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("XDG_DATA_HOME", "not/absolute")

    assert system("diagnose", appauthor=False).user_data_path == tmp_path / folder


def test_a_file_is_no_casebook(tmp_path):
    (tmp_path / "cases").write_text("")

    with pytest.raises(DiagnoseError, match="a casebook is a folder, and this is a file"):
        Casebook.open(tmp_path / "cases")


def test_opening_a_casebook_creates_nothing(casebook):
    assert not casebook.folder.exists()
    assert casebook.cases().good == ()


def test_a_case_is_saved_in_the_folder_of_its_year(casebook, made):
    path = casebook.save(made(1))

    assert path == casebook.folder / "2026" / "2026-03-02-tree-watering-bowser-000001.yaml"
    assert path.read_text("utf-8") == to_yaml(made(1))
    assert {p.name for p in casebook.folder.rglob("*")} == {".lock", "2026", path.name}


def test_cases_come_back_oldest_first(casebook, made):
    for number in (3, 1, 2):
        casebook.save(made(number))

    assert list(casebook.cases()) == [made(1), made(2), made(3)]


def test_saving_a_case_again_replaces_it(casebook, made):
    casebook.save(made(1))
    casebook.save(made(1, notes="more"))

    assert [case.notes for case in casebook.cases()] == ["more"]


def test_another_case_is_never_overwritten(casebook, made):
    casebook.save(made(1))
    other = replace(made(2), id=made(1).id)

    with pytest.raises(DiagnoseError, match="another case is in this file; it stays"):
        casebook.save(other)
    assert casebook.cases().good == (made(1),)


def test_a_broken_file_is_never_overwritten(casebook, made):
    path = casebook.save(made(1))
    path.write_text("half of a")

    with pytest.raises(DiagnoseError, match=r"000001\.yaml"):
        casebook.save(made(1))
    assert path.read_text() == "half of a"


@pytest.mark.parametrize("name", ["../../2026-03-02-x", "2026-03-02-X", "", "2026-03-02-a/b"])
def test_an_id_cannot_lead_out_of_the_folder(casebook, made, name):
    with pytest.raises(DiagnoseError, match="is not the id of a case"):
        casebook.save(made(1, id=name))


def test_a_broken_file_is_named_and_hides_no_other(casebook, made):
    paths = [casebook.save(made(number)) for number in range(4)]
    paths[0].write_text(to_yaml(made(0)).replace("minutes: 12.5", "minutes: on"))
    paths[1].write_bytes(b"\xff\xfe")
    paths[2].rename(paths[2].with_name("2026-03-02-another-name.yaml"))

    loaded = casebook.cases()

    assert loaded.good == (made(3),)
    renamed, bare_on, binary = map(str, loaded.problems)
    assert "another-name.yaml, line 3, key id: the file is called" in renamed
    assert f"{paths[0]}, line 9, key minutes: a bare on can be read as true" in bare_on
    assert f"{paths[1]}, line 1: is not UTF-8 text" in binary


def test_a_case_is_found_by_a_part_of_its_id(casebook, made):
    casebook.save(made(10))
    casebook.save(made(11))

    assert casebook.find("00000a") == made(10).id
    assert casebook.find(made(11).id) == made(11).id
    with pytest.raises(DiagnoseError, match=r"'bowser' fits 2 cases \(2026.*\); say more"):
        casebook.find("bowser")
    with pytest.raises(DiagnoseError, match="there is no case called '2026-03-02-tree-watring"):
        casebook.find("2026-03-02-tree-watring-bowser-00000a")


def test_a_change_is_read_made_and_written_in_one(casebook, made):
    casebook.save(made(1))

    changed = casebook.update(made(1).id, lambda case: replace(case, notes=f"{case.notes}!"))

    assert changed == made(1, notes="!") == casebook.load(made(1).id)
