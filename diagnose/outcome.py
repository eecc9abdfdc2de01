"""What a walk comes to: ranking, cause, cause behind it, fix and the reading that proves it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from diagnose.bench import Bench
from diagnose.borrowing import Borrow, borrow
from diagnose.catalogue.entry_parts import Verify
from diagnose.catalogue.part_names import template_of
from diagnose.catalogue.records import FailureMode, holds
from diagnose.catalogue.rule_records import Consequence
from diagnose.circuit.meter import Reading
from diagnose.reasoning.consistency import FITS, Fit, goodness_of_fit
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.explanation import (
    FindingSentence,
    drift_sentences,
    finding_sentences,
    reason_lines,
    title,
)
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.pairs import Pairs, weigh_pairs
from diagnose.reasoning.posterior import Posterior, by_repair
from diagnose.reasoning.rules.conclusions import Conclusions, Firing
from diagnose.reasoning.stops import ActiveStop
from diagnose.walkthrough import Walk

Ranking = tuple[tuple[str, float], ...]

LIKELIER = 0.5
"""Probability from which it is said to be nothing of the book."""

SHOWN = 0.05
"""Pairs of faults below this probability are not mentioned."""


@dataclass(frozen=True)
class Cause:
    """Why a failure mode came about; measure: what to read before the new part goes in; seen:
    whether something that was looked at or measured says so, or it is still to be asked."""

    of: str
    cause: str
    mend: str
    prevention: str = ""
    measure: str = ""
    because: str = ""
    seen: bool = False


@dataclass(frozen=True)
class Proof:
    """The reading that closes the case: low to high, in the reading's unit."""

    reading: Reading
    low: float
    high: float
    why: str


@dataclass(frozen=True)
class Result:
    """The end of a walk.

    cause: the failure mode to mend first, or OTHER; repairs: probability of each repair;
    same_repair: failure modes mended by one act; root_causes: why it came about, surest first;
    behind: failure modes that `cause` may be the result of, with their probabilities; pairs: two
    faults at once that explain the findings, with the probability of each pair; stops: those that
    still stand: the fix begins with them, and where nothing said ends one it is all of the fix;
    findings: what the answers say together, in the order in which a fitter says it; fit: how well
    the book fits what was found, apart from the ranking; borrow: what cannot be read with what is
    there, and would decide most, None where the instruments are there or nothing is in doubt.
    """

    ranking: tuple[tuple[str, float], ...]
    cause: str
    repair: str
    repairs: dict[str, float]
    same_repair: tuple[tuple[str, ...], ...]
    behind: tuple[tuple[str, float], ...]
    pairs: tuple[tuple[str, str, float], ...]
    root_causes: tuple[Cause, ...]
    fix: tuple[str, ...]
    parts: tuple[str, ...]
    verify: Proof | None
    prevention: tuple[str, ...]
    cautions: tuple[str, ...]
    because: tuple[str, ...]
    leaned_on: tuple[str, ...]
    why_stopped: str
    minutes: float
    questions: int
    evidence: tuple[Evidence, ...]
    stops: tuple[ActiveStop, ...] = ()
    findings: tuple[FindingSentence, ...] = ()
    fit: Fit = FITS
    borrow: Borrow | None = None

    @property
    def unknown(self) -> float:
        """Probability that it is nothing of the book."""
        return dict(self.ranking)[OTHER]

    @property
    def ended(self) -> bool:
        """Whether a stop stands that nothing said can end."""
        return any(one.endless for one in self.stops)

    @property
    def probability(self) -> float:
        """Of the failure mode named as the cause."""
        return dict(self.ranking)[self.cause]

    @property
    def repair_probability(self) -> float:
        """Of the repair, over all failure modes that it mends."""
        return self.repairs[self.repair]


def same_repairs(bench: Bench, ranking: Ranking) -> tuple[tuple[str, ...], ...]:
    """Failure modes of this rig that one repair mends, likeliest group first."""
    groups: dict[str, list[str]] = {}
    for name, _ in ranking:
        if name != OTHER:
            groups.setdefault(bench.shop.repair[name], []).append(name)
    order = by_repair(ranking, bench.shop.repair)
    return tuple(tuple(groups[key]) for key in order if len(groups.get(key, ())) > 1)


def leading(bench: Bench, ranking: Ranking) -> tuple[str, str]:
    """The failure mode to mend first, and its repair: the likeliest of the likeliest repair. That
    it is nothing of the book is named only where it is likelier than all of the book."""
    named = [(name, p) for name, p in ranking if name != OTHER]
    if dict(ranking).get(OTHER, 0.0) > LIKELIER:
        return OTHER, OTHER
    repair = next(iter(by_repair(named, bench.shop.repair)))
    cause = next(name for name, _ in ranking if bench.shop.repair.get(name, name) == repair)
    return cause, repair


def _mended_together(bench: Bench, mode: str) -> tuple[str, ...]:
    repair = bench.shop.repair
    return tuple(name for name in bench.hypotheses.modes if repair[name] == repair[mode])


def proof(bench: Bench, verify: Verify) -> Proof:
    """The healthy band of the verification reading, narrowed by the limits of the book; by the book
    also on a rig with readings of its own, since the new part is another one."""
    band = bench.healthy.by_the_book.expected(verify.reading)
    low = band.low if verify.above is None else max(band.low, verify.above)
    if verify.below is not None:
        low = min(low, 0.0)
    high = band.high if verify.below is None else min(band.high, verify.below)
    if low > high:
        low, high = band.low, band.high
    return Proof(verify.reading, low, high, verify.why)


