"""What practice says of first reports, held against the ranking."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.audit.differential import (
    FACTOR,
    Differential,
    Row,
    disagreements,
    load_differential,
    shipped_differential,
)
from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import open_rig
from diagnose.errors import DiagnoseError, Place
from diagnose.reasoning.evidence import Seen
from diagnose.walkthrough import Walk

COMPLAINT, CAUSE, OTHER_CAUSE = "nothing-happens", "main-fuse-blown", "motor-seized"
FILE = """\
rigs:
  tank: {topology: direct, control: float_switch, use: drain, pump: {current: 5 A}}
rows:
  - complaint: nothing-happens
    rig: tank
    causes: {main-fuse-blown: 0.2}
    why: "by hand"
"""


@pytest.fixture(scope="module")
def ranked(bowser: Bench) -> dict[str, float]:
    """The bowser's ranking when nothing happens."""
    walk = Walk(bowser)
    complaint = bowser.shop.catalogue.complaints[COMPLAINT]
    walk.tell(Seen(name, option) for name, option in complaint.seen.items())
    return dict(walk.belief().ranking)


def row(causes: dict[str, float], **apart: str) -> Row:
    words = {name.replace("_", "-"): why for name, why in apart.items()}
    return Row(COMPLAINT, "bowser", causes, words, "by hand", Place("by hand"))


def table(*rows: Row) -> Differential:
    return Differential({"bowser": open_rig("bowser")}, rows)


def test_the_shipped_table_loads_and_says_why(shop: Shop) -> None:
    """Every row has a reason, and its shares are of all cases with that report."""
    shipped = shipped_differential(shop)

    assert len(shipped.rows) > 10
    for one in shipped.rows:
        assert one.why
        assert one.causes
        assert sum(one.causes.values()) <= 1 + 1e-9
        assert all(len(why) > 10 for why in one.apart.values())
        assert set(one.apart) <= set(one.causes)


def test_a_share_that_is_out_by_more_than_three_is_named(
    shop: Shop, ranked: dict[str, float]
) -> None:
    """By hand: 3.1 times too high, 3.1 times too low, and 2.9 times either way."""
    far = table(
        row({CAUSE: ranked[CAUSE] * 3.1, OTHER_CAUSE: ranked[OTHER_CAUSE] * 2.9}),
        row({CAUSE: ranked[CAUSE] / 2.9, OTHER_CAUSE: ranked[OTHER_CAUSE] / 3.1}),
    )

    found = [*disagreements(shop, far)]

    assert FACTOR == 3
    assert [(one.mode, one.row) for one in found] == [
        (CAUSE, far.rows[0]),
        (OTHER_CAUSE, far.rows[1]),
    ]
    assert found[0].ranked == pytest.approx(ranked[CAUSE])
    assert str(found[0]).startswith(f"{COMPLAINT} on bowser: {CAUSE} stands at ")


def test_a_reason_that_stands_beside_it_silences_one_cause_only(
    shop: Shop, ranked: dict[str, float]
) -> None:
    far = {name: ranked[name] * 5 for name in (CAUSE, OTHER_CAUSE)}

    found = [*disagreements(shop, table(row(far, main_fuse_blown="known to stand elsewhere")))]

    assert [one.mode for one in found] == [OTHER_CAUSE]


def test_a_cause_that_the_rig_cannot_have_is_named(shop: Shop) -> None:
    found = [*disagreements(shop, table(row({"float-stuck-open": 0.1})))]

    assert [(one.mode, one.ranked) for one in found] == [("float-stuck-open", 0.0)]


def test_a_row_is_read_with_its_place(tmp_path: Path, shop: Shop) -> None:
    file = tmp_path / "differential.yaml"
    file.write_text(FILE, "utf-8")

    found = load_differential(file, shop)

    assert found.rigs["tank"].use == "drain"
    assert found.rows[0].causes == {"main-fuse-blown": 0.2}
    assert found.rows[0].place.line == 4


@pytest.mark.parametrize(
    ("right", "wrong"),
    [
        ("main-fuse-blown", "main-fuse-blowm"),
        ("complaint: nothing-happens", "complaint: nothing-hapens"),
        ("rig: tank", "rig: tanks"),
        ("0.2}", "2}"),
        ('    why: "by hand"\n', ""),
    ],
)
def test_a_slip_is_named_with_its_line(tmp_path: Path, shop: Shop, right: str, wrong: str) -> None:
    file = tmp_path / "differential.yaml"
    assert right in FILE
    file.write_text(FILE.replace(right, wrong), "utf-8")

    with pytest.raises(DiagnoseError, match=r"differential\.yaml, line [4-7]"):
        load_differential(file, shop)
