"""What asking the same once more would teach: a mistake seldom comes twice alike."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.reasoning.likelihood import explained
from diagnose.reasoning.next_test import gain
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import Predictions


def bits_again(
    predictions: Predictions, belief: Posterior, group: NDArray[np.intp], item: Evidence
) -> float:
    """Information [bit] about the repair in whether a second answer is like the first.

    group: repair of each failure mode. Under OTHER an answer that fits nothing is no mistake.
    """
    finding, unlooked = explained(predictions, item), predictions.slips.unlooked
    wrong = float(belief.person @ finding.wrong)
    sound = np.append(finding.sound(belief.person), 1 - wrong)
    looked = sound * (1 - wrong) + (1 - sound) * wrong * _twice(predictions, item)
    alike = unlooked + (1 - unlooked) * looked
    column = np.append(belief.column, belief.other)
    repair = np.append(group[belief.hypotheses.mode], int(group.max()) + 1)
    joint = [np.bincount(repair, column * chance) for chance in (alike, 1 - alike)]
    return gain(np.stack(joint))


def _twice(predictions: Predictions, item: Evidence) -> float:
    """Chance that a second mistake is like the first."""
    if not isinstance(item, Seen):
        return 0.0
    return 1 / (len(predictions.catalogue.observations[item.observation].options) - 1)
