"""Figures: read in the unit asked for, and every slip of every file said at once."""

from pathlib import Path

import pytest

from diagnose.errors import Mistakes, UnknownName
from diagnose.figures import load_figures

LEAK = "figures:\n  leak: {value: 5 mohm, about: a, source: s, basis: estimate}\n"
SIZES = """\
tables:
  sizes:
    about: a
    columns: {kind: "1", area: mm^2}
    source: s
    basis: estimate
    rows: [[thin, 1], [thick, 2.5]]
"""


def test_figure_comes_in_the_unit_asked_for(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(LEAK + SIZES, "utf-8")

    figures = load_figures(tmp_path)

    assert figures.get("leak", "ohm") == pytest.approx(0.005)
    assert figures.table("sizes").column("area") == (1.0, 2.5)
    assert figures.table("sizes").row("thick") == {"area": 2.5}
    with pytest.raises(KeyError, match="no row 'broad'"):
        figures.table("sizes").row("broad")


def test_a_figure_that_was_taken_out_is_asked_for_by_name(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(LEAK + SIZES, "utf-8")
    figures = load_figures(tmp_path)

    with pytest.raises(UnknownName, match=r"no figure called 'leaks'\. Did you mean 'leak'"):
        figures.get("leaks", "ohm")
    with pytest.raises(UnknownName, match=r"no figure called 'size'\. Did you mean 'sizes'"):
        figures.table("size")


def test_a_key_with_nothing_behind_it_is_no_value(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(LEAK.replace("5 mohm", ""), "utf-8")

    with pytest.raises(Mistakes, match=r"line 2, key figures\.leak\.value: has no value"):
        load_figures(tmp_path)


def test_mistakes_of_all_files_come_at_once(tmp_path: Path) -> None:
    (tmp_path / "a.yaml").write_text(LEAK.replace("value: 5 mohm, ", ""), "utf-8")
    (tmp_path / "b.yaml").write_text(SIZES.replace("    rows:", "    row:"), "utf-8")
    (tmp_path / "c.yaml").write_text("figures: [", "utf-8")

    with pytest.raises(Mistakes) as caught:
        load_figures(tmp_path)

    text = str(caught.value)
    assert "a.yaml, line 2, key figures.leak.value: this key is needed here" in text
    assert "key tables.sizes.rows: this key is needed here" in text
    assert "no key called 'row'. Did you mean 'rows'" in text
    assert "c.yaml, line 2: this is not YAML" in text
