"""A walk begins with a complaint: faults that nobody notices are not what brought the customer."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

import numpy as np

from diagnose.catalogue.records import Catalogue, holds
from diagnose.circuit.parameters import Array
from diagnose.reasoning.predictions import Predictions

CAUSED = 0.2
"""A complaint less likely than this is not what the fault brings about; estimate."""

UNTOLD = 0.02
"""Chance that a walk begins although no complaint of the book would be told; estimate."""


Signs = Mapping[tuple[tuple[str, str], ...], float]
"""What can be told, each as answers to observations, by how readily it is told."""


def _signs(catalogue: Catalogue, facts: Mapping[str, str]) -> Signs:
    """What can be told of this rig. Of two wordings of one sign, such as a pump that keeps running
    and a tank that overflows, a person has one to use: it counts once, by the readier."""
    found: dict[tuple[tuple[str, str], ...], float] = {}
    for complaint in catalogue.complaints.values():
        if all(holds(catalogue.observations[name].applies, facts) for name in complaint.seen):
            sign = tuple(sorted(complaint.seen.items()))
            found[sign] = max(found.get(sign, 0.0), complaint.told)
    return found


def _told(predictions: Predictions) -> Iterator[tuple[float, Array]]:
    """Each sign that this rig can have: how readily it is told, and under every hypothesis the
    chance that it is there to be told."""
    for sign, told in _signs(predictions.catalogue, predictions.hypotheses.facts).items():
        chance = np.ones(len(predictions.hypotheses))
        for name, option in sign:
            chance = chance * predictions.brought_about(name, option)
        yield told, chance


def complained(predictions: Predictions) -> Array:
    """Chance that a customer would complain at all, for every hypothesis.

    A walk begins with a complaint; a fault that nobody notices is not what brought the customer.
    """
    quiet = np.ones(len(predictions.hypotheses))
    for _, chance in _told(predictions):
        quiet = quiet * (1 - np.where(chance < CAUSED, 0.0, chance))
    return np.maximum(1 - quiet, UNTOLD)


def readiness(predictions: Predictions) -> Array:
    """How much there is to tell, for every hypothesis: the complaints that it brings about, each by
    how readily it is told. Of a fault that shows in many ways each single sign is told less often:
    the chance that a sign is the one reported is its own share of this."""
    total = np.full(len(predictions.hypotheses), UNTOLD)
    for readily, chance in _told(predictions):
        total = total + readily * chance
    return np.asarray(total)


def given_complaint(predictions: Predictions) -> Predictions:
    """The same predictions with each failure mode's weight on the circuits that get noticed, and
    with what each of them would have told."""
    h = predictions.hypotheses
    noticed = h.weight * complained(predictions)
    before = np.bincount(h.mode, h.weight)
    after = np.bincount(h.mode, noticed)
    hypotheses = replace(h, weight=noticed * (before / after)[h.mode])
    return replace(predictions, hypotheses=hypotheses, heard=readiness(predictions))
