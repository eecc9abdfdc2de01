"""Priors that learn from confirmed cases.

The expert prior counts as a stated number of cases (figure learning-prior-cases). Two Dirichlet
distributions, one above the other: groups share the whole, and members share their group. A case
so lifts the whole group of its failure mode at once, and its own share within the group besides.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from diagnose.casebook.brief import Brief, confirmed_counts
from diagnose.catalogue.part_names import template_of
from diagnose.figures import shipped_figures

WORTH = "learning-prior-cases"


def dirichlet_mean(
    prior: Mapping[str, float], counts: Mapping[str, float], worth: float
) -> dict[str, float]:
    """Mean shares after counting: (A p + n) / (A + N), with A the `worth` of the prior in cases.

    prior: shares that sum to one; counts: cases of each, names outside the prior left out

    Source: mean of a Dirichlet distribution after multinomial counts, standard result. Worked
    rows: tests/tables/learned_priors.yaml.
    """
    total = worth + sum(counts.get(name, 0) for name in prior)
    return {name: (worth * share + counts.get(name, 0)) / total for name, share in prior.items()}


def learned_prior(
    prior: Mapping[str, float],
    groups: Mapping[str, str],
    counts: Mapping[str, float],
    worth: float | None = None,
) -> dict[str, float]:
    """The prior of each failure mode after the shop's own cases; sums to one.

    prior: expert prior of the failure modes that a rig can have; groups: the group of each;
    counts: confirmed cases of each, others left out; worth: cases that the prior is worth

    share of a group: (A P(g) + n(g)) / (A + N); of a member in it: (A P(m|g) + n(m)) / (A + n(g)).
    """
    cases = shipped_figures().get(WORTH) if worth is None else worth
    whole = sum(prior.values())
    members: dict[str, dict[str, float]] = {}
    for mode, share in prior.items():
        members.setdefault(groups.get(mode, mode), {})[mode] = share / whole
    sizes = {group: sum(shares.values()) for group, shares in members.items()}
    tallies = {g: sum(counts.get(m, 0) for m in shares) for g, shares in members.items()}
    of_group = dirichlet_mean(sizes, tallies, cases)
    return {
        mode: of_group[group] * share
        for group, shares in members.items()
        for mode, share in _within(shares, sizes[group], counts, cases).items()
    }


def _within(
    shares: Mapping[str, float], size: float, counts: Mapping[str, float], cases: float
) -> dict[str, float]:
    """Learned shares of the members of one group, whose priors sum to `size`."""
    inside = {mode: share / size if size else 1 / len(shares) for mode, share in shares.items()}
    return dirichlet_mean(inside, counts, cases)


@dataclass(frozen=True)
class Change:
    """What the shop's cases did to one failure mode; expert, learned: prior before and after."""

    mode: str
    group: str
    expert: float
    learned: float
    cases: int
    group_cases: int
    total: int

    @property
    def text(self) -> str:
        """ "this shop: 7 of 31"."""
        return f"this shop: {self.cases} of {self.total}"


@dataclass(frozen=True)
class Learning:
    """The confirmed cases of a casebook, as a change of priors: reasoning.hypotheses.Learn.

    counts: confirmed cases of each failure mode of the book; groups: the group of each
    """

    counts: Mapping[str, int]
    groups: Mapping[str, str]
    worth: float | None = None

    def __call__(self, prior: Mapping[str, float]) -> dict[str, float]:
        """The prior of a rig with the cases taken in; as it was where none of them bears on it."""
        if not self.total(prior):
            return dict(prior)
        groups = {mode: self.group(mode) for mode in prior}
        return learned_prior(prior, groups, self._shared(prior), self.worth)

    def of(self, mode: str) -> int:
        """Confirmed cases of one failure mode, whichever part of its kind it befell."""
        return self.counts.get(template_of(mode), 0)

    def group(self, mode: str) -> str:
        """The component group of a failure mode; itself where it has none."""
        return self.groups.get(template_of(mode), mode)

    def _shared(self, modes: Collection[str]) -> dict[str, float]:
        """The cases of each; of a fault that several parts of a rig can have, an equal share."""
        times = Counter(map(template_of, modes))
        return {mode: self.of(mode) / times[template_of(mode)] for mode in modes}

    def total(self, modes: Iterable[str]) -> int:
        """Confirmed cases of any of `modes`."""
        return sum(self.counts.get(mode, 0) for mode in {template_of(mode) for mode in modes})

    def says(self, mode: str, modes: Iterable[str]) -> str:
        """ "this shop: 7 of 31" for one of the `modes` that a rig can have; "" without cases."""
        total = self.total(modes)
        return f"this shop: {self.of(mode)} of {total}" if total else ""

    def changes(self, prior: Mapping[str, float]) -> tuple[Change, ...]:
        """What changed for every failure mode of a prior, the largest change first."""
        learned, total = self(prior), self.total(prior)
        whole = sum(prior.values())
        found = [
            Change(
                mode,
                group := self.group(mode),
                share / whole,
                learned[mode],
                self.of(mode),
                self.total(m for m in prior if self.group(m) == group),
                total,
            )
            for mode, share in prior.items()
        ]
        return tuple(sorted(found, key=lambda c: (-abs(c.learned - c.expert), c.mode)))


def learning_from(briefs: Iterable[Brief], groups: Mapping[str, str]) -> Learning:
    """What the confirmed cases among these teach; groups: failure mode to component group."""
    return Learning(confirmed_counts(briefs), groups)
