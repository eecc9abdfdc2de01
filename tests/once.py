"""What many tests would work out over and over, worked out once in a process.

Only what follows from its arguments alone is kept, and only for those who use it: whoever tests it
imports it from its own room and gets it as it is.
"""

from __future__ import annotations

import gc
import os
from functools import cache
from typing import Any

from typer import testing
from typer.main import get_command

from diagnose import outcome
from diagnose.bench import Bench, Shop
from diagnose.catalogue.issues import Issue
from diagnose.catalogue.lint import lint_folder
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.records import FailureMode
from diagnose.catalogue.rule_proofs import shipped_proofs
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig
from diagnose.drill import debrief, moves, path
from diagnose.drill.choosing import drawn, given
from diagnose.drill.path import Path, advised
from diagnose.drill.scenario import Scenario
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.hypotheses import Learn
from diagnose.reasoning.pairs import Pairs, weigh_pairs
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import Predictions
from diagnose.reasoning.rules.proofs import proof_issues
from diagnose.report import handbook_html
from diagnose.report.mode_page import ModePage, mode_page
from diagnose.report.telling_apart import Apart
from diagnose.terminal.drill import choice
from diagnose.terminal.handbook import handbook, quality

AFRESH = os.environ.get("MUTANT_UNDER_TEST") == "stats"
"""Whether mutmut notes which places each test reaches: what is worked out once would count for the
first test only."""

WRITTEN = handbook_html.handbook_html

FOR_RIG, BUILT, MOST_BENCHES = Bench.for_rig, list[tuple[Shop, Bench]](), 2
"""The benches of other rigs than the bundled ones that were built last, each with the shop that it
was asked of: its own knows the parts of its rig."""


RIGS = ("bowser", "header-tank", "mist-bench", "spray-trailer", "bilge")
"""The bundled rigs of what takes long on each: those described in short, and two that list their
parts; between them they have what rigs can have."""


def stays() -> None:
    """What stands by now stays to the end: it need not be looked through again and again."""
    gc.collect()
    gc.freeze()


@cache
def shop() -> Shop:
    return Shop.shipped()


@cache
def issues() -> tuple[Issue, ...]:
    """What lint says of the shipped knowledge."""
    return lint_folder()


@cache
def proofs_that_fail() -> tuple[Issue, ...]:
    """What the proofs of the shipped rules say."""
    return proof_issues(shipped_rules(), shipped_proofs(), shipped_catalogue())


@cache
def bench(name: str) -> Bench:
    """The bench of a bundled rig."""
    found = FOR_RIG(open_rig(name), shop())
    stays()
    return found


@cache
def _bundled() -> dict[Rig, str]:
    return {open_rig(name): name for name in bundled_rigs()}


def built_once(
    rig: Rig, shop_of_it: Shop, learn: Learn | None = None, own: CommissioningRecord | None = None
) -> Bench:
    """A bench that was built before, where there is one; of a rig held against its own readings a
    new one."""
    if own is not None:
        return FOR_RIG(rig, shop_of_it, learn, own)
    if learn is None and shop_of_it is shop() and rig in _bundled():
        return bench(_bundled()[rig])
    for made_with, one in BUILT:
        if made_with is shop_of_it and (one.rig, one.learn) == (rig, learn):
            return one
    BUILT.append((shop_of_it, FOR_RIG(rig, shop_of_it, learn)))
    del BUILT[:-MOST_BENCHES]
    return BUILT[-1][1]


def _kept(beside: object) -> dict[object, Any]:
    """What was worked out from this object; it goes when the object goes."""
    found: dict[object, Any] = vars(beside).setdefault("_worked_out_once", {})
    return found


def considered_once(predictions: Predictions, belief: Posterior) -> Pairs:
    kept = _kept(predictions)
    if belief.evidence not in kept:
        kept[belief.evidence] = weigh_pairs(predictions, belief)
    found: Pairs = kept[belief.evidence]
    return found


def drawn_once(on: Bench, level: int, seed: int, group: str = "") -> Scenario:
    kept, key = _kept(on), (level, seed, group)
    if key not in kept:
        kept[key] = drawn(on, level, seed, group)
    found: Scenario = kept[key]
    return found


def given_once(on: Bench, level: int, seed: int, mode: str) -> Scenario:
    kept, key = _kept(on), (level, seed, "one", mode)
    if key not in kept:
        kept[key] = given(on, level, seed, mode)
    found: Scenario = kept[key]
    return found


def advised_once(scenario: Scenario) -> Path:
    kept = _kept(scenario)
    if "advised" not in kept:
        kept["advised"] = advised(scenario)
    found: Path = kept["advised"]
    return found


def page(apart: Apart, mode: FailureMode) -> ModePage:
    """The page of a failure mode; that of a rig's handbook, where it has been written."""
    kept = _kept(apart.bench)
    if mode.id not in kept:
        kept[mode.id] = mode_page(apart, mode)
    found: ModePage = kept[mode.id]
    return found


def written_once(on: Bench) -> str:
    kept = _kept(on)
    if "handbook" not in kept:
        kept["handbook"] = WRITTEN(on)
    found: str = kept["handbook"]
    return found


def work_out_once() -> None:
    """Put these in the place of what they keep."""
    if AFRESH:
        return
    Bench.for_rig = built_once  # type: ignore[method-assign, assignment]
    vars(testing)["_get_command"] = cache(get_command)  # the commands of an app, from its options
    for user in (outcome, moves, path):
        vars(user)["consider"] = considered_once
    for user in (path, choice):
        vars(user)["drawn"] = drawn_once
    vars(choice)["given"] = given_once
    vars(quality)["lint_folder"] = issues
    vars(quality)["proof_issues"] = lambda *_: proofs_that_fail()
    vars(debrief)["advised"] = advised_once
    vars(handbook_html)["handbook_html"] = written_once
    for user in (handbook_html, handbook):
        vars(user)["mode_page"] = page
