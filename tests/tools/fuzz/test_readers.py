"""Some spoiled inputs to every reader; a hundred thousand of them: python -m tests.tools fuzz."""

from __future__ import annotations

import random

import pytest

from diagnose.errors import BadDocument
from tests.tools.fuzz.everything import bounded, everything
from tests.tools.fuzz.readers import Reader
from tests.tools.fuzz.trying import Tally, attempt, inputs_walked

SLOW = ("knowledge: plain words", "case file in a casebook")
"""The documents of which one takes a third of a second to read."""


@pytest.mark.parametrize("name", everything())
def test_spoiled_input_is_taken_or_refused_in_plain_sentences(name: str) -> None:
    draw, tally, reader = random.Random(f"suite {name}"), Tally(), everything()[name]
    for _ in range(5 if name in SLOW else 15):
        attempt(name, reader, reader.spoil(reader.samples, draw), tally)

    assert not tally.wrong, tally.wrong[0]
    assert (tally.refused[name] > 0) == (name != "complaint in words")


@pytest.mark.parametrize("name", everything())
def test_sound_samples_are_taken(name: str) -> None:
    """Or what is refused would say little."""
    reader, tally = everything()[name], Tally()
    for sample in reader.samples[:5]:
        attempt(name, reader, sample.encode(), tally)

    assert not tally.wrong, tally.wrong[0]
    assert tally.taken[name] > 0


@pytest.mark.parametrize("name", bounded())
def test_some_values_at_which_schemas_break(name: str) -> None:
    """A few for every kind of document; all: python -m tests.tools fuzz."""
    every = [one for one in inputs_walked() if one[0] == name]
    tally, step = Tally(), max(len(every) // (4 if name in SLOW else 40), 1)
    for _, spot, new in every[step // 2 :: step]:
        body = spot.put(new).encode("utf-8", "surrogatepass")
        attempt(name, bounded()[name][0], body, tally)

    assert not tally.wrong, "\n".join(tally.wrong[:20])
    assert tally.refused[name] > 0


def crash(body: bytes) -> None:
    raise KeyError(body)


def garble(body: bytes) -> None:
    raise BadDocument("")


@pytest.mark.parametrize("harm", [crash, garble])
def test_harm_is_noticed(harm: object) -> None:
    tally = Tally()

    attempt("harm", Reader(["x"], harm), b"x", tally)  # type: ignore[arg-type]

    assert len(tally.wrong) == 1
