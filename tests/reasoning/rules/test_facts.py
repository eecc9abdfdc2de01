"""What experta would let pass, the facts refuse."""

import pytest

import diagnose.reasoning.rules.facts as facts
from diagnose.catalogue.rule_records import STRENGTHS, VERDICTS


def shelved(cls: type, **fields: object) -> facts.Symbol:
    return cls(shelf=0, **fields)


@pytest.mark.parametrize("verdict", VERDICTS)
def test_each_verdict_is_a_reading(verdict: str) -> None:
    shelved(facts.Read, reading="voltage a b calling", verdict=verdict).validate()


@pytest.mark.parametrize("strength", STRENGTHS)
def test_each_strength_is_a_suspect(strength: str) -> None:
    shelved(facts.Suspect, failure_mode="fuse-holder-loose", strength=strength).validate()


@pytest.mark.parametrize(
    "wrong",
    [
        shelved(facts.Read, reading="voltage a b calling", verdict="over"),
        shelved(facts.Read, reading="voltage a b calling"),
        shelved(facts.Suspect, failure_mode="fuse-holder-loose", strength="sure"),
        shelved(facts.Seen, observation="smell", value=3),
        facts.Seen(observation="smell", value="burnt"),
    ],
    ids=repr,
)
def test_missing_or_wrong_value_is_refused(wrong: facts.Symbol) -> None:
    with pytest.raises(ValueError, match="ield"):
        wrong.validate()


def test_unknown_field_is_refused() -> None:
    with pytest.raises(ValueError, match="no field 'valeu'"):
        shelved(facts.Seen, observation="smell", value="burnt", valeu="burnt").validate()


def test_names_are_spread_over_all_shelves() -> None:
    assert {facts.shelf(f"name-{number}") for number in range(100)} == set(range(facts.SHELVES))
