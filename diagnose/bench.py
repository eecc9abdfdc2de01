"""What is made ready once and shared by all walks: the knowledge, and one rig's circuits."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.templates import for_rig as expand
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig
from diagnose.reasoning.available_tests import Test, tests_for
from diagnose.reasoning.calibration import CalibratedRig
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.complaint import given_complaint
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.hypotheses import Hypotheses, Learn, build
from diagnose.reasoning.next_test import TestChooser
from diagnose.reasoning.outcome_table import OutcomeTable, asked_of
from diagnose.reasoning.predictions import Predictions
from diagnose.reasoning.rules.book import RuleBook, rejecting_rules


@dataclass(frozen=True)
class Shop:
    """The knowledge that walks are made with."""

    catalogue: Catalogue
    book: RuleBook
    refusals: RuleBook

    @cached_property
    def repair(self) -> Mapping[str, str]:
        """Failure mode to repair."""
        return {mode.id: mode.repair for mode in self.catalogue.failure_modes.values()}

    @classmethod
    @cache
    def shipped(cls) -> Shop:
        """What comes with the program, read and compiled once."""
        rules = shipped_rules()
        return cls(shipped_catalogue(), RuleBook(rules), RuleBook(rejecting_rules(rules)))


@dataclass(frozen=True)
class Bench:
    """What is computed once for a rig, and shared by all walks on it.

    learn: what took the shop's own cases into the priors, if anything did; own: the rig's own
    readings of when it was new, if there are any
    """

    shop: Shop
    rig: Rig
    model: Model
    hypotheses: Hypotheses
    predictions: Predictions
    healthy: Healthy
    learn: Learn | None = None
    own: CommissioningRecord | None = None

    @classmethod
    def for_rig(
        cls,
        rig: Rig,
        shop: Shop,
        learn: Learn | None = None,
        own: CommissioningRecord | None = None,
    ) -> Bench:
        """learn: takes the shop's own cases into the priors (casebook.learning); own: the rig's own
        readings. The bench's shop knows each listed part of the rig by its name."""
        shop = replace(shop, catalogue=expand(shop.catalogue, rig))
        model = Model.of(rig)
        known = CalibratedRig(shop.catalogue, model, own) if own else None
        if known is not None:
            model = replace(model, well=known.well)
        hypotheses = build(shop.catalogue, model, learn, known.draws if known else None)
        predictions = Predictions(shop.catalogue, hypotheses)
        tests = tests_for(shop.catalogue, rig, hypotheses.facts)
        predictions.prepare(*asked_of(tests))
        predictions = given_complaint(predictions)
        healthy = Healthy(shop.catalogue, model, known)
        return cls(shop, rig, model, predictions.hypotheses, predictions, healthy, learn, own)

    @cached_property
    def tests(self) -> Mapping[str, Test]:
        """Everything that can be asked on this rig, by id."""
        found = tests_for(self.shop.catalogue, self.rig, self.hypotheses.facts)
        return {test.id: test for test in found}

    @cached_property
    def chooser(self) -> TestChooser:
        chances = OutcomeTable(self.predictions, tuple(self.tests.values()))
        return TestChooser(chances, self.shop.repair, self.model.figures)
