"""Some spoiled inputs to every reader; a hundred thousand of them: python -m tests.fuzz."""

from __future__ import annotations

import random

import pytest

from diagnose.errors import BadDocument
from tests.fuzz.everything import bounded, everything
from tests.fuzz.readers import Reader
from tests.fuzz.trying import Tally, attempt, inputs_walked


@pytest.mark.parametrize("name", everything())
def test_spoiled_input_is_taken_or_refused_in_plain_sentences(name: str) -> None:
    draw, tally, reader = random.Random(f"suite {name}"), Tally(), everything()[name]
    for _ in range(15):
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


def test_some_values_at_which_schemas_break() -> None:
    """One in so many, so that the suite sees every kind of document, and of the words, which take
    longest to read, a third of these; all: python -m tests.fuzz."""
    tally, walked = Tally(), inputs_walked()[7::211]
    words = [one for one in walked if one[0] == "knowledge: plain words"]
    for name, spot, new in [*words[::3], *(one for one in walked if one not in words)]:
        body = spot.put(new).encode("utf-8", "surrogatepass")
        attempt(name, bounded()[name][0], body, tally)

    assert not tally.wrong, "\n".join(tally.wrong[:20])
    assert {*tally.taken, *tally.refused} == {*bounded()}


def crash(body: bytes) -> None:
    raise KeyError(body)


def garble(body: bytes) -> None:
    raise BadDocument("")


@pytest.mark.parametrize("harm", [crash, garble])
def test_harm_is_noticed(harm: object) -> None:
    tally = Tally()

    attempt("harm", Reader(["x"], harm), b"x", tally)  # type: ignore[arg-type]

    assert len(tally.wrong) == 1
