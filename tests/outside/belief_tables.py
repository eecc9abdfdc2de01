"""Belief beside worked examples of the literature.

Figures and their sources: tests/tables/diagnosis_oracles.yaml, learned_priors.yaml. The examples
are fed to the very functions that rank faults on a rig: their causes stand where failure modes
stand, their findings where answers do.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from diagnose.casebook.learning import dirichlet_mean
from diagnose.catalogue.records import Catalogue, Observation
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.errors import Place
from diagnose.figures import Figure, Figures, Table
from diagnose.reasoning.error_models import NORMAL
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.hypotheses import Hypotheses
from diagnose.reasoning.posterior import posterior
from diagnose.reasoning.predictions import Band, Predictions
from tests.outside.cells import Cell, table

ORACLES, LEARNED = table("diagnosis_oracles.yaml"), table("learned_priors.yaml")
HERE = Place("diagnosis_oracles.yaml")
SIX_DECIMALS = 1e-6
EXAMPLE, RECOMPUTED = "worked example", "recomputed"


def number(figure: str | float) -> float:
    return float(Fraction(figure))


def figures(**values: str) -> Figures:
    """Some figures, and a person who errs as often as a test says."""
    given = {"unlooked": "1", "surprise": "0.5", "model-error-share": "0", **values}
    kinds = {"kind": "1", "times": "1", "share": "1"}
    slips = Table("slips", kinds, (("steady", 1.0, 1.0),), "", "", "", HERE)
    known = {name: Figure(name, v, "", "", "", HERE) for name, v in given.items()}
    shows = (
        ("nothing", 0.0),
        ("another reading", 1.0),
        ("leads exchanged", 0.0),
        ("anything", 0.0),
    )
    misplaced = Table("misplaced-probe", {"shows": "1", "share": "1"}, shows, "", "", "", HERE)
    return Figures(known, {"slips": slips, "misplaced-probe": misplaced})


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
        way="power",
        can=(),
        unsafe_when=(),
        cautions=(),
        applies={},
        predicted=False,
        place=HERE,
    )


def book(*observations: Observation) -> Catalogue:
    clamp = cast(Any, SimpleNamespace(absolute=1.0, relative=0.0))
    empty = Catalogue({}, {one.id: one for one in observations}, {}, {}, {}, {}, {})
    return replace(empty, quantities={READING.quantity: clamp})


def causes(
    prior: Sequence[float], mode: Sequence[int] | None = None, other: float = 0.0, **model: Any
) -> Hypotheses:
    """Causes with their weights; mode: which of them each column belongs to."""
    columns = range(len(prior)) if mode is None else mode
    nothing = cast(Any, None)
    return Hypotheses(
        model=cast(Any, SimpleNamespace(**{"figures": figures(), **model})),
        facts={},
        modes=tuple(f"cause {i}" for i in range(max(columns) + 1)),
        prior={},
        variants=(),
        mode=np.array(columns),
        variant=nothing,
        place=nothing,
        weight=np.array(prior) / np.sum(prior) * (1 - other),
        other=other,
        scene=nothing,
    )


def told(hypotheses: Hypotheses, chances: Mapping[str, Array]) -> Predictions:
    """Predictions of findings that are there or not, by the chance of each under each column."""
    rows = {name: np.stack([chance, 1 - chance]) for name, chance in chances.items()}
    return Predictions(book(*(asked(name, ("yes", "no")) for name in chances)), hypotheses, rows)


def yes(names: Iterable[str]) -> list[Evidence]:
    return [Seen(name, "yes") for name in names]


def six_decimals(
    name: str, what: str, expected: float, ours: float, source: str, basis: str = EXAMPLE
) -> Cell:
    return Cell(name, what, float(expected), float(ours), SIX_DECIMALS, source, basis)


def given_chances(row: Mapping[str, Any]) -> dict[str, Array]:
    """Finding to its chance under each cause of a row, in the order of the prior."""
    return {
        finding: np.array([number(by_cause[name]) for name in row["prior"]])
        for finding, by_cause in row["chances"].items()
    }


def posteriors() -> Iterator[Cell]:
    """Causes with independent findings."""
    for row in ORACLES["posterior"]:
        chances = given_chances(row)
        belief = posterior(told(causes(list(row["prior"].values())), chances), yes(chances))
        for name, expected in row["expect"].items():
            ours = belief.mode[list(row["prior"]).index(name)]
            what, source = f"{row['case']}: {name}", row["source"]
            yield six_decimals("posterior", what, expected, ours, source)


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


def copies() -> Iterator[Cell]:
    """One fact in several forms counts once."""
    row = ORACLES["copied-evidence"]
    cases = [(f"once, in {n} forms", row["once"], copied(n, True)) for n in (1, 2, 3)]
    cases += [("taken for two", row["taken-for-two"], copied(2, False))]
    cases += [("taken for three", row["taken-for-three"], copied(3, False))]
    for what, expected, ours in cases:
        yield six_decimals("copied-evidence", what, expected, ours, row["source"], RECOMPUTED)


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


def networks() -> Iterator[Cell]:
    """A column for each combination of causes, as a failure mode has one for each severity."""
    for name, network in ORACLES["networks"].items():
        combined = worlds(network["causes"])
        chances = {
            finding: np.array([chance_of(node, values) for values, _ in combined])
            for finding, node in network["findings"].items()
        }
        weights = [weight for _, weight in combined]
        for case in network["cases"]:
            evidence = [Seen(finding, answer) for finding, answer in case["found"].items()]
            for cause, expected in case["expect"].items():
                mode = [0 if values[cause] == "yes" else 1 for values, _ in combined]
                ours = posterior(told(causes(weights, mode), chances), evidence).mode[0]
                what = f"{cause} given {case['found'] or 'nothing'}"
                yield six_decimals(name, what, expected, ours, network["source"])


READING = Reading("current", ("motor-feed",), "calling")
"""Misreadings of a current are uniform from zero to six times the pump's."""


