"""Our ranking and our rules beside general engines that do the same."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from importlib import import_module
from statistics import median
from typing import Any

import numpy as np

from diagnose.catalogue.rule_records import Condition, RuleRecord
from diagnose.circuit.parameters import Array
from diagnose.reasoning.posterior import Posterior, posterior
from diagnose.reasoning.rules.conclusions import Conclusions, Symbols
from diagnose.refusing import symbols
from diagnose.walkthrough import Walk
from tests.tools.benchmarks.rows import Row, at_least, at_most, in_turn
from tests.tools.benchmarks.walks import Walked

FASTER, EQUAL = 30.0, 1e-9
"""Targets: our ranking against a general probabilistic library: how much faster, and how equal."""

COMPARED = 12
"""Walks of which the last state is compared."""


def _engine(name: str) -> Any:
    """A library of the bench extra, or None when it is not installed."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        try:
            return import_module(name)
        except ImportError:
            return None


@dataclass(frozen=True)
class Agrum:
    """The posterior of one walk in pyAgrum: a variable for the hypotheses, each once for every kind
    of person who may be answering, and a child a finding.

    shown: likelihood of each finding (row) under each of them, the largest of a row being 1; a
    reading has its own, so that its table must be made anew each time.
    """

    agrum: Any
    prior: Array
    shown: Array

    @classmethod
    def of(cls, agrum: Any, belief: Posterior) -> Agrum:
        alone = np.append(belief.hypotheses.weight, belief.hypotheses.other)
        prior = (belief.slips.share[:, None] * alone).ravel()
        factors = belief.factors.reshape(len(belief.factors), -1)
        shown = np.exp(factors - factors.max(axis=1, keepdims=True))
        return cls(agrum, prior / prior.sum(), shown)

    def network(self) -> Any:
        """The network with its tables."""
        network = self.agrum.BayesNet()
        cause = network.add(self.agrum.LabelizedVariable("cause", "", len(self.prior)))
        network.cpt(cause)[:] = self.prior
        for index, row in enumerate(self.shown):
            finding = network.add(self.agrum.LabelizedVariable(str(index), "", 2))
            network.addArc(cause, finding)
            network.cpt(finding)[:] = np.stack([row, 1 - row], axis=1)
        return network

    def infer(self, network: Any) -> Any:
        """Exact inference with all findings made."""
        inference = self.agrum.LazyPropagation(network)
        inference.setEvidence({str(index): 0 for index in range(len(self.shown))})
        inference.makeInference()
        return inference.posterior("cause")


def ranking(walks: Sequence[Walked]) -> Iterator[Row]:
    """The posterior over all hypotheses from what was answered, by pyAgrum and by us."""
    agrum = _engine("pyagrum")
    if agrum is None:
        yield Row("ranking against pyagrum", "not installed")
        return
    whole, alone, apart = [], [], []
    for walk in walks[:COMPARED]:
        belief = posterior(walk.bench.predictions, walk.evidence)
        theirs = Agrum.of(agrum, belief)
        ready = theirs.network()
        whole.append(_times(walk, partial(_anew, theirs)))
        alone.append(_times(walk, partial(theirs.infer, ready)))
        joint = np.array(theirs.infer(ready).tolist()).reshape(len(belief.person), -1)
        column: Array = joint.sum(axis=0)
        apart.append(float(np.abs(np.append(belief.column, belief.other) - column).max()))
    size = f"{len(walks[0].bench.hypotheses)} hypotheses"
    yield at_least(f"ranking, {size}: pyagrum with its tables", median(whole), FASTER, "x")
    yield Row("  pyagrum's inference alone", f"{median(alone):.3g} x")
    yield at_most("  largest difference in a probability", max(apart), EQUAL, "")


def _anew(theirs: Agrum) -> Any:
    return theirs.infer(theirs.network())


def _times(walk: Walked, theirs: Callable[[], Any]) -> float:
    """How many times as long theirs takes as our ranking of the same findings."""
    slow, fast = in_turn(theirs, partial(posterior, walk.bench.predictions, walk.evidence), 5)
    return slow / fast


class Clips:
    """The rules in CLIPS, a forward-chaining engine written in C."""

    def __init__(self, clips: Any, rules: Sequence[RuleRecord]) -> None:
        self.env = clips.Environment()
        for kind in ("seen", "reading", "rig", "suspect", "finding"):
            self.env.build(f"(deftemplate {kind} (slot name) (slot value))")
        self.env.build("(deftemplate fired (slot rule))")
        for rule in rules:
            self.env.build(_rule(rule))

    def run(self, symbols: Symbols) -> set[str]:
        """Every rule that fires."""
        self.env.reset()
        for kind in ("seen", "reading", "rig", "suspect"):
            template = self.env.find_template(kind)
            for name, value in symbols.given(kind).items():
                template.assert_fact(name=name, value=value)
        self.env.run()
        facts = (fact for fact in self.env.facts() if fact.template.name == "fired")
        return {fact["rule"] for fact in facts}


def _rule(rule: RuleRecord) -> str:
    absent = (f"(not {_condition(one)})" for one in rule.unless)
    conditions = " ".join([*map(_condition, rule.when), *absent])
    finding = f'(assert (finding (name "{rule.finding}")))' if rule.finding else ""
    fired = f'(assert (fired (rule "{rule.id}")))'
    return f"(defrule {rule.id} {conditions} => {finding} {fired})"


def _condition(condition: Condition) -> str:
    values = "|".join(f'"{value}"' for value in condition.values)
    value = f" (value {values})" if values else ""
    return f'({condition.kind} (name "{condition.name}"){value})'


def _fired(conclusions: Conclusions) -> set[str]:
    return {firing.rule.id for firing in conclusions.firings}


def _situation(walk: Walked) -> Symbols:
    again = Walk(walk.bench)
    again.tell(walk.evidence)
    return symbols(again.bench, walk.evidence, again.belief())


def rules(walks: Sequence[Walked], records: Sequence[RuleRecord]) -> Iterator[Row]:
    """One run of all rules on what is known at the end of a walk, in CLIPS and in ours."""
    clips = _engine("clips")
    if clips is None:
        yield Row("rules against clipspy", "not installed")
        return
    theirs, book = Clips(clips, records), walks[0].bench.shop.book
    situations = [_situation(walk) for walk in walks]
    differ = [s for s in situations if theirs.run(s) != _fired(book.run(s))]
    few = situations[:COMPARED]
    fast, slow = in_turn(
        lambda: [theirs.run(s) for s in few], lambda: [book.run(s) for s in few], 5
    )
    yield Row(f"rules: one run of {len(records)} rules", f"{slow / len(few) * 1e3:.1f} ms")
    yield Row("  over the same in CLIPS", f"{slow / fast:.0f} x")
    yield at_most(f"  situations of {len(situations)} with other rules fired", len(differ), 0, "")
