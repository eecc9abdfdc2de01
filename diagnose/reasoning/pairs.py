"""Two faults at once, weighed beside the single ones.

A consequence is not a second fault: a fuse that a short has blown is part of the short. Pairs here
are independent faults; their prior odds multiply.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, product

import numpy as np

from diagnose.catalogue.records import Catalogue
from diagnose.circuit.parameters import Array
from diagnose.reasoning.complaint import report_weight, told_of
from diagnose.reasoning.hypotheses import (
    OTHER,
    Hypotheses,
    Variant,
    assemble,
    variants_of,
)
from diagnose.reasoning.posterior import Posterior, normalised, posterior, prepare
from diagnose.reasoning.predictions import Predictions

LIKELIER = 0.5
"""Share of pairs from which the ranking is of two faults."""

FEWEST = 3
"""Pieces of evidence below which two faults are not considered."""

TEMPER = 0.4
"""Power to which likelihoods are raised to find modes that explain part of the evidence."""


@dataclass(frozen=True)
class Pairs:
    """Belief when two faults are allowed.

    ranking: every failure mode and OTHER with its probability, likeliest first, as of single
    faults, or where two faults at once are likelier than one, with each pair's share given half to
    each; pairs: of failure modes, with their probabilities, likeliest first.
    """

    ranking: tuple[tuple[str, float], ...]
    pairs: tuple[tuple[str, str, float], ...]


def partial_explanations(belief: Posterior, count: int) -> tuple[str, ...]:
    """So many failure modes that explain at least some of the evidence, best first.

    Every likelihood is softened to a power t of TEMPER, so that a mode is not killed by what a
    second fault has done:  p(h) prod p(evidence | h)^t.
    """
    h = belief.hypotheses
    logs = np.log(np.append(h.weight, h.other)) + belief.log_likelihood(TEMPER)
    soft = np.bincount(h.mode, normalised(logs)[:-1], len(h.modes))
    order = sorted(range(len(h.modes)), key=lambda i: (-soft[i], h.modes[i]))
    return tuple(h.modes[i] for i in order[:count])


def _joined(a: Variant, b: Variant, name: str) -> Variant:
    return Variant(name, a.share * b.share, (*a.effects, *b.effects), {**b.shows, **a.shows})


def _pair_variants(
    catalogue: Catalogue, hypotheses: Hypotheses, names: Sequence[str]
) -> Iterator[Variant]:
    book = catalogue.failure_modes
    variants = {name: variants_of(book[name], hypotheses.model.rig) for name in names}
    for a, b in combinations(names, 2):
        if a in book[b].result_of or b in book[a].result_of:
            continue
        for first, second in product(variants[a], variants[b]):
            if first.share * second.share >= 0.2:
                yield _joined(first, second, f"{a}+{b}")


def _priors(pairs: Sequence[str], single: Mapping[str, float]) -> dict[str, float]:
    """Prior of each pair among all pairs of the rig's failure modes, tried here or not:

    p(a, b) = p(a) p(b) / sum over pairs,   sum over pairs = (1 - sum p^2) / 2
    """
    everything = (1 - sum(p * p for p in single.values())) / 2
    names = [pair.split("+") for pair in pairs]
    return {f"{a}+{b}": single[a] * single[b] / everything for a, b in names}


def _pair_hypotheses(
    catalogue: Catalogue, hypotheses: Hypotheses, names: Sequence[str]
) -> tuple[Hypotheses, float] | None:
    """Circuits with two faults, and the share of all pairs, by prior, that they stand for."""
    variants = list(_pair_variants(catalogue, hypotheses, names))
    if not variants:
        return None
    prior = _priors(sorted({variant.mode for variant in variants}), hypotheses.prior)
    model, facts = hypotheses.model, hypotheses.facts
    double = assemble(model, facts, tuple(prior), prior, variants, 0.0, hypotheses.own)
    return double, sum(prior.values())


def _log_joint(prior: Array, log_likelihood: Array) -> Array:
    """ln p(h) + ln p(evidence | h), shape (hypotheses)."""
    with np.errstate(divide="ignore"):
        return np.asarray(np.log(prior) + log_likelihood)


def weigh_pairs(predictions: Predictions, belief: Posterior) -> Pairs:
    """Belief over single faults, pairs and OTHER together.

    Pairs are tried of the failure modes that explain part of the evidence (figure
    pair-candidates), and share the prior of figure two-faults.
    """
    figures, alone = belief.hypotheses.model.figures, Pairs(belief.ranking, ())
    if len(belief.evidence) < FEWEST:
        return alone
    names = partial_explanations(belief, int(figures.get("pair-candidates")))
    made = _pair_hypotheses(predictions.catalogue, belief.hypotheses, names)
    if made is None:
        return alone
    double, tried = made
    two = Predictions(predictions.catalogue, double, in_full=False)
    prepare(two, belief.evidence, told_of(two))
    found = posterior(replace(two, heard=report_weight(two)), belief.evidence)
    return _merge(belief, found, figures.get("two-faults") * tried)


def _merge(single: Posterior, double: Posterior, share: float) -> Pairs:
    """Both beliefs in one. share: prior of two faults at once."""
    h = single.hypotheses
    ones = _log_joint(np.append(h.weight, h.other) * (1 - share), single.log_likelihood())
    weight = double.hypotheses.weight / double.hypotheses.weight.sum() * share
    twos = _log_joint(weight, double.log_likelihood()[:-1])
    together = normalised(np.concatenate([ones, twos]))
    column, other, pair = together[: len(h)], float(together[len(h)]), together[len(h) + 1 :]
    mode = dict(zip(h.modes, np.bincount(h.mode, column, len(h.modes)), strict=True))
    names = double.hypotheses.modes
    shares = np.bincount(double.hypotheses.mode, pair, len(names))
    pairs = []
    for name, probability in zip(names, shares, strict=True):
        a, b = name.split("+")
        mode[a] += probability / 2
        mode[b] += probability / 2
        pairs.append((a, b, float(probability)))
    ranking = [*((name, float(p)) for name, p in mode.items()), (OTHER, other)]
    double_share = float(pair.sum())
    return Pairs(
        tuple(sorted(ranking, key=lambda pair: (-pair[1], pair[0])))
        if double_share > LIKELIER
        else single.ranking,
        tuple(sorted(pairs, key=lambda pair: (-pair[2], pair[0], pair[1]))),
    )