def metered() -> Predictions:
    row = ORACLES["meter-reading"]
    named = {name: p for name, p in row["prior"].items() if name != "other"}
    mean, spread = np.array([row["predicted"][name] for name in named]).T
    hypotheses = causes(
        list(named.values()),
        other=row["prior"]["other"],
        rig=SimpleNamespace(pump_current=row["range"] / 6, charging=""),
        figures=figures(misread=str(row["misread"])),
    )
    return Predictions(book(), hypotheses, _bands={READING: Band(mean, spread)}, law=NORMAL)


def readings() -> Iterator[Cell]:
    """A meter reading among the named causes: the example's unknown fault reads anything, ours
    half follows the book."""
    row, predictions = ORACLES["meter-reading"], metered()
    for value, chances in row["expect"].items():
        named = {name: p for name, p in chances.items() if name != "other"}
        belief = posterior(predictions, [Measured(READING, value)])
        for i, (name, expected) in enumerate(named.items()):
            ours, theirs = belief.mode[i] / belief.mode.sum(), expected / sum(named.values())
            what, source = f"{name} at {value}", row["source"]
            yield Cell("meter-reading", what, theirs, float(ours), 2e-6, source, RECOMPUTED)


def learned() -> Iterator[Cell]:
    """Priors after counting cases."""
    for row in LEARNED:
        worth = sum(row["alpha"])
        prior = {str(i): alpha / worth for i, alpha in enumerate(row["alpha"])}
        counts = {str(i): count for i, count in enumerate(row["counts"])}
        found = dirichlet_mean(prior, counts, worth)
        basis = "from memory" if "memory" in row["source"] else RECOMPUTED
        for (name, ours), expected in zip(found.items(), row["expect"], strict=True):
            what, source = f"{row['case']}, cause {name}", row["source"]
            yield Cell("learned-priors", what, expected, ours, 1e-9, source, basis)


def cells() -> list[Cell]:
    """Every cell of the examples."""
    sources = (posteriors, copies, networks, readings, learned)
    return [cell for source in sources for cell in source()]
