"""Belief and the worth of tests, against worked examples of the literature.

Figures and their sources: tests/tables/diagnosis_oracles.yaml. The examples are fed to the very
functions that rank faults on a rig: their causes stand where failure modes stand, their findings
where answers do.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest
import yaml

from diagnose.catalogue.records import Catalogue, Observation
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.errors import Place
from diagnose.figures import Figure, Figures
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.hypotheses import OTHER, Hypotheses
from diagnose.reasoning.next_test import Chances, Chooser, Test
from diagnose.reasoning.posterior import normalised, posterior
from diagnose.reasoning.predictions import Band, Predictions, likelihood

TABLE = Path(__file__).parent.parent / "tables" / "diagnosis_oracles.yaml"
ORACLES = yaml.safe_load(TABLE.read_text(encoding="utf-8"))
HERE = Place("diagnosis_oracles.yaml")
SIX_DECIMALS = 1e-6


def number(figure: str | float) -> float:
    return float(Fraction(figure))


def figures(**values: str) -> Figures:
    return Figures({name: Figure(name, v, "", "", "", HERE) for name, v in values.items()}, {})


def asked(name: str, options: Sequence[str], minutes: float = 1.0) -> Observation:
    """A question whose answers are never mistaken."""
    return Observation(
        id=name,
        ask="",
        how="",
        why="",
        options=dict.fromkeys(options, ""),
        otherwise={},
        otherwise_basis="",
        wrong=0.0,
        minutes=minutes,
        opens=False,
        state="calling",
        unsafe_when=(),
        cautions=(),
        applies={},
        predicted=False,
        place=HERE,
    )


def book(*observations: Observation) -> Catalogue:
    return Catalogue({}, {one.id: one for one in observations}, {}, {}, {}, {}, {})


def causes(
    prior: Sequence[float], mode: Sequence[int] | None = None, other: float = 0.0, **model: Any
) -> Hypotheses:
    """Causes with their weights; mode: which of them each column belongs to."""
    columns = range(len(prior)) if mode is None else mode
    nothing = cast(Any, None)
    return Hypotheses(
        model=cast(Any, SimpleNamespace(**model)),
        facts={},
        modes=tuple(f"cause {i}" for i in range(max(columns) + 1)),
        variants=(),
        mode=np.array(columns),
        variant=nothing,
        cell=nothing,
        weight=np.array(prior) / np.sum(prior) * (1 - other),
        other=other,
        scene=nothing,
    )


def told(hypotheses: Hypotheses, chances: Mapping[str, Array]) -> Predictions:
    """Predictions of findings that are there or not, by the chance of each under each column."""
    rows = {name: np.stack([chance, 1 - chance]) for name, chance in chances.items()}
    return Predictions(
        book(*(asked(name, ("yes", "no")) for name in chances)), hypotheses, _chances=rows
    )


def yes(names: Iterable[str]) -> list[Evidence]:
    return [Seen(name, "yes") for name in names]


@pytest.mark.parametrize("row", ORACLES["posterior"], ids=lambda row: row["case"])
def test_posterior(row: Mapping[str, Any]) -> None:
    names = list(row["prior"])
    chances = {
        finding: np.array([number(by_cause[name]) for name in names])
        for finding, by_cause in row["chances"].items()
    }
    predictions = told(causes(list(row["prior"].values())), chances)

    belief = posterior(predictions, yes(chances))

    for name, expected in row["expect"].items():
        found = belief.mode[names.index(name)]
        assert found == pytest.approx(expected, abs=SIX_DECIMALS), row["source"]


def test_asking_the_same_again_adds_nothing() -> None:
    once, twice = ORACLES["posterior"][-2:]
    chances = np.array([once["chances"]["first"]["fault"], once["chances"]["first"]["sound"]])
    predictions = told(causes(list(once["prior"].values())), {"first": chances})

    belief = posterior(predictions, yes(["first", "first"]))

    assert belief.mode[0] == pytest.approx(once["expect"]["fault"], abs=SIX_DECIMALS)
    assert belief.mode[0] < twice["expect"]["fault"] / 4


def copied(forms: int, one_fact: bool) -> float:
    """Belief in the first cause after `forms` findings: as one fact that both causes can bring
    about, each column of a cause having it or not, or as that many facts."""
    row = ORACLES["copied-evidence"]
    share = row["ratio"] / (1 + row["ratio"])
    if one_fact:
        prior = [row["prior"] * share, row["prior"] * (1 - share)]
        prior += [(1 - row["prior"]) * (1 - share), (1 - row["prior"]) * share]
        hypotheses, chance = causes(prior, [0, 0, 1, 1]), np.array([1.0, 0.0, 1.0, 0.0])
    else:
        hypotheses = causes([row["prior"], 1 - row["prior"]])
        chance = np.array([share, 1 - share])
    names = [f"form {i}" for i in range(forms)]
    return float(posterior(told(hypotheses, dict.fromkeys(names, chance)), yes(names)).mode[0])


def test_one_fact_in_several_forms_counts_once() -> None:
    row = ORACLES["copied-evidence"]
    for forms in (1, 2, 3):
        assert copied(forms, one_fact=True) == pytest.approx(row["once"], abs=SIX_DECIMALS)
    assert copied(2, one_fact=False) == pytest.approx(row["taken-for-two"], abs=SIX_DECIMALS)
    assert copied(3, one_fact=False) == pytest.approx(row["taken-for-three"], abs=SIX_DECIMALS)


Values = dict[str, str]


def chance_of(node: Mapping[str, Any], values: Values) -> float:
    return float(node["chance"][",".join(values[name] for name in node.get("given", []))])


def worlds(nodes: Mapping[str, Any]) -> list[tuple[Values, float]]:
    """Every combination of causes, with its probability."""
    found: list[tuple[Values, float]] = []
    for picked in itertools.product(("yes", "no"), repeat=len(nodes)):
        values, weight = dict(zip(nodes, picked, strict=True)), 1.0
        for name, node in nodes.items():
            chance = chance_of(node, values)
            weight *= chance if values[name] == "yes" else 1 - chance
        found.append((values, weight))
    return found


@pytest.mark.parametrize(
    ("name", "case"),
    [(name, case) for name, network in ORACLES["networks"].items() for case in network["cases"]],
    ids=lambda part: part if isinstance(part, str) else ",".join(part["found"]) or "nothing",
)
def test_network(name: str, case: Mapping[str, Any]) -> None:
    """A column for each combination of causes, as a failure mode has one for each severity."""
    network = ORACLES["networks"][name]
    combined = worlds(network["causes"])
    chances = {
        finding: np.array([chance_of(node, values) for values, _ in combined])
        for finding, node in network["findings"].items()
    }
    evidence = [Seen(finding, answer) for finding, answer in case["found"].items()]
    for cause, expected in case["expect"].items():
        mode = [0 if values[cause] == "yes" else 1 for values, _ in combined]
        hypotheses = causes([weight for _, weight in combined], mode)

        belief = posterior(told(hypotheses, chances), evidence)

        assert belief.mode[0] == pytest.approx(expected, abs=SIX_DECIMALS), network["source"]


READING = Reading("current", ("motor-feed",), "calling")
"""Misreadings of a current are uniform from zero to six times the pump's."""


