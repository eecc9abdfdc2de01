"""Guesses from sentences that are like this one."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from diagnose.phrases import EITHER
from diagnose.phrases.features import features_of
from diagnose.phrases.likeness import Likeness, digest_of, learn, load_likeness, shipped_likeness
from tests.corpus.learning import sentences
from tests.phrases.reading import read

DEAD, WEAK = ("pump-action", "silent"), ("flow", "weak")
SENTENCES = (
    ("it is stone dead", [DEAD]),
    ("dead as a doornail this morning", [DEAD]),
    ("stone dead since the frost", [DEAD]),
    ("only a dribble from the tap", [WEAK]),
    ("a dribble is all I get", [WEAK]),
    ("dead slow, a dribble only", [WEAK]),
)


@pytest.fixture(scope="module")
def small() -> Likeness:
    return learn(SENTENCES)


def test_a_sentence_is_most_like_those_that_mean_the_same(small: Likeness) -> None:
    assert next(iter(small.scores("stone dead again"))) == DEAD
    assert next(iter(small.scores("I only get a dribble"))) == WEAK


def test_the_weights_are_those_of_penalised_least_squares(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The same by another way: ordinary least squares (numpy.linalg.lstsq) on rows to which a
    multiple of the unit matrix is added, which is what the penalty comes to (Golub & Van Loan,
    Matrix Computations, section 6.1)."""
    from diagnose.phrases import likeness

    monkeypatch.setattr(likeness, "SMALLEST", 0.0)
    found = learn(SENTENCES)
    features = len(found.features)
    x = np.zeros((len(SENTENCES), features))
    for number, (text, _) in enumerate(SENTENCES):
        told = features_of(text)
        for feature, value in likeness._row(told, found.features, found.rarity).items():
            x[number, feature] = value
    y = np.array([[float(one in means) for one in found.meanings] for _, means in SENTENCES])
    rows = np.vstack((x, likeness.RIDGE**0.5 * np.eye(features)))
    wanted = np.linalg.lstsq(rows, np.vstack((y, np.zeros((features, 2)))), rcond=None)[0]
    for text in ("stone dead", "a dribble this morning"):
        row = likeness._row(features_of(text), found.features, found.rarity)
        exact = sum(value * wanted[feature] for feature, value in row.items())
        scores = found.scores(text)
        assert [scores[one] for one in found.meanings] == pytest.approx(exact, abs=2e-3)


def test_what_is_written_is_read_again(small: Likeness, tmp_path: Path) -> None:
    small.save(tmp_path / "likeness.npz")
    again = load_likeness(tmp_path / "likeness.npz")
    assert again.scores("stone dead again") == small.scores("stone dead again")
    assert again.meanings == {DEAD: 3, WEAK: 3}


def test_what_comes_with_the_program_is_learnt_from_the_sentences_of_today() -> None:
    """Otherwise: python -m tests.corpus --learn."""
    assert shipped_likeness().learnt_from == digest_of(sentences())


def test_what_no_words_name_is_guessed_and_asked() -> None:
    found = read("makes a row like gravel in a tin")
    guesses = [one for one in found.matches if not one.words]
    assert guesses
    assert {one.strength for one in guesses} == {EITHER}


def test_about_a_word_or_two_nothing_is_guessed() -> None:
    assert not [one for one in read("quite hopeless").matches if not one.words]
