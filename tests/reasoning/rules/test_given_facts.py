"""What experta would let pass, the facts of the rule book refuse."""

import pytest

from diagnose.catalogue.rule_records import STRENGTHS, VERDICTS
from diagnose.reasoning.rules import book


def shelved(cls: type, **fields: object) -> book.GivenFact:
    return cls(shelf=0, **fields)


@pytest.mark.parametrize("verdict", VERDICTS)
def test_each_verdict_is_a_reading(verdict: str) -> None:
    shelved(book.ReadFact, reading="voltage a b calling", verdict=verdict).validate()


@pytest.mark.parametrize("strength", STRENGTHS)
def test_each_strength_is_a_suspect(strength: str) -> None:
    shelved(book.SuspectFact, failure_mode="fuse-holder-loose", strength=strength).validate()


@pytest.mark.parametrize(
    "wrong",
    [
        shelved(book.ReadFact, reading="voltage a b calling", verdict="over"),
        shelved(book.ReadFact, reading="voltage a b calling"),
        shelved(book.SuspectFact, failure_mode="fuse-holder-loose", strength="sure"),
        shelved(book.SeenFact, observation="smell", value=3),
        book.SeenFact(observation="smell", value="burnt"),
    ],
    ids=repr,
)
def test_missing_or_wrong_value_is_refused(wrong: book.GivenFact) -> None:
    with pytest.raises(ValueError, match="ield"):
        wrong.validate()


def test_unknown_field_is_refused() -> None:
    with pytest.raises(ValueError, match="no field 'valeu'"):
        shelved(book.SeenFact, observation="smell", value="burnt", valeu="burnt").validate()


def test_names_are_spread_over_all_shelves() -> None:
    assert {book.shelf(f"name-{number}") for number in range(100)} == set(range(book.SHELVES))