def metered() -> Predictions:
    row = ORACLES["meter-reading"]
    named = {name: p for name, p in row["prior"].items() if name != "other"}
    mean, spread = np.array([row["predicted"][name] for name in named]).T
    hypotheses = causes(
        list(named.values()),
        other=row["prior"]["other"],
        rig=SimpleNamespace(pump_current=row["range"] / 6),
        figures=figures(misread=str(row["misread"])),
    )
    return Predictions(book(), hypotheses, _bands={READING: Band(mean, spread)})


@pytest.mark.parametrize("value", ORACLES["meter-reading"]["expect"])
def test_meter_reading_among_the_named(value: float) -> None:
    """The example's unknown fault reads anything; ours half follows the book (see below)."""
    row = ORACLES["meter-reading"]
    expected = np.array([p for name, p in row["expect"][value].items() if name != "other"])

    belief = posterior(metered(), [Measured(READING, value)])

    assert belief.mode / belief.mode.sum() == pytest.approx(
        expected / expected.sum(), abs=2 * SIX_DECIMALS
    )


def test_meter_reading_and_a_wholly_unknown_fault() -> None:
    row = ORACLES["meter-reading"]
    predictions = metered()
    for value, expected in row["expect"].items():
        named = likelihood(predictions, Measured(READING, value)).named
        prior = np.append(predictions.hypotheses.weight, predictions.hypotheses.other)

        belief = normalised(np.log(prior) + np.log(np.append(named, 1 / row["range"])))

        assert belief == pytest.approx(np.array([*expected.values()]), abs=SIX_DECIMALS)


def test_a_reading_that_nothing_predicts_raises_the_unknown() -> None:
    predictions = metered()
    leading = {
        value: posterior(predictions, [Measured(READING, value)]).ranking[0]
        for value in ORACLES["meter-reading"]["expect"]
    }
    assert [name for name, _ in leading.values()] == ["cause 0", "cause 1", OTHER]
    assert leading[8.0][1] > 0.5


def noisy(names: Iterable[str], extra: Mapping[str, Array]) -> Chooser:
    """A chooser over tests of the table and, by name, others with chances of their own."""
    row = ORACLES["noisy-tests"]
    chances = {
        name: np.array([[number(p) for p in line] for line in row["tests"][name]["chances"]])
        for name in names
    } | dict(extra)
    asks = [
        asked(
            name,
            [str(i) for i in range(len(rows))],
            row["tests"].get(name, {"minutes": 1})["minutes"],
        )
        for name, rows in chances.items()
    ]
    hypotheses = causes(row["prior"], figures=figures(misread="0"))
    predictions = Predictions(book(*asks), hypotheses, _chances=chances)
    tests = tuple(Test(one.id, one) for one in asks)
    free = figures(**{"state-change-time": "0 min", "asking-time": "0 min"})
    return Chooser(Chances(predictions, tests), {m: m for m in hypotheses.modes}, free)


def test_worth_of_noisy_tests_per_minute() -> None:
    row = ORACLES["noisy-tests"]
    chooser = noisy("ABC", {})
    worths = chooser.worths(posterior(chooser.chances.predictions, []), set("ABC"), "calling")

    assert [worth.test.id for worth in worths] == ["C", "A", "B"]
    for worth in worths:
        expected = row["tests"][worth.test.id]
        assert worth.bits == pytest.approx(expected["bits"], abs=SIX_DECIMALS), row["source"]
        assert worth.rate == pytest.approx(expected["rate"], abs=SIX_DECIMALS), row["source"]


def test_an_answer_that_may_be_not_sure_is_worth_less_by_just_that_share() -> None:
    row = ORACLES["noisy-tests"]
    share, plain = row["unsure"]["share"], row["tests"][row["unsure"]["test"]]["chances"]
    rows = np.vstack([(1 - share) * np.array(plain), np.full((1, 4), share)])
    chooser = noisy("", {"unsure": rows})

    [worth] = chooser.worths(posterior(chooser.chances.predictions, []), {"unsure"}, "calling")

    assert worth.bits == pytest.approx(row["unsure"]["bits"], abs=SIX_DECIMALS), row["source"]
