"""Every failure mode has a proof: readings as a person takes them, which must rank it first.

The cases lie in cases/proof, one a failure mode, and in cases/awkward; their numbers are worked by
hand from Ohm's law and from common practice, as the comment in each says. A case either ranks its
failure mode first or names the ones that it cannot be told from. What `expect` may hold:

    first: the failure mode that leads the ranking
    same_repair, cannot_be_told_from: others that may lead instead, with `reason`
    two_faults: two failure modes that must both be among the first three
    pair_told: two failure modes that must be told together as two faults at once, where the
        findings are too few for them to lead the ranking
    no_cause_above: a probability
    misfit: true where the walk must say that the book does not fit what was found
    behind: failure modes that must be named as what may lie behind the cause
    root_cause: words of the cause behind the cause, alternatives parted by |
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import rig_in
from diagnose.documents import Section, load
from diagnose.outcome import Result, conclude
from diagnose.reasoning.evidence import read_answers
from diagnose.reasoning.hypotheses import OTHER
from diagnose.walkthrough import Walk

CASES = Path(__file__).parents[2] / "cases"
PROOF, AWKWARD = (sorted((CASES / folder).glob("*.yaml")) for folder in ("proof", "awkward"))
RESULTS = (
    *("main-fuse-blown", "control-fuse-blown", "fuse-holder-corroded", "fuse-holder-loose"),
    *("relay-contacts-resistive", "relay-contacts-open", "relay-contacts-welded"),
    *("relay-socket-resistive", "pressure-switch-burnt", "pressure-switch-welded"),
    *("master-switch-resistive", "float-stuck-closed", "motor-winding-shorted"),
    "motor-thermal-tripped",
)
"""Failure modes that are the result of something: a blown fuse, burnt contact, melted holder."""

TOLD = 2
"""Pairs of faults that a result tells."""

BenchOf = Callable[[str], Bench]


@dataclass(frozen=True)
class Expect:
    """What a case says of its own outcome; empty where it says nothing."""

    first: str
    same_repair: tuple[str, ...]
    cannot_be_told_from: tuple[str, ...]
    two_faults: tuple[str, ...]
    behind: tuple[str, ...]
    root_cause: str
    pair_told: tuple[str, ...]
    no_cause_above: float
    misfit: bool


def expect_in(section: Section) -> Expect:
    """The `expect` of a case file; whoever may lead beside `first` needs a reason."""
    found = Expect(
        first=section.text("first", default=""),
        same_repair=section.texts("same_repair", default=()),
        cannot_be_told_from=section.texts("cannot_be_told_from", default=()),
        two_faults=section.texts("two_faults", default=()),
        pair_told=section.texts("pair_told", default=()),
        behind=section.texts("behind", default=()),
        root_cause=section.text("root_cause", default=""),
        no_cause_above=section.number("no_cause_above", default=1.0),
        misfit=section.flag("misfit", default=False),
    )
    if found.same_repair or found.cannot_be_told_from or section.has("reason"):
        section.text("reason")
    return found


@dataclass(frozen=True)
class Replayed:
    """A case: its id, what it comes to and what it should come to."""

    id: str
    result: Result
    expect: Expect


def replay(path: Path, shop: Shop, bench_of: BenchOf) -> Replayed:
    """The findings of a case file put into a walk on its rig, and concluded from."""
    document = load(path)
    bench = (
        bench_of(document.text("rig"))
        if document.has("rig")
        else Bench.for_rig(rig_in(document.section("rig_file")), shop)
    )
    name = document.text("id")
    for told in ("happened", "source"):
        document.text(told)
    expect = expect_in(document.section("expect"))
    walk = Walk(bench)
    walk.tell(read_answers(document, bench.shop.catalogue, bench.rig, bench.hypotheses.facts))
    return Replayed(name, conclude(walk), expect)


def named(path: Path) -> str:
    return path.stem


@pytest.mark.parametrize("path", [*PROOF, *AWKWARD], ids=named)
def test_a_case_ends_where_it_should(path: Path, shop: Shop, bench_of: BenchOf) -> None:
    """Its fault leads, and the cause behind the cause is named."""
    case = replay(path, shop, bench_of)

    assert case.id == path.stem
    ends_with_its_fault(case.result, case.expect)
    names_the_cause_behind_the_cause(case.result, case.expect)


def ends_with_its_fault(result: Result, expect: Expect) -> None:
    leader = result.ranking[0][0]

    if expect.first:
        assert leader in (expect.first, *expect.same_repair, *expect.cannot_be_told_from)
    if expect.two_faults:
        assert set(expect.two_faults) <= {name for name, _ in result.ranking[:3]}
    assert expect.no_cause_above >= max(p for name, p in result.ranking if name != OTHER)
    if expect.pair_told:
        assert set(expect.pair_told) in [{a, b} for a, b, _ in result.pairs[:TOLD]]
    if expect.misfit:
        assert not result.fit.fits
        assert result.fit.odd


def names_the_cause_behind_the_cause(result: Result, expect: Expect) -> None:
    behind = {name for name, p in (*result.behind, *result.ranking) if p > 0.05}
    causes = " ".join(f"{cause.cause} {cause.mend}" for cause in result.root_causes)

    assert set(expect.behind) <= behind
    assert not expect.root_cause or any(word in causes for word in expect.root_cause.split("|"))
    if result.cause in RESULTS:
        assert result.behind or result.root_causes


@pytest.mark.parametrize("path", [*PROOF, *AWKWARD], ids=named)
def test_a_case_says_whether_it_is_invented(path: Path) -> None:
    assert load(path).text("happened").startswith(("Invented.", "Seen."))


@pytest.mark.parametrize("path", [*PROOF, *AWKWARD], ids=named)
def test_those_said_to_share_a_repair_do(path: Path, shop: Shop) -> None:
    expect = expect_in(load(path).section("expect"))
    repairs = {shop.repair[name] for name in (expect.first, *expect.same_repair) if name}

    assert len(repairs) <= 1


def test_every_failure_mode_has_its_proof(shop: Shop) -> None:
    proven = {expect_in(load(path).section("expect")).first for path in PROOF}

    assert {path.stem for path in PROOF} == proven == set(shop.catalogue.failure_modes)


@pytest.mark.parametrize("mode", RESULTS)
def test_a_result_always_has_something_behind_it(mode: str, shop: Shop) -> None:
    """Whatever the rig: what the book knows of a result in general is never empty."""
    entry = shop.catalogue.failure_modes[mode]

    assert entry.result_of or any(not cause.when for cause in entry.root_causes)
