"""How well each hypothesis explains one finding, mistakes of the person allowed for."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

import numpy as np

from diagnose.circuit.charging import span_on_charge, was_on_charge
from diagnose.reasoning.complaint import telling_probability
from diagnose.reasoning.error_models import LikelihoodTerms, ResponseErrors
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.misreadings import intermittent_density, misplaced_density
from diagnose.reasoning.predictions import Predictions, density, scaled

KEPT = 64
"""Findings whose likelihoods are kept: more than one walk has."""


def explained(predictions: Predictions, item: Evidence) -> LikelihoodTerms:
    """One finding under every hypothesis; the last KEPT asked for are kept.

    A reading is (1 - e) Normal + e of what a misplaced probe shows, which alone cannot decide; a
    mistaken answer is any other one.
    """
    known = predictions.kept
    if item not in known:
        while len(known) >= KEPT:
            del known[next(iter(known))]
        known[item] = _explained(predictions, item)
    return known[item]


def _explained(predictions: Predictions, item: Evidence) -> LikelihoodTerms:
    if isinstance(item, Seen):
        return _answer(predictions, item, predictions.slips)
    return _reading(predictions, item, predictions.slips)


def reported(predictions: Predictions, item: Seen, said: Collection[str]) -> LikelihoodTerms:
    """What somebody tells unasked as the matter: the chance that this sign, of all that there is to
    tell under a hypothesis, is the one told; a mistaken report is any complaint of such a rig.
    said: all observations that the report speaks of."""
    found = explained(predictions, item)
    assert predictions.heard is not None
    any_other = 1 / predictions.tellable
    astray = np.full_like(found.correct, any_other)
    told = predictions.brought_about(item.observation, item.option) / predictions.heard
    told = told * telling_probability(predictions, item, said)
    return replace(found, correct=told, mistaken=astray, uninformed=any_other)


def _answer(predictions: Predictions, item: Seen, slips: ResponseErrors) -> LikelihoodTerms:
    observation = predictions.catalogue.observations[item.observation]
    options = tuple(observation.options)
    plain = predictions.plain(item.observation)[options.index(item.option)]
    astray = (1 - plain) / (len(options) - 1)
    wrong = slips.error_rate(observation.wrong, item.sure)
    flat, weight = 1 / len(options), predictions.average
    return LikelihoodTerms(plain, astray, flat, wrong, weight, slips.outlier_rate)


def _reading(predictions: Predictions, item: Measured, slips: ResponseErrors) -> LikelihoodTerms:
    if was_on_charge(predictions.hypotheses.model, item.reading, item.value):
        return _nothing_said(predictions)
    low, high = (float(scaled(item.reading, end)) for end in item.ends)
    plain = density(predictions.band(item.reading), low, high, predictions.law)
    plain = intermittent_density(predictions, item.reading, plain, low, high)
    astray, flat = misplaced_density(predictions, item.reading, low, high)
    misread = predictions.hypotheses.model.figures.get("misread")
    wrong, weight = slips.error_rate(misread, item.sure), predictions.average
    return LikelihoodTerms(plain, astray, flat, wrong, weight, slips.outlier_rate)


def _nothing_said(predictions: Predictions) -> LikelihoodTerms:
    """Volts of a battery on charge, which are those of the charger under every hypothesis."""
    low, high = span_on_charge(predictions.hypotheses.model)
    alike, slips = 1 / (high - low), predictions.slips
    all_of_them = np.full(len(predictions.hypotheses), alike)
    misread = predictions.hypotheses.model.figures.get("misread")
    wrong, weight = slips.error_rate(misread, False), predictions.average
    return LikelihoodTerms(all_of_them, all_of_them, alike, wrong, weight, slips.outlier_rate)
