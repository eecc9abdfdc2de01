"""A walk begins with a complaint: faults that nobody notices are not what brought the customer."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from diagnose.catalogue.records import Catalogue, holds
from diagnose.circuit.parameters import Array
from diagnose.reasoning.predictions import Predictions

CAUSED = 0.2
"""A complaint less likely than this is not what the fault brings about; estimate."""

UNTOLD = 0.02
"""Chance that a walk begins although no complaint of the book would be told; estimate."""


def complained(predictions: Predictions) -> Array:
    """Chance that a customer would complain at all, for every hypothesis.

    A walk begins with a complaint; a fault that nobody notices is not what brought the customer.
    """
    quiet = np.ones(len(predictions.hypotheses))
    observations, facts = predictions.catalogue.observations, predictions.hypotheses.facts
    for complaint in predictions.catalogue.complaints.values():
        if not all(holds(observations[name].applies, facts) for name in complaint.seen):
            continue
        told = np.ones_like(quiet)
        for name, option in complaint.seen.items():
            told = told * predictions.plain(name)[_position(predictions.catalogue, name, option)]
        quiet = quiet * (1 - np.where(told < CAUSED, 0.0, told))
    return np.maximum(1 - quiet, UNTOLD)


def _position(catalogue: Catalogue, name: str, option: str) -> int:
    return tuple(catalogue.observations[name].options).index(option)


def given_complaint(predictions: Predictions) -> Predictions:
    """The same predictions with each failure mode's weight on the circuits that get noticed."""
    h = predictions.hypotheses
    noticed = h.weight * complained(predictions)
    before = np.bincount(h.mode, h.weight)
    after = np.bincount(h.mode, noticed)
    return replace(predictions, hypotheses=replace(h, weight=noticed * (before / after)[h.mode]))
