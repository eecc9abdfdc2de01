"""Checks on the rules, beyond those that reading them makes: can they hold, and do they add."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from itertools import product

from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.rig_shapes import Shape
from diagnose.catalogue.rule_records import (
    STRENGTHS,
    VERDICTS,
    Condition,
    Consequence,
    Kind,
    RuleRecord,
    ThenBlock,
    ThenCaution,
    ThenFinding,
    ThenReject,
    ThenRootCause,
    ThenStop,
)
from diagnose.record_places import under


@dataclass(frozen=True)
class Way:
    """One way to meet a rule: what must be given, and what must not; neither names a finding."""

    there: tuple[Condition, ...]
    absent: tuple[Condition, ...]


_NUMBERS: Mapping[type[Consequence], str] = {
    ThenFinding: "R0",
    ThenBlock: "R1",
    ThenCaution: "R2",
    ThenStop: "R2",
    ThenReject: "R3",
    ThenRootCause: "R4",
}


@check("K701", Severity.MUST_FIX)
def rule_can_hold(knowledge: Knowledge) -> Found:
    """All that a rule asks for can be there at once, on some rig."""
    for rule in knowledge.rules:
        ways = _ways(rule, knowledge.rules)
        if not any(_may(w, s, knowledge.catalogue) for w, s in product(ways, knowledge.shapes)):
            yield under(rule.place, "when"), f"{rule.id} asks for what is never there at once"


def _ways(
    rule: RuleRecord, rules: Collection[RuleRecord], above: frozenset[str] = frozenset()
) -> Iterator[Way]:
    """Every way to meet a rule's conditions, each finding replaced by what gives it."""
    inside = above | {rule.id}
    for choice in product(*(list(_met(condition, rules, inside)) for condition in rule.when)):
        yield Way(
            tuple(one for way in choice for one in way.there),
            (*rule.unless, *(one for way in choice for one in way.absent)),
        )


def _met(
    condition: Condition, rules: Collection[RuleRecord], above: frozenset[str]
) -> Iterator[Way]:
    if condition.kind != "finding":
        yield Way((condition,), ())
        return
    for rule in rules:
        if rule.finding == condition.name and rule.id not in above:
            yield from _ways(rule, rules, above)


def _may(way: Way, shape: Shape, book: Catalogue) -> bool:
    """Whether all conditions can hold at once on a rig of this shape."""
    wanted = [one for one in way.there if one.kind == "suspect"]
    leaders = {one.name for one in wanted if one.values == ("leading",)}
    names = {(one.kind, one.name) for one in (*way.there, *way.absent)}
    return len(leaders) < 2 and all(_agree(*name, way, shape, book) for name in names)


def _agree(kind: Kind, name: str, way: Way, shape: Shape, book: Catalogue) -> bool:
    """Whether the conditions on one fact leave it a value; one that is only excluded may lack."""
    possible = left = _possible(kind, name, shape, book)
    wanted, excluded = (
        [set(one.values) or possible for one in part if (one.kind, one.name) == (kind, name)]
        for part in (way.there, way.absent)
    )
    for values in wanted:
        left = left & values
    for values in excluded:
        left = left - values
    return bool(left) or not (wanted or (kind == "rig" and possible))


def _possible(kind: Kind, name: str, shape: Shape, book: Catalogue) -> set[str]:
    """The values that a fact can have on a rig of this shape; none if it is never there."""
    if kind == "rig":
        return set(shape.facts.get(name, ()))
    if kind == "reading":
        return set(VERDICTS) if shape.has(book.readings[name]) else set()
    if kind == "suspect":
        return set(STRENGTHS) if shape.may(book.failure_modes[name].applies) else set()
    observation = book.observations[name]
    return set(observation.options) if shape.may(observation.applies) else set()


@check("K702", Severity.SHOULD_FIX)
def number_says_what_a_rule_does(knowledge: Knowledge) -> Found:
    """R0 rules find, R1 keep from asking, R2 warn or stop, R3 reject, R4 name root causes."""
    for rule in knowledge.rules:
        begins = _NUMBERS[type(rule.then)]
        if not rule.id.startswith(begins):
            yield under(rule.place, "id"), f"{rule.id} does what rules {begins}.. are for"


@check("K703", Severity.SHOULD_FIX)
def rule_says_something_new(knowledge: Knowledge) -> Found:
    """No rule asks for the same and concludes the same as another."""
    first: dict[tuple[frozenset[Condition], frozenset[Condition], Consequence], str] = {}
    for rule in knowledge.rules:
        asked = frozenset(rule.when), frozenset(rule.unless), rule.then
        same = first.setdefault(asked, rule.id)
        if same != rule.id:
            yield under(rule.place, "when"), f"{rule.id} says what {same} says"


@check("K704", Severity.SHOULD_FIX)
def rule_gives_its_reason(knowledge: Knowledge) -> Found:
    """A rule gives its reason in a whole sentence, which is shown, and names a source."""
    for rule in knowledge.rules:
        if not rule.because.rstrip().endswith((".", "?")):
            yield under(rule.place, "because"), "write a whole sentence; it is shown as it stands"
        if not rule.sources:
            yield under(rule.place, "sources"), "name where this comes from"


@check("K705", Severity.SHOULD_FIX)
def finding_is_read(knowledge: Knowledge) -> Found:
    """What a rule finds is read by another rule, or by a person as the sentence that it says."""
    asked = {one.name for rule in knowledge.rules for one in rule.when if one.kind == "finding"}
    for rule in knowledge.rules:
        then = rule.then
        if not isinstance(then, ThenFinding):
            continue
        if not then.says and then.name not in asked:
            place = under(rule.place, "then", "finding")
            yield place, f"nobody reads {then.name!r}: no rule asks for it, and it says nothing"
        if then.says and not then.says.endswith("."):
            place = under(rule.place, "then", "says")
            yield place, "write a whole sentence; it is shown as it stands"


@check("K706", Severity.SHOULD_FIX)
def rule_has_its_proof(knowledge: Knowledge) -> Found:
    """Every rule has a proof, and one with `unless` a situation in which it keeps silent."""
    proofs = {proof.rule: proof for proof in knowledge.proofs}
    for rule in knowledge.rules:
        proof = proofs.get(rule.id)
        if proof is None:
            yield rule.place, f"{rule.id} has no proof: a rig, a few answers, what it must conclude"
        elif rule.unless and not proof.silent:
            yield under(rule.place, "proof"), f"{rule.id} has an unless: say when it keeps silent"
