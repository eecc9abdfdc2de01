"""The ranking of a real walk, against exact inference in a general probabilistic library."""

from __future__ import annotations

import warnings
from typing import Any

import numpy as np
import pytest

from diagnose.walkthrough import Bench, Walk

ANSWERS = {
    "pump-action": "cuts-in-and-out",
    "relay-sound": "chatters",
    "fuse-holder-look": "corroded",
    "time-pattern": "always",
    "voltage battery+ battery- calling": "12.4",
    "voltage fuse.in fuse.out calling": "3.1",
    "voltage motor- ground calling": "80 mV",
}


def test_ranking_equals_that_of_a_general_probabilistic_library(bowser: Bench) -> None:
    """pyAgrum, exact inference in junction trees: the hypotheses as one variable, each finding as a
    child of it. The chances are ours; what is compared is everything that is done with them."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        agrum: Any = pytest.importorskip("pyagrum", reason="a general library for the bench extra")
    walk = Walk(bowser)
    for name, answer in ANSWERS.items():
        walk.answer(walk.ask(name), answer)
    belief = walk.belief()
    prior = np.append(bowser.hypotheses.weight, bowser.hypotheses.other)
    network = agrum.BayesNet()
    cause = network.add(agrum.LabelizedVariable("cause", "", len(prior)))
    network.cpt(cause).fillWith(list(prior / prior.sum()))
    for index, row in enumerate(np.exp(belief.factors)):
        shown = row / row.max()
        finding = network.add(agrum.LabelizedVariable(f"finding {index}", "", 2))
        network.addArc(cause, finding)
        network.cpt(finding).fillWith(list(np.stack([shown, 1 - shown], axis=1).ravel()))
    inference = agrum.LazyPropagation(network)
    inference.setEvidence({f"finding {index}": 0 for index in range(len(belief.factors))})
    inference.makeInference()
    column = np.array(inference.posterior("cause").tolist())

    expected = np.bincount(bowser.hypotheses.mode, column[:-1])
    assert np.abs(belief.mode - expected).max() < 1e-9
    assert belief.other == pytest.approx(float(column[-1]), abs=1e-9)
