"""Counts of causes over the learning half, and what the estimated priors expected on its rigs:
python -m tests.recorded --base-rates prints knowledge/base_rates.yaml's counts.

Only the cause repaired first counts; cases whose cause is not in the book say nothing of the modes
in it and are left out.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from math import lgamma, log

from diagnose.bench import Bench
from diagnose.catalogue.base_rates import Count
from diagnose.catalogue.part_names import template_of
from diagnose.reasoning import OTHER
from tests.recorded.records import Record, bench, records


def estimated_prior(one: Bench) -> dict[str, float]:
    """Prior of each failure mode (templates by their own id) on a rig, before any counts."""
    modes = one.shop.catalogue.failure_modes
    raw = {name: p / modes[name].prior.counted for name, p in one.hypotheses.prior.items()}
    total = sum(raw.values())
    found: Counter[str] = Counter()
    for name, p in raw.items():
        found[template_of(name)] += p / total
    return dict(found)


def found_in(cases: Iterable[Record]) -> Counter[str]:
    """How often each failure mode was the cause."""
    return Counter(template_of(one.truth[0]) for one in cases if one.truth[0] != OTHER)


def counted(cases: Sequence[Record]) -> dict[str, Count]:
    """Found and expected for every failure mode, by id."""
    found, expected = found_in(cases), Counter[str]()
    for one in cases:
        if one.truth[0] != OTHER:
            expected.update(estimated_prior(bench(one)))
    return {name: Count(found[name], expected[name]) for name in sorted(expected | found)}


def log_evidence(counts: Mapping[str, Count], worth: float) -> float:
    """Log probability of the counts, each negative binomial (a Poisson count whose rate is Gamma
    distributed with mean `expected` and shape `worth`), up to what does not depend on worth."""
    return sum(
        lgamma(worth + one.found)
        - lgamma(worth)
        - (worth + one.found) * log(worth + one.expected)
        + worth * log(worth)
        for one in counts.values()
    )


def likeliest_worth(counts: Mapping[str, Count], steps: Sequence[float]) -> float:
    """The worth under which the counts are likeliest."""
    return max(steps, key=lambda worth: log_evidence(counts, worth))


def lines(counts: Mapping[str, Count]) -> list[str]:
    """The counts as they stand in the file; what is below a hundredth of a case is left out."""
    return [
        f"  {name}: {{found: {one.found:g}, expected: {one.expected:.2f}}}"
        for name, one in counts.items()
        if one.found or one.expected >= 0.01
    ]


def report() -> None:
    """Print the counts of the learning half, and what an estimate is worth by them."""
    cases = records("learning")
    counts = counted(cases)
    used = sum(one.truth[0] != OTHER for one in cases)
    best = likeliest_worth(counts, [step / 4 for step in range(1, 81)])
    print(
        f"# {len(cases)} cases, {used} with a cause that is in the book; likeliest worth {best:g}"
    )
    print(f"cases: {used}", "counts:", *lines(counts), sep="\n")
