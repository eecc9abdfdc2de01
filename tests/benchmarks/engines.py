"""Our ranking and our rules beside general engines that do the same."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator, Sequence
from importlib import import_module
from typing import Any

import numpy as np
from rows import Row, at_least, at_most, in_turn
from walks import Walked

from diagnose.catalogue.rule_records import Condition, RuleRecord
from diagnose.circuit.parameters import Array
from diagnose.reasoning.posterior import Posterior, posterior
from diagnose.reasoning.rules.conclusions import Conclusions, Symbols
from diagnose.walkthrough import Walk

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


def _network(agrum: Any, belief: Posterior) -> Any:
    """One variable for the hypotheses, one child of it for each finding."""
    prior = np.append(belief.hypotheses.weight, belief.hypotheses.other)
    network = agrum.BayesNet()
    cause = network.add(agrum.LabelizedVariable("cause", "", len(prior)))
    network.cpt(cause).fillWith(list(prior / prior.sum()))
    for index, row in enumerate(np.exp(belief.factors)):
        shown = row / row.max()
        finding = network.add(agrum.LabelizedVariable(str(index), "", 2))
        network.addArc(cause, finding)
        network.cpt(finding).fillWith(list(np.stack([shown, 1 - shown], axis=1).ravel()))
    return network


def _asked(inference: Any, findings: int) -> Any:
    inference.setEvidence({str(index): 0 for index in range(findings)})
    inference.makeInference()
    return inference.posterior("cause")


def ranking(walks: Sequence[Walked]) -> Iterator[Row]:
    """The posterior over all hypotheses, by pyAgrum's exact inference and by us."""
    agrum = _engine("pyagrum")
    if agrum is None:
        yield Row("ranking against pyagrum", "not installed")
        return
    ratios, apart = [], []
    for walk in walks[:COMPARED]:
        belief = posterior(walk.bench.predictions, walk.evidence)
        inference = agrum.LazyPropagation(_network(agrum, belief))
        theirs: Callable[[], Any] = lambda: _asked(inference, len(walk.evidence))  # noqa: B023
        ours = lambda: posterior(walk.bench.predictions, walk.evidence)  # noqa: B023, E731
        slow, fast = in_turn(theirs, ours, 5)
        ratios.append(slow / fast)
        column: Array = np.array(theirs().tolist())
        apart.append(float(np.abs(np.append(belief.column, belief.other) - column).max()))
    yield at_least("ranking: pyagrum's inference over ours", float(np.median(ratios)), FASTER, "x")
    yield at_most("  largest difference in a probability", max(apart), EQUAL, "")


class Clips:
    """The rules in CLIPS, a forward-chaining engine written in C."""

    def __init__(self, clips: Any, rules: Sequence[RuleRecord]) -> None:
        self.env = clips.Environment()
        for kind in ("seen", "reading", "rig", "suspect", "finding"):
            self.env.build(f"(deftemplate {kind} (slot name) (slot value))")
        self.env.build("(deftemplate fired (slot rule) (slot on))")
        for rule in rules:
            self.env.build(_rule(rule))

    def run(self, symbols: Symbols) -> set[tuple[str, str]]:
        """Every rule that fires, with the reading its pattern matched, or ""."""
        self.env.reset()
        for kind in ("seen", "reading", "rig", "suspect"):
            template = self.env.find_template(kind)
            for name, value in symbols.given(kind).items():  # type: ignore[arg-type]
                template.assert_fact(name=name, value=value)
        self.env.run()
        facts = (fact for fact in self.env.facts() if fact.template.name == "fired")
        return {(fact["rule"], fact["on"]) for fact in facts}


def _rule(rule: RuleRecord) -> str:
    given_first = sorted(rule.when, key=lambda condition: condition.negated)
    conditions = " ".join(map(_condition, given_first))
    on = "?on" if any(one.is_pattern for one in rule.when) else '""'
    finding = f'(assert (finding (name "{rule.finding}")))' if rule.finding else ""
    return f'(defrule {rule.id} {conditions} => {finding} (assert (fired (rule "{rule.id}") (on {on}))))'


def _condition(condition: Condition) -> str:
    name = f'"{condition.name}"'
    if condition.is_pattern:
        name = f'?on&:(eq 1 (str-index "{condition.name.rstrip("*")}" ?on))'
    values = "|".join(f'"{value}"' for value in condition.values)
    fact = f"({condition.kind} (name {name})" + (f" (value {values}))" if values else ")")
    return f"(not {fact})" if condition.negated else fact


def _fired(conclusions: Conclusions) -> set[tuple[str, str]]:
    return {(firing.rule.id, firing.on) for firing in conclusions.firings}


def _situation(walk: Walked) -> Symbols:
    again = Walk(walk.bench)
    again.tell(walk.evidence)
    return again._symbols(walk.evidence, again.belief())


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
