"""Units, shares and rankings beside general libraries that do the same."""

from __future__ import annotations

import random
from collections.abc import Iterator

import numpy as np

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import open_rig
from diagnose.study.scores import share
from diagnose.units import read_quantity
from diagnose.walkthrough import Walk
from tests.outside.cells import Cell, library, table

UNITS = table("units.yaml")
LIBRARY = "reference library"

ANSWERS = {
    "pump-action": "cuts-in-and-out",
    "relay-sound": "chatters",
    "fuse-holder-look": "corroded",
    "time-pattern": "always",
    "voltage battery+ battery- calling": "12.4",
    "voltage fuse.in fuse.out calling": "3.1",
    "voltage motor- ground calling": "80 mV",
}
"""A walk on the bowser, all at once."""


def conversions() -> Iterator[Cell]:
    """Published factors between units."""
    source, basis, within = UNITS["source"], UNITS["basis"], UNITS["within"]
    for text, unit, theirs in UNITS["rows"]:
        ours, what = read_quantity(text, unit), f"{text} in {unit}"
        yield Cell("unit-factors", what, float(theirs), ours, within, source, basis, floor=0.0)


def units() -> Iterator[Cell]:
    """Every unit beside the definition that pint ships, which is not ours."""
    shipped = library("pint").UnitRegistry()
    for wanted, units in UNITS["shipped"].items():
        for unit in units.split():
            theirs = shipped.Quantity(37.0, shipped.parse_units(unit)).to(wanted).magnitude
            ours, what = read_quantity(f"37 {unit}", wanted), f"37 {unit} in {wanted}"
            source = "the definitions that pint ships"
            yield Cell("units", what, float(theirs), ours, 1e-12, source, LIBRARY, floor=0.0)


def intervals() -> Iterator[Cell]:
    """Score intervals of random shares."""
    stats, draw = library("scipy.stats"), random.Random(1)
    for _ in range(100):
        n = draw.randint(1, 3000)
        hits = draw.randint(0, n)
        found, theirs = share(hits, n), stats.binomtest(hits, n).proportion_ci(method="wilson")
        for end, ours, other in (("low", found.low, theirs.low), ("high", found.high, theirs.high)):
            what, source = f"{hits} of {n}, {end}", "scipy, Wilson interval of a proportion"
            yield Cell("score interval", what, float(other), ours, 1e-12, source, LIBRARY)


def ranking() -> Iterator[Cell]:
    """pyAgrum, exact inference in junction trees: the hypotheses as one variable, the findings of a
    walk as children of it. The chances are ours; what is compared is all that is done with them.

    A hypothesis stands there once for each kind of person who may be answering.
    """
    agrum = library("pyagrum")
    walk = Walk(Bench.for_rig(open_rig("bowser"), Shop.shipped()))
    for name, answer in ANSWERS.items():
        walk.answer(walk.ask(name), answer)
    belief, hypotheses = walk.belief(), walk.bench.hypotheses
    alone = np.append(hypotheses.weight, hypotheses.other)
    prior = (belief.slips.share[:, None] * alone / alone.sum()).ravel()
    network = agrum.BayesNet()
    cause = network.add(agrum.LabelizedVariable("cause", "", len(prior)))
    network.cpt(cause).fillWith(list(prior))
    for index, rows in enumerate(np.exp(belief.factors)):
        shown = (rows / rows.max()).ravel()
        finding = network.add(agrum.LabelizedVariable(f"finding {index}", "", 2))
        network.addArc(cause, finding)
        network.cpt(finding).fillWith(list(np.stack([shown, 1 - shown], axis=1).ravel()))
    inference = agrum.LazyPropagation(network)
    inference.setEvidence({f"finding {index}": 0 for index in range(len(belief.factors))})
    inference.makeInference()
    joint = np.array(inference.posterior("cause").tolist()).reshape(len(belief.slips.share), -1)
    column = joint.sum(axis=0)
    expected = [*np.bincount(hypotheses.mode, column[:-1]), column[-1]]
    names = [*hypotheses.modes, "not in the book"]
    for name, theirs, ours in zip(names, expected, [*belief.mode, belief.other], strict=True):
        source = "pyAgrum, exact inference in junction trees"
        yield Cell("ranking", name, float(theirs), float(ours), 1e-9, source, LIBRARY)
