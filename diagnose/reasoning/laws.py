"""How readings scatter about what is expected of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from diagnose.circuit.chance import normal_cdf
from diagnose.circuit.parameters import Array


@dataclass(frozen=True)
class Law:
    """Density, and chance of less, of what lies z spreads above the mean."""

    density: Callable[[Array], Array]
    below: Callable[[Array], Array]


def _normal(z: Array) -> Array:
    with np.errstate(under="ignore"):
        return np.asarray(np.exp(-0.5 * z * z) / np.sqrt(2 * np.pi))


def _student(z: Array) -> Array:
    root = 1 + z * z / 4
    return np.asarray(0.375 / (root * root * np.sqrt(root)))


def _student_below(z: Array) -> Array:
    root = 1 + z * z / 4
    return np.asarray(0.5 + 0.375 * z / np.sqrt(root) * (1 - z * z / (12 * root)))


NORMAL = Law(_normal, normal_cdf)
STUDENT = Law(_student, _student_below)
"""Student's t with 4 degrees of freedom (closed forms, from memory): a usual choice where rigs
differ, now and then, from every one that was computed by more than a normal law allows."""
