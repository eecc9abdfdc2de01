"""Negation, tense, who acts, guesses, trials: what is taken, asked first, or not taken at all. The
sentences are as people say them; what they mean is a reader's judgement."""

from __future__ import annotations

import pytest

from tests.phrases.reading import read, taken, to_ask


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("pump keeps running", ["pump-when-satisfied=keeps-running"]),
        ("it ran on and on", ["pump-when-satisfied=keeps-running"]),
        ("quits after about ten minutes", ["pump-action=starts-then-stops"]),
        ("it did nothing", ["pump-action=silent"]),
        ("won't prime", ["flow=none", "priming=never"]),
        ("keeps losing its prime", ["priming=loses-it"]),
        ("someone hooked the battery up backwards", ["connected-reversed=battery"]),
        ("smells burnt at the relay", ["smell=burnt", "smell-where=relay"]),
        ("works on my other battery", ["swap-battery=cured"]),
        ("jumped straight to the battery it runs", ["bench-run-motor=runs-normal"]),
        ("after a month without use it is dead", ["onset=after-long-storage"]),
        ("no longer any smoke", ["smoke=seen"]),
    ],
)
def test_what_is_said_outright_is_taken(text: str, means: list[str]) -> None:
    assert set(means) <= set(taken(read(text)))


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("the breaker trips", "main-fuse-history=blows-at-start"),
        ("works when I jump it with a wire", "jumper-relay-contact=runs-normal"),
        ("it clicks", "relay-sound=one-click"),
        ("I reckon the nozzle is blocked", "nozzle-look=blocked"),
        ("he says the relay chatters", "relay-sound=chatters"),
        ("sparks when I connect the battery", "spark-on-connecting=big"),
        ("the relay is stuck", "pump-when-satisfied=keeps-running"),
        ("the mower's relay clicks like mad", "relay-sound=chatters"),
    ],
)
def test_what_may_mean_several_things_or_is_a_guess_is_asked(text: str, asks: str) -> None:
    found = read(text)
    assert taken(found) == []
    assert asks in to_ask(found)


@pytest.mark.parametrize(
    "text",
    [
        "the truck runs fine",
        "hot-water valve",
        "the weather is hot",
        "my tractor is dead",
        "where is the relay",
        "second time this year",
        "when I stop for lunch",
        "the fuse used to blow but that was sorted last year",
        "I haven't looked at the fuse yet",
    ],
)
def test_what_is_said_of_something_else_is_no_sign(text: str) -> None:
    assert taken(read(text)) == []


def test_nothing_is_taken_from_a_long_story_with_one_familiar_word() -> None:
    story = "we drove past the quarry where cousin Albert kept his goats and the pump hums, imagine"
    assert taken(read(story)) == []
