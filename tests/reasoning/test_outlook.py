"""What a test would settle, and what its outcomes point to."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.reasoning.outlook import points_to


@pytest.mark.parametrize(
    ("joint", "points"),
    [
        ([[0.4, 0.0, 0.1], [0.1, 0.4, 0.0]], {0: 0, 1: 1}),
        ([[0.30, 0.30, 0.0], [0.10, 0.10, 0.2]], {0: 0, 1: 2}),
        ([[0.25, 0.25, 0.0], [0.25, 0.25, 0.0]], {0: 0, 1: 0}),
        ([[0.16, 0.16, 0.18], [0.16, 0.16, 0.18]], {}),
    ],
)
def test_what_each_outcome_points_to(joint: list[list[float]], points: dict[int, int]) -> None:
    """Outcomes are rows, repairs columns, the last of them nothing of the book."""
    assert points_to(np.array(joint)) == points
