"""How often a person is wrong, by hand."""

import numpy as np
import pytest

from diagnose.reasoning.slips import Explained, Slips

SLIPS = Slips(np.array([0.0, 0.2]), np.array([0.5, 0.5]), unlooked=0.4, surprise=0.5)
"""One person in two never errs, the other in a fifth of the answers: a tenth over both."""


def test_what_a_test_makes_hard_to_tell_comes_on_top_of_a_person_s_own_slips() -> None:
    """By hand: at 0.28 stated, hard is h with h + (1 - h) 0.1 = 0.28, so 0.2; then 0.2 and
    0.2 + 0.8 * 0.2."""
    assert SLIPS.mean == pytest.approx(0.1)
    assert SLIPS.wrong(0.28) == pytest.approx([0.2, 0.36])
    assert SLIPS.wrong(0.05) == pytest.approx([0.0, 0.2])
    assert SLIPS.wrong(0.28, sure=True) == pytest.approx([0.08, 0.144])


def test_a_finding_under_the_named_and_under_the_unknown() -> None:
    """By hand: 0.8 * 0.9 + 0.2 * 0.05; the unknown is half their average and half flat."""
    one = Explained(
        plain=np.array([0.9, 0.1]),
        astray=np.array([0.05, 0.45]),
        flat=0.25,
        wrong=np.array([0.0, 0.2]),
        weight=np.array([0.75, 0.25]),
        surprise=0.5,
    )

    assert one.named() == pytest.approx(np.array([[0.9, 0.1], [0.73, 0.17]]))
    assert np.exp(one.logs[:, -1]) == pytest.approx([0.475, 0.42])
    assert one.sound(np.array([0.0, 1.0])) == pytest.approx([0.72 / 0.73, 0.08 / 0.17])
