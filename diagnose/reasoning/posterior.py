"""From predictions and findings to likelihoods and probabilities: one product, in one place.

The whole list of findings is multiplied anew after every change, in a fixed order, so neither the
order of the answers nor an answer taken back can leave a trace.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from diagnose.catalogue.part_names import template_of
from diagnose.circuit.charging import span_on_charge, was_on_charge
from diagnose.circuit.parameters import Array
from diagnose.reasoning.complaint import telling_probability
from diagnose.reasoning.error_models import LikelihoodTerms, ResponseErrors
from diagnose.reasoning.evidence import Evidence, Measured, Seen, latest
from diagnose.reasoning.hypotheses import OTHER, Hypotheses
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


def normalised(log_weight: Array) -> Array:
    """Probabilities from unnormalised logarithms."""
    with np.errstate(under="ignore"):
        weight = np.exp(log_weight - np.max(log_weight))
    return np.asarray(weight / weight.sum())


@dataclass(frozen=True)
class Posterior:
    """The state of belief.

    column: probability of each hypothesis; other: of OTHER; mode: of each failure mode, in the
    order of hypotheses.modes; person: of each kind of slips; evidence: the findings it rests on,
    each once, in fixed order; factors: log likelihoods, (findings, kinds, hypotheses + 1), OTHER
    last.
    """

    hypotheses: Hypotheses
    slips: ResponseErrors
    column: Array
    other: float
    mode: Array
    person: Array
    evidence: tuple[Evidence, ...]
    factors: Array

    @property
    def ranking(self) -> tuple[tuple[str, float], ...]:
        """Every failure mode and OTHER with its probability, likeliest first, ties by name."""
        pairs = [*zip(self.hypotheses.modes, map(float, self.mode), strict=True)]
        pairs.append((OTHER, self.other))
        return tuple(sorted(pairs, key=lambda pair: (-pair[1], pair[0])))

    def without(self, index: int) -> Posterior:
        """The belief had finding number `index` never been made."""
        kept = [i for i in range(len(self.evidence)) if i != index]
        evidence = tuple(self.evidence[i] for i in kept)
        return _believe(self.hypotheses, self.slips, evidence, self.factors[kept])

    def log_likelihood(self, temper: float = 1.0) -> Array:
        """Log likelihood of all findings together under every hypothesis, OTHER last, whoever
        answered; each finding raised to a power of `temper`."""
        share = np.log(self.slips.share)[:, None]
        whole = share + temper * self.factors.sum(axis=0)
        return np.asarray(np.logaddexp.reduce(whole, axis=0))


def _believe(
    hypotheses: Hypotheses, slips: ResponseErrors, evidence: tuple[Evidence, ...], factors: Array
) -> Posterior:
    with np.errstate(divide="ignore"):
        prior = np.log(np.append(hypotheses.weight, hypotheses.other))
    joint = normalised(prior + np.log(slips.share)[:, None] + factors.sum(axis=0))
    probability = joint.sum(axis=0)
    column = probability[:-1]
    mode = np.bincount(hypotheses.mode, column, len(hypotheses.modes)).astype(np.float64)
    other, person = float(probability[-1]), joint.sum(axis=1)
    return Posterior(hypotheses, slips, column, other, mode, person, evidence, factors)


def posterior(predictions: Predictions, evidence: Sequence[Evidence]) -> Posterior:
    """Belief after all findings; each test counts once, with its last answer."""
    items, slips = latest(list(evidence)), predictions.slips
    prepare(predictions, items)
    size = (len(slips.share), len(predictions.hypotheses) + 1)
    rows = [explained(predictions, item).log_likelihood for item in items]
    first = _first_reported(predictions, items)
    if first is not None and predictions.heard is not None:
        said = {one.observation for one in items if isinstance(one, Seen) and one.reported}
        rows[items.index(first)] = reported(predictions, first, said).log_likelihood
    factors = np.stack(rows) if rows else np.zeros((0, *size))
    return _believe(predictions.hypotheses, slips, items, factors)


def prepare(predictions: Predictions, items: Sequence[Evidence], names: Sequence[str] = ()) -> None:
    """Work out what these findings, and more observations by name, are held against, all at once;
    nothing where it is known."""
    seen = [item.observation for item in items if isinstance(item, Seen)]
    read = [item.reading for item in items if isinstance(item, Measured)]
    predictions.prepare([*seen, *names], read)


def _first_reported(predictions: Predictions, items: Sequence[Evidence]) -> Seen | None:
    """The first finding that somebody reported unasked as what is the matter."""
    complaints = predictions.catalogue.complaints.values()
    matters = {pair for complaint in complaints for pair in complaint.seen.items()}
    for item in items:
        if isinstance(item, Seen) and item.reported and (item.observation, item.option) in matters:
            return item
    return None


def by_repair(ranking: Sequence[tuple[str, float]], repair: Mapping[str, str]) -> dict[str, float]:
    """Probability of each repair: the sum over the failure modes that it mends; OTHER apart."""
    total: dict[str, float] = {}
    for name, probability in ranking:
        key = repair.get(name, name)
        total[key] = total.get(key, 0.0) + probability
    return dict(sorted(total.items(), key=lambda pair: (-pair[1], pair[0])))


LEADING, LIKELY = 0.5, 0.15
"""Probabilities from which rules count a failure mode as leading, or as likely."""


def suspects(belief: Posterior) -> dict[str, str]:
    """The failure modes that lead the ranking, for the rules, which speak of any part of a kind."""
    found: dict[str, str] = {}
    for index, (name, probability) in enumerate(belief.ranking):
        if name == OTHER or (index > 0 and probability < LIKELY):
            continue
        if template_of(name) in found:
            continue
        found[template_of(name)] = "leading" if probability >= LEADING or not found else "likely"
    return found
