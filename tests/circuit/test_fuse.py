"""A fuse in time; the published windows are held against it in tests/outside."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest

from diagnose.circuit.fuse import chance_open, opening_time
from diagnose.circuit.healthy import fuse_resistance
from diagnose.figures import shipped_figures

FIGURES = shipped_figures()


@pytest.mark.parametrize("ratio", [0.1, 0.75, 1.0])
def test_a_fuse_holds_its_rating_for_ever(ratio: float) -> None:
    """100 h at 110 % is the least that it must stand; ten years here."""
    assert chance_open(np.array([ratio]), 10 * 8760 * 3600, FIGURES)[0] == 0


def test_more_current_and_more_time_never_make_a_fuse_safer() -> None:
    """But for 1e-4 far outside the window, where curves of different spread cross."""
    ratios, seconds = np.linspace(0.5, 12, 300), np.geomspace(1e-3, 1e8, 60)
    chances = np.array([chance_open(ratios, s, FIGURES) for s in seconds])

    assert np.all(np.diff(chances, axis=0) >= 0)
    assert np.all(np.diff(chances, axis=1) >= -1e-4)
    assert chances.min() >= 0
    assert chances.max() <= 1


def test_far_above_its_rating_a_fuse_opens_by_the_heat_alone() -> None:
    """Melting I2t is constant where no heat gets away (common practice): at twelve times the rating
    a quarter of the time at six times."""
    middle, _ = opening_time(np.array([6.0, 12.0]), FIGURES)

    assert middle[1] == pytest.approx(middle[0] / 4)


def test_fuse_resistance_falls_with_the_rating() -> None:
    ohms = [fuse_resistance(rating, FIGURES) for rating in (0.5, 1, 3, 7.5, 20, 40, 60, 200)]

    assert all(more > less > 0 for more, less in pairwise(ohms))
