"""The proofs of the rules at work: each rule says what its proof wants, and is silent elsewhere."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from functools import cached_property

from diagnose.catalogue.issues import Found, Issue, Severity
from diagnose.catalogue.part_names import template_of
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.rule_proofs import Proof, Situation
from diagnose.catalogue.rule_records import (
    Condition,
    Consequence,
    RuleRecord,
    ThenBlock,
    ThenCaution,
    ThenFinding,
    ThenReject,
    ThenRootCause,
)
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig
from diagnose.design.facts import rig_facts
from diagnose.errors import DiagnoseError, UnknownName
from diagnose.reasoning.evidence import Evidence, Measured, check_answer, parse_reading
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.explanation import sentence
from diagnose.reasoning.hypotheses import applicable
from diagnose.reasoning.rules.book import RuleBook
from diagnose.reasoning.rules.conclusions import Conclusions, Symbols, symbols_of
from diagnose.record_places import under

CODE = "P701"
"""Code of the one check made here: every rule concludes what its proof wants, and is silent where
it has to be."""


def proof_issues(
    rules: Collection[RuleRecord], proofs: Iterable[Proof], catalogue: Catalogue
) -> tuple[Issue, ...]:
    """Every proof that does not hold, as something that must be fixed, with its place.

    rules: all of the book, since some build on the findings of others.
    """
    prover = _Prover(RuleBook(rules), catalogue)
    by_id = {rule.id: rule for rule in rules}
    found = (pair for proof in proofs for pair in prover.mistakes(by_id[proof.rule], proof))
    return tuple(Issue(CODE, Severity.MUST_FIX, place, text) for place, text in found)


class _Ground:
    """One rig with what the rules need of it."""

    def __init__(self, rig: Rig, catalogue: Catalogue) -> None:
        model = Model.of(rig)
        self.rig, self.facts = rig, rig_facts(model)
        self.healthy = Healthy(for_rig(catalogue, rig), model)

    @cached_property
    def modes(self) -> frozenset[str]:
        """The failure modes that this rig can have, as rules name them."""
        found = applicable(self.healthy.catalogue, self.facts, self.rig)
        return frozenset(template_of(mode.id) for mode in found)

    def evidence(self, situation: Situation) -> Iterator[Evidence]:
        """What was seen and read. Raises DiagnoseError where that cannot be on this rig."""
        book = self.healthy.catalogue
        for name, (option, place) in situation.seen.items():
            yield check_answer(book, self.facts, name, option, place)
        for line, place in situation.read:
            yield parse_reading(line, book, self.rig, place)

    def symbols(self, situation: Situation) -> Symbols:
        """The same as symbols, with what is suspected. Raises DiagnoseError."""
        for name, (_, place) in situation.suspects.items():
            if name not in self.modes:
                raise UnknownName("failure mode of this rig", name, place)
        suspects = {name: strength for name, (strength, _) in situation.suspects.items()}
        return symbols_of(self.evidence(situation), self.healthy, self.facts, suspects)

    def readings(self, situation: Situation) -> dict[str, Measured]:
        """What was read, by reading."""
        return {one.id: one for one in self.evidence(situation) if isinstance(one, Measured)}


@dataclass
class _Prover:
    """Runs proofs; each rig is made ready once."""

    book: RuleBook
    catalogue: Catalogue
    _grounds: dict[Rig, _Ground] = field(default_factory=dict)

    def mistakes(self, rule: RuleRecord, proof: Proof) -> Found:
        """What is wrong with one proof."""
        try:
            yield from self._speaks(rule, proof)
            yield from self._keeps_silent(rule, proof)
        except DiagnoseError as problem:
            yield problem.place or proof.place, problem.message

    def _speaks(self, rule: RuleRecord, proof: Proof) -> Found:
        ground = self._ground(proof.holds)
        symbols = ground.symbols(proof.holds)
        conclusions = self.book.run(symbols)
        if conclusions.why(rule.id) is None:
            yield proof.place, f"{rule.id} does not fire: {_unmet(rule, symbols, conclusions)}"
            return
        read = ground.readings(proof.holds)
        for wanted, place in proof.concludes:
            instead = _instead(rule.then, wanted, read)
            if instead:
                yield place, f"{rule.id} should conclude this, and {instead}"

    def _keeps_silent(self, rule: RuleRecord, proof: Proof) -> Found:
        met = set[Condition]()
        for situation in proof.silent:
            symbols = self._ground(situation).symbols(situation)
            conclusions = self.book.run(symbols)
            met |= {one for one in rule.unless if _holds(one, symbols, conclusions)}
            if conclusions.why(rule.id) is not None:
                yield situation.place, f"{rule.id} should keep silent here, and fires"
        for number, condition in enumerate(rule.unless, 1):
            if condition not in met:
                yield (
                    under(rule.place, "unless", number),
                    "no silent situation of its proof has this",
                )

    def _ground(self, situation: Situation) -> _Ground:
        if situation.rig not in self._grounds:
            self._grounds[situation.rig] = _Ground(situation.rig, self.catalogue)
        return self._grounds[situation.rig]


def _instead(then: Consequence, wanted: str, read: Mapping[str, Measured]) -> str:
    """What a conclusion says in place of what is wanted; "" where it says just that."""
    if isinstance(then, ThenBlock):
        kept_off = any(fnmatchcase(wanted, pattern) for pattern in then.tests)
        return "" if kept_off else "does not keep it off"
    if isinstance(then, ThenRootCause):
        return "" if wanted in then.cause else f"says {then.cause!r}"
    if isinstance(then, ThenFinding):
        found = sentence(then, read) or then.name
    elif isinstance(then, ThenReject):
        found = then.name
    else:
        found = then.caution if isinstance(then, ThenCaution) else then.stop
    return "" if found == wanted else f"says {found!r}"


def _unmet(rule: RuleRecord, symbols: Symbols, conclusions: Conclusions) -> str:
    """The conditions that keep a rule from firing, with what is known instead."""
    lacking = [one for one in rule.when if not _holds(one, symbols, conclusions)]
    forbidden = [one for one in rule.unless if _holds(one, symbols, conclusions)]
    return "; ".join(
        f"{one.kind} {one.name} is {symbols.given(one.kind).get(one.name, 'not known')}"
        for one in (*lacking, *forbidden)
    )


def _holds(condition: Condition, symbols: Symbols, conclusions: Conclusions) -> bool:
    if condition.kind == "finding":
        return condition.name in conclusions.finding_names()
    given = symbols.given(condition.kind)
    return condition.name in given and condition.accepts(condition.name, given[condition.name])
