"""Every shipped rule can fire, does what it says, and fits some rig."""

from collections.abc import Callable, Iterable
from itertools import product

import pytest

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.rule_records import (
    RIG_FACTS,
    VERDICTS,
    Condition,
    Consequence,
    RuleRecord,
    ThenBlock,
    ThenCaution,
    ThenFinding,
    ThenReject,
    ThenRootCause,
    ThenStop,
)
from diagnose.circuit.model import Model
from diagnose.circuit.rig import bundled_rigs, open_rig
from diagnose.design.facts import rig_facts
from diagnose.reasoning.rules.book import RuleBook
from diagnose.reasoning.rules.conclusions import Conclusions, Firing, Symbols

RULES = shipped_rules()
FIELD = {"seen": "seen", "reading": "read", "rig": "rig", "suspect": "suspects"}
each_rule = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)


def giver_of(finding: str) -> RuleRecord:
    return next(rule for rule in RULES if rule.finding == finding)


def needed(rule: RuleRecord) -> list[Condition]:
    """All that must be given for the rule to fire: a finding stands for what gives it."""
    wanted: list[Condition] = []
    for condition in rule.when:
        if condition.kind == "finding":
            wanted += needed(giver_of(condition.name))
        else:
            wanted.append(condition)
    return wanted


def value_of(condition: Condition) -> str:
    if condition.values:
        return condition.values[0]
    return "leading" if condition.kind == "suspect" else "any"


def symbols_for(conditions: list[Condition]) -> Symbols:
    given: dict[str, dict[str, str]] = {field: {} for field in FIELD.values()}
    for condition in conditions:
        given[FIELD[condition.kind]].setdefault(condition.name, value_of(condition))
    return Symbols(**given)


KINDS: dict[type[Consequence], Callable[[Conclusions], Iterable[Firing[Consequence]]]] = {
    ThenFinding: lambda found: found.findings,
    ThenBlock: lambda found: found.blocks,
    ThenCaution: lambda found: found.cautions,
    ThenStop: lambda found: found.stops,
    ThenReject: lambda found: found.rejections,
    ThenRootCause: lambda found: found.root_causes,
}


def says(conclusions: Conclusions, rule: RuleRecord) -> bool:
    """Whether what the rule promises is among the conclusions of its kind, with its reason."""
    found = [one for one in KINDS[type(rule.then)](conclusions) if one.rule.id == rule.id]
    return [(one.then, one.because) for one in found] == [(rule.then, rule.because)]


def answers_of(rule: RuleRecord) -> list[str]:
    """The tests whose answers the rule asks for."""
    return [one.name for one in rule.when if one.kind in ("seen", "reading")]


@each_rule
def test_rule_fires_on_what_it_asks_for(rule: RuleRecord, book: RuleBook) -> None:
    conclusions = book.run(symbols_for(needed(rule)))

    assert says(conclusions, rule)
    firing = conclusions.why(rule.id)
    assert firing is not None
    assert set(firing.raised_by) == set(answers_of(rule))
    assert len(firing.facts) == len(rule.when) + len(rule.unless)
    assert all(fact.value for fact in firing.facts if fact.kind != "finding" and not fact.negated)


@each_rule
def test_rule_needs_each_of_its_conditions(rule: RuleRecord, book: RuleBook) -> None:
    own = [one for one in rule.when if one.kind != "finding"]
    for condition in own:
        rest = [one for one in needed(rule) if one != condition]
        assert not book.run(symbols_for(rest)).why(rule.id), condition


@pytest.mark.parametrize("rule", [one for one in RULES if one.unless], ids=lambda one: one.id)
def test_rule_keeps_still_when_what_it_excludes_is_there(rule: RuleRecord, book: RuleBook) -> None:
    for condition in rule.unless:
        assert not book.run(symbols_for([condition, *needed(rule)])).why(rule.id), condition


RIGS = [
    {"topology": topology, "control": control, "remote": remote}
    for topology, control, remote in product(
        RIG_FACTS["topology"], RIG_FACTS["control"], RIG_FACTS["remote"]
    )
    if (topology, remote) != ("direct", "yes")
]


def may_be_there(condition: Condition, rig: dict[str, str]) -> bool:
    """Whether a rig can have what is asked for: its observation, reading or failure mode."""
    catalogue = shipped_catalogue()
    if condition.kind == "rig":
        return rig.get(condition.name, condition.values[0]) in condition.values
    entries = {
        "seen": catalogue.observations,
        "reading": catalogue.readings,
        "suspect": catalogue.failure_modes,
    }[condition.kind]
    applies = entries[condition.name].applies
    return all(rig.get(fact, values[0]) in values for fact, values in applies.items())


@each_rule
def test_rule_fits_some_rig(rule: RuleRecord) -> None:
    assert any(all(may_be_there(one, rig) for one in needed(rule)) for rig in RIGS)


def test_every_verdict_and_rig_fact_is_a_word_of_the_rules() -> None:
    for name in bundled_rigs():
        for fact, value in rig_facts(Model.of(open_rig(name))).items():
            assert value in RIG_FACTS[fact], (name, fact)
    asked = {
        value
        for rule in RULES
        for one in rule.when
        if one.kind == "reading"
        for value in one.values
    }
    assert asked <= set(VERDICTS)


def test_every_stop_is_raised_by_an_answer_or_a_suspicion() -> None:
    """Each stop of the book, and none by what rests on the shape of the rig alone."""
    stops = {rule.then.stop: rule for rule in RULES if isinstance(rule.then, ThenStop)}
    assert set(stops) == set(shipped_catalogue().stops)
    for rule in stops.values():
        assert {"seen", "reading", "suspect"} & {one.kind for one in rule.when}, rule.id


def test_every_result_has_a_root_cause_among_the_rules() -> None:
    """A failure mode that is often a result must not end a walk without a cause behind it."""
    explained = {rule.then.of for rule in RULES if isinstance(rule.then, ThenRootCause)}
    results = {mode.id for mode in shipped_catalogue().failure_modes.values() if mode.result_of}
    assert results <= explained


def test_reasons_and_titles_are_each_rule_s_own() -> None:
    titles = [rule.title for rule in RULES]
    assert len(set(titles)) == len(titles)
    for rule in RULES:
        assert rule.because[-1] in ".?", rule.id
        assert len(rule.because) <= 160, rule.id
