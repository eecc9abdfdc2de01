"""What a test is worth before an act: a worked example.

The project has no function for pay-offs. Where an act fails, its optimum with misleading tests
counts one price for every failure; an act that fails at a different price under each cause is the
same problem with every cause weighted by its price.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.study.optimum import NoisyProblem

# The oil wildcatter: Raiffa 1968, Decision Analysis, as used in texts on decision networks; inputs
# and the published 20 and 22.5 from memory, the rest recomputed. Thousands of dollars; dry, wet and
# soaking holes; structure none, open, closed.
PRIOR = np.array([0.5, 0.3, 0.2])
DRILLED = np.array([-70.0, 50.0, 200.0])
SOUNDING = np.array([[0.6, 0.3, 0.1], [0.3, 0.4, 0.4], [0.1, 0.3, 0.5]])
ALL_KNOWN = float(PRIOR @ np.maximum(DRILLED, 0))


def regret(cost: float, *soundings: np.ndarray) -> float:
    """Least expected loss beside all being known, when each sounding costs so much."""
    lost = PRIOR * np.abs(DRILLED)
    leave, drill = 0, 1
    best_act = np.where(DRILLED > 0, drill, leave)
    price = np.full((1, len(soundings)), cost / lost.sum())
    case = NoisyProblem(
        p=lost,
        repair=best_act,
        chances=soundings,
        cost=price,
        after=np.zeros((1, len(soundings)), dtype=np.intp),
        vain=1.0,
    )
    return case.best()


@pytest.mark.parametrize(
    ("what", "value", "soundings", "cost"),
    [
        ("without a sounding", 20.0, (), 0.0),
        ("with a free one", 32.5, (SOUNDING,), 0.0),
        ("with one at 10", 22.5, (SOUNDING,), 10.0),
        ("with one dearer than its worth of 12.5", 20.0, (SOUNDING,), 12.6),
    ],
)
def test_oil_wildcatter(
    what: str, value: float, soundings: tuple[np.ndarray, ...], cost: float
) -> None:
    assert ALL_KNOWN - regret(cost, *soundings) == pytest.approx(value), what


def test_all_being_known_is_worth_35_to_the_wildcatter() -> None:
    known = np.eye(3)

    assert regret(0.0) == pytest.approx(35.0)
    assert regret(0.0, known) == pytest.approx(0.0)
