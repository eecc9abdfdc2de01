"""Some spoiled inputs to every reader; a hundred thousand of them: python -m tests.fuzz."""

from __future__ import annotations

import random

import pytest

from diagnose.errors import BadDocument
from tests.fuzz.readers import Reader, readers
from tests.fuzz.spoiling import spoiled
from tests.fuzz.trying import Tally, attempt


@pytest.mark.parametrize("name", readers())
def test_spoiled_input_is_taken_or_refused_in_plain_sentences(name: str) -> None:
    draw, tally, reader = random.Random(f"suite {name}"), Tally(), readers()[name]
    for _ in range(40):
        attempt(name, reader, spoiled(reader.samples, draw), tally)

    assert not tally.wrong, tally.wrong[0]
    assert tally.refused[name] > 0 or name == "complaint in words"


@pytest.mark.parametrize("name", readers())
def test_sound_samples_are_taken(name: str) -> None:
    """Or what is refused would say little."""
    reader, tally = readers()[name], Tally()
    for sample in reader.samples[:5]:
        attempt(name, reader, sample.encode(), tally)

    assert not tally.wrong, tally.wrong[0]
    assert tally.taken[name] > 0


def crash(body: bytes) -> None:
    raise KeyError(body)


def garble(body: bytes) -> None:
    raise BadDocument("")


@pytest.mark.parametrize("harm", [crash, garble])
def test_harm_is_noticed(harm: object) -> None:
    tally = Tally()

    attempt("harm", Reader(["x"], harm), b"x", tally)  # type: ignore[arg-type]

    assert len(tally.wrong) == 1
