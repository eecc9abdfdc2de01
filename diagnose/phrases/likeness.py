"""What a sentence resembles: guesses from sentences whose meaning somebody has written down.

Word lists know what they list; people say it in a hundred other ways. So a sentence is compared
with labelled ones as well: ridge regression (Hoerl & Kennard, Technometrics 12 (1970) 55) from its
words, pairs of words and pieces of words to the answers that it means. What comes out is a score,
near 1 where such sentences have meant that answer. It is a guess: it is asked, never taken.

Equations, for n sentences, m features, k meanings: X (n, m) has one row a sentence, of length 1,
each feature weighted by (1 + ln count) x (1 + ln((1 + n) / (1 + sentences with it))); Y (n, k) is 1
where a sentence means it. The weights are W = X' (X X' + RIDGE I)^-1 Y, (m, k); scores are x W.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Meaning = tuple[str, str]
"""An observation and one of its options."""

RIDGE = 0.5
"""Weight of the penalty: about the middle of what does as well (0.3 to 1)."""

PIECES = (3, 4, 5)
"""Letters of a piece of a word, with the gap before and behind it."""

FEWEST = 2
"""Sentences in which a feature has to stand to be kept."""

SMALLEST = 0.02
"""Weights below it are left out of the file; scores change by less than a hundredth."""

_WORD = re.compile(r"[^\W_]+")
SHIPPED = Path(__file__).with_name("likeness.npz")


@dataclass(frozen=True)
class Likeness:
    """Weights by feature, sparse. features: name to row, with its rarity; start: first weight of
    each row and the end, (m + 1,); column, weight: of each weight; meanings: of each column, with
    the number of sentences that mean it; learnt_from: digest of the sentences."""

    features: Mapping[str, int]
    rarity: NDArray[np.float32]
    start: NDArray[np.int32]
    column: NDArray[np.int16]
    weight: NDArray[np.float16]
    meanings: Mapping[Meaning, int]
    learnt_from: str

    def scores(self, text: str) -> dict[Meaning, float]:
        """Score of each meaning, highest first."""
        total = np.zeros(len(self.meanings))
        row = _row(text, self.features, self.rarity)
        for feature, value in row.items():
            part = slice(self.start[feature], self.start[feature + 1])
            total[self.column[part]] += value * self.weight[part].astype(float)
        order = np.argsort(-total, kind="stable")
        meanings = list(self.meanings)
        return {meanings[i]: float(total[i]) for i in order}

    def save(self, file: Path) -> None:
        """Write it as arrays of numbers and text; nothing in it can run."""
        names = "\n".join(self.features)
        meant = "\n".join("=".join(one) for one in self.meanings)
        times = np.array(list(self.meanings.values()), dtype=np.int16)
        with file.open("wb") as stream:
            np.savez_compressed(
                stream,
                features=np.frombuffer(names.encode(), dtype=np.uint8),
                meanings=np.frombuffer(meant.encode(), dtype=np.uint8),
                times=times,
                learnt_from=np.frombuffer(self.learnt_from.encode(), dtype=np.uint8),
                rarity=self.rarity,
                start=self.start,
                column=self.column,
                weight=self.weight,
            )


def load_likeness(file: Path) -> Likeness:
    """What `save` wrote."""
    with np.load(file, allow_pickle=False) as found:
        names = bytes(found["features"]).decode().split("\n")
        meant = [one.partition("=") for one in bytes(found["meanings"]).decode().split("\n")]
        return Likeness(
            {name: row for row, name in enumerate(names)},
            found["rarity"],
            found["start"],
            found["column"],
            found["weight"],
            {
                (name, option): int(times)
                for (name, _, option), times in zip(meant, found["times"], strict=True)
            },
            bytes(found["learnt_from"]).decode(),
        )


@cache
def shipped_likeness() -> Likeness:
    """The one that comes with the program."""
    return load_likeness(SHIPPED)


def digest_of(sentences: Sequence[tuple[str, Sequence[Meaning]]]) -> str:
    """Tells whether weights were learnt from these sentences."""
    return sha256(repr([(text, list(means)) for text, means in sentences]).encode()).hexdigest()


def learn(sentences: Sequence[tuple[str, Sequence[Meaning]]]) -> Likeness:
    """Weights from sentences and what each means; the same sentences give the same weights."""
    counts = [Counter(_features(text)) for text, _ in sentences]
    standing = Counter(name for one in counts for name in one)
    names = sorted(name for name, times in standing.items() if times >= FEWEST)
    features = {name: row for row, name in enumerate(names)}
    seen = np.array([standing[name] for name in names])
    rarity = (1 + np.log((1 + len(sentences)) / (1 + seen))).astype(np.float32)
    meanings = dict(sorted(Counter(one for _, means in sentences for one in means).items()))
    column_of = {one: column for column, one in enumerate(meanings)}
    x = np.zeros((len(sentences), len(names)), dtype=np.float32)
    y = np.zeros((len(sentences), len(meanings)), dtype=np.float32)
    for number, (text, means) in enumerate(sentences):
        row = _row(text, features, rarity)
        x[number, list(row)] = list(row.values())
        y[number, [column_of[one] for one in means]] = 1
    inner = x @ x.T + RIDGE * np.eye(len(sentences), dtype=np.float32)
    weights = x.T @ np.linalg.solve(inner, y)
    return _sparse(weights, features, rarity, meanings, digest_of(sentences))


def _sparse(
    weights: NDArray[np.float32],
    features: Mapping[str, int],
    rarity: NDArray[np.float32],
    meanings: Mapping[Meaning, int],
    learnt_from: str,
) -> Likeness:
    """Without the weights that are too small to matter."""
    kept = np.abs(weights) >= SMALLEST
    start = np.concatenate(([0], np.cumsum(kept.sum(axis=1)))).astype(np.int32)
    column = np.nonzero(kept)[1].astype(np.int16)
    return Likeness(
        features,
        rarity,
        start,
        column,
        weights[kept].astype(np.float16),
        meanings,
        learnt_from,
    )


def _row(text: str, features: Mapping[str, int], rarity: NDArray[np.float32]) -> dict[int, float]:
    """Features of a text that are known, weighted, of length 1."""
    counts = Counter(_features(text))
    row = {
        features[name]: (1 + float(np.log(times))) * float(rarity[features[name]])
        for name, times in counts.items()
        if name in features
    }
    length = sum(value * value for value in row.values()) ** 0.5
    return {feature: value / length for feature, value in row.items()}


def _features(text: str) -> Iterator[str]:
    """Words, pairs of words that follow each other, and pieces of words."""
    words = _WORD.findall(text.lower().replace("\u2019", "").replace("'", ""))
    yield from words
    for first, second in pairwise(words):
        yield f"{first} {second}"
    for word in words:
        spaced = f"_{word}_"
        for long in PIECES:
            for at in range(len(spaced) - long + 1):
                yield spaced[at : at + long]
