"""A walk begins with a complaint: faults that nobody notices are not what brought the customer.

Ascertainment is the epidemiologists' word for it: the cases that are seen are not all that there
are, but those that somebody reported.
"""

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
            sign = tuple(sorted(complaint.seen.items()))
            if sign not in found or complaint.told > found[sign].told:
                found[sign] = complaint
    return found.values()


def told_of(predictions: Predictions) -> list[str]:
    """The observations of which a complaint of this rig can be, or what is told rather."""
    signs = _signs(predictions.catalogue, predictions.hypotheses.facts)
    return sorted({name for sign in signs for name in (*sign.seen, *sign.rather)})


def _told(predictions: Predictions) -> Iterator[tuple[float, Array]]:
    """Each sign that this rig can have: how readily it is told, and the probability that it is
    there to be told under every hypothesis, shape (hypotheses)."""
    predictions.prepare(told_of(predictions), [])
    for complaint in _signs(predictions.catalogue, predictions.hypotheses.facts):
        chance = _told_itself(predictions, complaint)
        for name, option in complaint.seen.items():
            chance = chance * predictions.brought_about(name, option)
        yield complaint.told, chance


def _told_itself(predictions: Predictions, complaint: Complaint) -> Array:
    """Probability that it is this complaint which is told, and not what would be told rather, shape
    (hypotheses): of a pump that makes no sound nobody says only that there is no water."""
    chance = np.ones(len(predictions.hypotheses))
    for name, option in complaint.rather.items():
        chance = chance * (1 - predictions.brought_about(name, option) * (1 - complaint.even_so))
    return chance


def telling_probability(predictions: Predictions, item: Seen, said: Collection[str]) -> Array:
    """Probability that a sign is told, and nothing in its stead, for every hypothesis, shape
    (hypotheses). item: the sign; said: all observations that the report speaks of."""
    for complaint in predictions.catalogue.complaints.values():
        told = {item.observation: item.option} == dict(complaint.seen)
        if told and complaint.rather and not complaint.rather.keys() & said:
            return _told_itself(predictions, complaint)
    return np.ones(len(predictions.hypotheses))


def ascertainment(predictions: Predictions) -> Array:
    """Probability that a customer would complain at all, for every hypothesis, shape (hypotheses).

    With p the probability of each sign that the fault brings about:  1 - prod (1 - p), and UNTOLD
    at least.
    """
    quiet = np.ones(len(predictions.hypotheses))
    for _, chance in _told(predictions):
        quiet = quiet * (1 - np.where(chance < CAUSED, 0.0, chance))
    return np.maximum(1 - quiet, UNTOLD)


def report_weight(predictions: Predictions) -> Array:
    """How much there is to tell, for every hypothesis, shape (hypotheses): the complaints that it
    brings about, each by how readily it is told.

    Of a fault that shows in many ways each single sign is told less often: the probability that a
    sign is the one reported is its own share of this.
    """
    total = np.full(len(predictions.hypotheses), UNTOLD)
    for readily, chance in _told(predictions):
        total = total + readily * chance
    return np.asarray(total)


def given_complaint(predictions: Predictions) -> Predictions:
    """The same predictions with each failure mode's weight on the circuits that get noticed, and
    with what each of them would have told. The weight of a failure mode as a whole stays, since
    priors are counted in cases that were reported."""
    h = predictions.hypotheses
    noticed = h.weight * ascertainment(predictions)
    before = np.bincount(h.mode, h.weight)
    after = np.bincount(h.mode, noticed)
    hypotheses = replace(h, weight=noticed * (before / after)[h.mode])
    return replace(predictions, hypotheses=hypotheses, heard=report_weight(predictions))