def _root_causes(walk: Walk, mode: FailureMode, rules: Conclusions) -> Iterator[Cause]:
    """First what the rules conclude from this very rig, then what the book knows in general. What
    is to be measured first is left out while a stop forbids it."""
    done = {item.id for item in walk.evidence}
    stops, tests = walk.stops(rules), walk.bench.tests
    for firing in rules.root_causes:
        found = firing.then
        if found.of == template_of(mode.id):
            test = tests.get(found.measure)
            forbidden = test is not None and any(one.forbids(test) for one in stops)
            measure = "" if found.measure in done or forbidden else found.measure
            seen = _looked_at(walk, rules, firing)
            yield Cause(
                found.of, found.cause, found.mend, found.prevention, measure, firing.because, seen
            )
    for known in mode.root_causes:
        if holds(known.when, walk.bench.hypotheses.facts):
            yield Cause(mode.id, known.cause, known.mend)


def _looked_at(walk: Walk, rules: Conclusions, firing: Firing[Consequence]) -> bool:
    """Whether a rule that fired rests on anything that was looked at, tried or measured: not on the
    rig, on what is suspected, or on what was only told."""
    book = walk.bench.shop.catalogue.observations
    for fact in (fact for fact in firing.facts if not fact.negated):
        if fact.kind == "reading" or (fact.kind == "seen" and book[fact.name].way != "told"):
            return True
        givers = (one for one in rules.findings if one.then.name == fact.name)
        if fact.kind == "finding" and any(_looked_at(walk, rules, one) for one in givers):
            return True
    return False


def _behind(mode: FailureMode, ranking: Ranking) -> tuple[tuple[str, float], ...]:
    here = dict(ranking)
    found = [(name, here[name]) for name in mode.result_of if name in here]
    return tuple(sorted(found, key=lambda pair: (-pair[1], pair[0])))


def _cautions(walk: Walk, mode: FailureMode | None, rules: Conclusions) -> tuple[str, ...]:
    """Texts of the cautions that hold now or belong to the fix, once each."""
    book = walk.bench.shop.catalogue.cautions
    ids = [raised.then.caution for raised in rules.cautions]
    ids += [*(mode.cautions if mode else ()), "local-codes"]
    return tuple(book[name].text.strip() for name in dict.fromkeys(ids) if name in book)


UNKNOWN_FIX = (
    "No failure mode of the book explains what was found: stop swapping parts.",
    "Repeat the findings that fit worst, then look for two faults at once, and for what was "
    "changed or added to the rig lately.",
    "Close the case with what it was in the end, so that the book can learn it.",
)


def _fix(mode: FailureMode | None, stops: tuple[ActiveStop, ...]) -> tuple[str, ...]:
    """What to do: first what every stop that stands asks for, and the repair only where each of
    them can be made safe."""
    first = [sentence for one in stops for sentence in (*one.do, one.ends)]
    if any(one.endless for one in stops):
        return tuple(first)
    return (*first, *(mode.fix if mode else UNKNOWN_FIX))


def conclude(walk: Walk, why_stopped: str = "", quick: bool = False) -> Result:
    """What the walk comes to with what is known now. quick: without what takes most of the time:
    two faults at once, what to borrow, how well the book fits, and the reasons."""
    bench, belief = walk.bench, walk.belief()
    rules = walk.conclusions(belief)
    single = Pairs(belief.ranking, ())
    weighed = single if quick else weigh_pairs(bench.predictions, belief)
    cause, repair = leading(bench, weighed.ranking)
    mode = bench.shop.catalogue.failure_modes.get(cause)
    known = next(name for name, _ in weighed.ranking if name != OTHER)
    stops = walk.stops(rules)
    ended = any(one.endless for one in stops)
    repairs = by_repair(weighed.ranking, bench.shop.repair)
    together = _mended_together(bench, cause if mode else known)
    return Result(
        ranking=weighed.ranking,
        cause=cause,
        repair=repair,
        repairs=repairs,
        same_repair=same_repairs(bench, weighed.ranking),
        behind=_behind(mode, weighed.ranking) if mode else (),
        pairs=tuple(pair for pair in weighed.pairs if pair[2] >= SHOWN),
        root_causes=tuple(_root_causes(walk, mode, rules)) if mode else (),
        fix=_fix(mode, stops),
        parts=mode.parts if mode and not ended else (),
        verify=proof(bench, mode.verify) if mode and not ended else None,
        prevention=mode.prevention if mode else (),
        cautions=_cautions(walk, mode, rules),
        because=() if quick else reason_lines(belief, together, bench.healthy),
        leaned_on=bench.rig.assumed,
        why_stopped=why_stopped,
        minutes=walk.minutes,
        questions=walk.questions,
        evidence=belief.evidence,
        stops=stops,
        findings=(
            *drift_sentences(belief.evidence, bench.healthy),
            *finding_sentences(rules, belief.evidence),
        ),
        fit=FITS if quick else goodness_of_fit(bench.predictions, belief),
        borrow=None if quick else _to_borrow(walk, belief, repairs),
    )


def _to_borrow(walk: Walk, belief: Posterior, repairs: dict[str, float]) -> Borrow | None:
    """What to borrow, unless one repair is likely enough as it is."""
    if not walk.means.lacks or max(repairs.values()) >= walk.bench.model.figures.get("stop-at"):
        return None
    return borrow(walk, belief)


def cause_title(bench: Bench, mode: str) -> str:
    """A failure mode in words."""
    return title(bench.shop.catalogue, mode)
