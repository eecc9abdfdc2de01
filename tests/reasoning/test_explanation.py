"""Reasons: the order, the strength and the words of what speaks for a cause."""

from __future__ import annotations

import numpy as np
import pytest

from diagnose.bench import Bench
from diagnose.circuit.meter import LARGEST_OHMS
from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.evidence import Measured, Seen
from diagnose.reasoning.explanation import (
    Reason,
    evidence_in_words,
    reason_lines,
    reasons,
    title,
    value_words,
)
from diagnose.reasoning.posterior import posterior

HOLDER = {"fuse-holder-corroded", "fuse-holder-loose"}
HIGH = Measured(reading_of("voltage fuse.in fuse.out calling"), 3.1)
TOLD = (Seen("relay-sound", "chatters"), Seen("fuse-holder-look", "corroded"), HIGH)


@pytest.mark.parametrize(
    ("ratio", "word"),
    [
        (30, "decisively"),
        (1 / 31, "decisively"),
        (29, "strongly"),
        (10, "strongly"),
        (0.101, "moderately"),
        (3, "moderately"),
        (2.9, "weakly"),
        (1.5, "weakly"),
        (1.49, "hardly"),
        (1, "hardly"),
        (0.7, "hardly"),
    ],
)
def test_strength_in_words(ratio: float, word: str) -> None:
    assert Reason(HIGH, ratio).strength == word


def test_a_reason_is_the_ratio_of_the_odds_with_and_without_it(bowser: Bench) -> None:
    whole = posterior(bowser.predictions, TOLD)

    for reason in reasons(whole, HOLDER):
        rest = posterior(bowser.predictions, [item for item in TOLD if item != reason.item])
        with_it, without = (
            sum(p for name, p in belief.ranking if name in HOLDER) for belief in (whole, rest)
        )
        odds = with_it / (1 - with_it) / (without / (1 - without))
        assert reason.ratio == pytest.approx(odds, rel=1e-6)


def test_the_heaviest_reason_comes_first_and_says_for_or_against(bowser: Bench) -> None:
    belief = posterior(bowser.predictions, TOLD)
    found = reasons(belief, HOLDER)
    weights = [abs(np.log(reason.ratio)) for reason in found]

    assert weights == sorted(weights, reverse=True)
    assert [reason.item for reason in found if reason.ratio > 1]
    for line in reason_lines(belief, HOLDER, bowser.healthy):
        assert line.endswith(" for it")
    against = reason_lines(belief, {"battery-discharged"}, bowser.healthy)
    assert against
    assert any(line.endswith(" against it") for line in against)


def test_findings_in_words(bowser: Bench) -> None:
    healthy = bowser.healthy
    band = healthy.expected(HIGH.reading)
    contacts = Measured(reading_of("resistance relay.30 relay.87"), 0.5)

    assert evidence_in_words(TOLD[0], healthy) == "relay sound: chatters"
    assert evidence_in_words(HIGH, healthy).startswith(
        "voltage fuse.in fuse.out, asked to run = 3.1 V (sound "
    )
    assert evidence_in_words(HIGH, healthy).endswith("mV)")
    assert band.high < 1
    assert (
        evidence_in_words(contacts, healthy) == "resistance relay.30 relay.87 = 500 mohm (sound OL)"
    )
    assert value_words(Measured(contacts.reading, LARGEST_OHMS)) == "OL"
    assert value_words(Measured(contacts.reading, LARGEST_OHMS / 2)) == "20 Mohm"


def test_a_title_for_every_cause_and_for_none(bowser: Bench) -> None:
    assert title(bowser.shop.catalogue, "fuse-holder-corroded") == "Corroded main fuse holder"
    assert title(bowser.shop.catalogue, "x") == "Something that is not in the book"
