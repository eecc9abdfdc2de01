"""A walk begins with a complaint: faults that nobody notices are not what brought the customer."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace

import numpy as np

from diagnose.catalogue.records import Catalogue, Complaint, holds
from diagnose.circuit.parameters import Array
from diagnose.reasoning.evidence import Seen
from diagnose.reasoning.predictions import Predictions

CAUSED = 0.2
"""A complaint less likely than this is not what the fault brings about; estimate."""

UNTOLD = 0.02
"""Chance that a walk begins although no complaint of the book would be told; estimate."""


def _signs(catalogue: Catalogue, facts: Mapping[str, str]) -> Iterable[Complaint]:
    """What can be told of this rig. Of two wordings of one sign, such as a pump that keeps running
    and a tank that overflows, a person has one to use: it counts once, by the readier."""
    found: dict[tuple[tuple[str, str], ...], Complaint] = {}
    for complaint in catalogue.complaints.values():
        if all(holds(catalogue.observations[name].applies, facts) for name in complaint.seen):
            first = found.setdefault(tuple(sorted(complaint.seen.items())), complaint)
            if complaint.told > first.told:
                found[tuple(sorted(complaint.seen.items()))] = complaint
    return found.values()


def _told(predictions: Predictions) -> Iterator[tuple[float, Array]]:
    """Each sign that this rig can have: how readily it is told, and under every hypothesis the
    chance that it is there to be told."""
    for complaint in _signs(predictions.catalogue, predictions.hypotheses.facts):
        chance = _unsaid(predictions, complaint)
        for name, option in complaint.seen.items():
            chance = chance * predictions.brought_about(name, option)
        yield complaint.told, chance


def _unsaid(predictions: Predictions, complaint: Complaint) -> Array:
    """Chance under every hypothesis that it is this complaint which is told, and not what would be
    told rather: of a pump that makes no sound nobody says only that there is no water."""
    chance = np.ones(len(predictions.hypotheses))
    for name, option in complaint.rather.items():
        chance = chance * (1 - predictions.brought_about(name, option) * (1 - complaint.even_so))
    return chance


def told_alone(predictions: Predictions, item: Seen, said: Collection[str]) -> Array:
    """The same for a sign that somebody tells. said: all observations that the report speaks of."""
    for complaint in predictions.catalogue.complaints.values():
        told = {item.observation: item.option} == dict(complaint.seen)
        if told and complaint.rather and not complaint.rather.keys() & said:
            return _unsaid(predictions, complaint)
    return np.ones(len(predictions.hypotheses))


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
