"""The command study: numbers checked before the long work, a report in a folder."""

import json

import pytest

from diagnose.errors import BadQuantity, DiagnoseError
from diagnose.terminal.handbook.quality import study


@pytest.mark.parametrize(
    ("cases", "seed", "wrong", "said"),
    [
        (0, 1, 0.05, "--cases: 0 cases: give a number from 1 to"),
        (10**9, 1, 0.05, "--cases"),
        (10, -1, 0.05, "--seed"),
        (10, 1, 5.0, "--wrong: 5: give a share of wrong answers from 0 to 0.5"),
        (10, 1, float("nan"), "--wrong"),
    ],
)
def test_numbers_out_of_range_are_refused_at_once(cases, seed, wrong, said):
    with pytest.raises(BadQuantity, match=said):
        study(cases=cases, seed=seed, wrong=wrong)


def test_a_folder_that_cannot_be_made_is_refused_before_the_work(tmp_path):
    (tmp_path / "file").write_text("")

    with pytest.raises(DiagnoseError, match="file"):
        study(cases=10, out=tmp_path / "file" / "out")


def test_a_study_of_one_case_writes_its_report(tmp_path, capsys):
    study(cases=1, seed=5, out=tmp_path / "out")

    shown = capsys.readouterr()
    assert shown.err == ""  # no progress bar where nobody sits
    assert (tmp_path / "out" / "report.md").read_text() == shown.out
    assert "Invented faults: 1, on 1 invented rigs, seed 5;" in shown.out
    whole = json.loads((tmp_path / "out" / "report.json").read_text())
    assert whole["summary"]["plan"] == whole["summary"]["plan"] | {"cases": 1, "seed": 5}
