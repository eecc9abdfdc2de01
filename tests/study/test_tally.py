"""What cases come to, on cases made by hand."""

import pytest

from diagnose.study.play import Episode, Shortfall, Turn, Verdict
from diagnose.study.report import weak
from diagnose.study.tally import by_mode, limits, score


def verdict(stated, place=1, cause="ground-resistive", repair="renew-ground"):
    return Verdict(
        cause=cause,
        repair=repair,
        stated=stated,
        other=0.01,
        rank=place,
        repair_rank=place,
        in_first_three=int(place <= 3),
        p=stated if place == 1 else 0.1,
        repair_p=stated if place == 1 else 0.1,
        brier=0.1,
        repair_brier=0.1,
        isolation=0.9,
        behind=place == 2,
    )


def case(stated, place=1, questions=4, left=None, cause="ground-resistive"):
    return Episode(
        modes=("ground-resistive",),
        variant="corroded",
        facts={"topology": "relay"},
        told={"pump-action": "slow"},
        asked=tuple(Turn(f"test {i}", "yes", "renew-ground", 0.5, 1.5) for i in range(questions)),
        why_stopped="one repair is likely enough",
        contradictions=0,
        verdict=verdict(stated, place, cause),
        left=left,
    )


SHORT = Shortfall(
    entropy=1.2,
    best="flow",
    bits=0.1,
    minutes=2.0,
    asked=50,
    all_minutes=90.0,
    right=True,
    stated=0.8,
)
CASES = [
    case(0.95, questions=2),
    case(0.9, place=2, questions=4, cause="motor-seized"),
    case(0.6, questions=6, left=SHORT),
    case(0.5, place=5, questions=12, left=SHORT, cause="motor-seized"),
]


def test_score_of_four_cases():
    found = score(CASES)

    assert [found[name].hits for name in ("right", "or_behind", "top3")] == [2, 3, 3]
    assert found["n"] == 4
    assert found["stated"] == pytest.approx((0.95 + 0.9 + 0.6 + 0.5) / 4)
    assert found["gap"] == pytest.approx(found["stated"] - 0.5)
    assert (found["questions"], found["mean_questions"]) == (5, 6)
    assert found["minutes"] == pytest.approx(6 * 1.5)
    assert found["tried"] == pytest.approx((1 + 2 + 1 + 5) / 4)


def test_what_limits_them_is_told_apart_by_how_they_ended():
    found = limits(CASES)

    assert (found["sure"].hits, found["sure"].n) == (1, 2)
    assert (found["short"].hits, found["short"].n) == (2, 4)
    assert (found["short_right"].hits, found["then_right"].hits) == (1, 2)
    assert found["entropy"] == pytest.approx(1.2)


def test_nothing_is_said_of_walks_that_fell_short_where_none_did():
    found = limits(CASES[:1])

    assert (found["short"].hits, found["short_right"].n, found["entropy"]) == (0, 0, 0.0)


def test_a_failure_mode_says_what_it_was_taken_for():
    row = by_mode("ground-resistive", CASES)

    assert row["taken_for"] == [("motor-seized", 2)]
    assert (row["sure_wrong"], row["short"], row["then_right"]) == (1, 2, 2)
    assert not weak(row)  # too few cases to call it that
    assert weak(by_mode("ground-resistive", CASES * 2))
