"""The reasons behind a ranking, and what the rules found, in the words of a fitter.

How much one piece of evidence moved a cause is the ratio of the odds with it and without it, from
what was already computed; its logarithm is the weight of evidence.
Source: I. J. Good, Probability and the Weighing of Evidence, 1950.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.rule_records import PARTS, ThenFinding
from diagnose.circuit.meter import LARGEST_OHMS
from diagnose.circuit.reading_words import in_words
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.expectations import Expected, Healthy
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.rules.conclusions import Conclusions, Firing
from diagnose.reasoning.words import band as words_band
from diagnose.reasoning.words import spaced, value
from diagnose.units import show_quantity

STRENGTHS = ((30.0, "decisively"), (10.0, "strongly"), (3.0, "moderately"), (1.5, "weakly"))
"""Ratios of odds and the words for them: steps of about half a decade, as in H. Jeffreys, Theory of
Probability, appendix B (from memory); the words are our own."""

MOST = 4
"""Sentences on findings shown beside a ranking or a result; `why` has all."""

DRIFTED = "has-drifted"
"""Name of the finding that a reading has drifted, as other programs get it."""

DRIFT_REASON = (
    "The reading lies among those of sound rigs, and beyond what this rig read when it was new "
    "and what changes from day to day."
)


@dataclass(frozen=True)
class Reason:
    """One piece of evidence and how it moved some failure modes.

    ratio: of their odds with it to their odds without it, both given all other evidence.
    """

    item: Evidence
    ratio: float

    @property
    def strength(self) -> str:
        """decisively, strongly, moderately, weakly or hardly, for or against alike.

        >>> Reason(Seen("flow", "none"), 12.0).strength
        'strongly'
        """
        size = max(self.ratio, 1 / self.ratio)
        return next((word for least, word in STRENGTHS if size >= least), "hardly")


def _odds(probability: float) -> float:
    """p / (1 - p), held away from 0 and infinity."""
    inside = min(max(probability, 1e-12), 1 - 1e-12)
    return inside / (1 - inside)


def _probability(belief: Posterior, modes: Collection[str]) -> float:
    places = [i for i, name in enumerate(belief.hypotheses.modes) if name in modes]
    return float(belief.mode[places].sum())


def reasons(belief: Posterior, modes: Collection[str]) -> tuple[Reason, ...]:
    """What speaks for and against any of some failure modes, the heaviest first, ties by id."""
    now = _odds(_probability(belief, modes))
    found = [
        Reason(item, now / _odds(_probability(belief.without(i), modes)))
        for i, item in enumerate(belief.evidence)
    ]
    return tuple(sorted(found, key=lambda r: (-abs(np.log(r.ratio)), r.item.id)))


def reason_lines(belief: Posterior, modes: Collection[str], healthy: Healthy) -> tuple[str, ...]:
    """One line for each piece of evidence that moved these failure modes at all, the heaviest
    first; healthy: what sound rigs read."""
    return tuple(
        f"{evidence_in_words(reason.item, healthy)} speaks {reason.strength} "
        f"{'for' if reason.ratio >= 1 else 'against'} it"
        for reason in reasons(belief, modes)
        if reason.strength != "hardly"
    )


def value_words(item: Measured) -> str:
    """A reading's value as it was typed, or as a person writes it."""
    if item.typed:
        return item.typed
    if item.reading.quantity == "resistance" and item.value >= LARGEST_OHMS:
        return "OL"
    return show_quantity(item.value, item.reading.unit)


def evidence_name(item: Evidence) -> str:
    """What was looked at or read, as it is called on the screen."""
    return spaced(item.observation) if isinstance(item, Seen) else in_words(item.reading)


def evidence_in_words(item: Evidence, healthy: Healthy) -> str:
    """A piece of evidence in words, a reading with the band that a sound rig would show, and before
    it that of this very rig where it is known."""
    if isinstance(item, Seen):
        return f"{evidence_name(item)}: {spaced(item.option)}"
    band = healthy.expected(item.reading)
    if band.book is None:
        return f"{evidence_name(item)} = {value_words(item)} (sound {_band_words(item, band)})"
    own = f"this rig {_band_words(item, band)}, sound ones {_band_words(item, band.book)}"
    return f"{evidence_name(item)} = {value_words(item)} ({own})"


def _band_words(item: Measured, band: Expected) -> str:
    return "OL" if band.high >= LARGEST_OHMS else words_band(band.low, band.high, item.reading)


def title(catalogue: Catalogue, mode: str) -> str:
    """A failure mode's title, or words for the unknown."""
    known = catalogue.failure_modes.get(mode)
    return known.title if known else "Something that is not in the book"


@dataclass(frozen=True)
class FindingSentence:
    """One finding of the rules as it is said.

    finding: its name; rule: the id of the rule that gives it; part: what of the rig it is about,
    one of PARTS; rests_on: how many facts had to be there for it.
    """

    finding: str
    text: str
    because: str
    rule: str
    part: str
    rests_on: int


def finding_sentences(
    conclusions: Conclusions, evidence: Iterable[Evidence]
) -> tuple[FindingSentence, ...]:
    """Every finding once, by the rule that knows most of it: the supply first, then along the
    copper to the motor and back, then control and water."""
    read = {item.id: item for item in evidence if isinstance(item, Measured)}
    best: dict[str, FindingSentence] = {}
    for one in _sentences(conclusions, read):
        known = best.get(one.finding)
        if known is None or one.rests_on > known.rests_on:
            best[one.finding] = one
    return tuple(sorted(best.values(), key=lambda one: (PARTS.index(one.part), one.rule)))


def best_supported(
    found: Sequence[FindingSentence], most: int = MOST
) -> tuple[FindingSentence, ...]:
    """Those `most` that rest on most facts, in the order in which they were."""
    kept = sorted(found, key=lambda one: -one.rests_on)[:most]
    return tuple(one for one in found if one in kept)


def _sentences(conclusions: Conclusions, read: Mapping[str, Measured]) -> Iterator[FindingSentence]:
    for firing in conclusions.findings:
        then, rule = firing.then, firing.rule
        text = sentence(then, read)
        if text:
            rests_on = _rests_on(firing)
            yield FindingSentence(then.name, text, rule.because, rule.id, then.part, rests_on)


def sentence(then: ThenFinding, read: Mapping[str, Measured]) -> str:
    """What a finding says, with the values of its readings, by id; "" where it says nothing, or a
    difference of which nothing is left."""
    figures = [_figure([read[name] for name in names]) for names in then.figures]
    return then.said(figures) if all(figures) else ""


def _rests_on(firing: Firing[ThenFinding]) -> int:
    return sum(not fact.negated for fact in firing.facts)


def _figure(items: Sequence[Measured]) -> str:
    """A value, or what is left of the first when the second is taken from it; "" for nothing."""
    if len(items) == 1:
        return value_words(items[0])
    first, second = items
    left = first.value - second.value
    return value(round(left, 3), first.reading) if left > 0 else ""


def drift_sentences(evidence: Iterable[Evidence], healthy: Healthy) -> Iterator[FindingSentence]:
    """A sentence for each reading that has drifted since the rig's own readings were taken: a sound
    rig might show it, and this very rig did not when it was new."""
    for item in evidence:
        if isinstance(item, Measured) and healthy.has_drifted(item):
            own = healthy.expected(item.reading)
            sound = words_band(own.low, own.high, item.reading)
            name = in_words(item.reading)
            text = f"{name} has drifted: {value_words(item)}; well, this rig reads {sound}."
            yield FindingSentence(DRIFTED, text, DRIFT_REASON, f"{DRIFTED} {item.id}", "", 2)
