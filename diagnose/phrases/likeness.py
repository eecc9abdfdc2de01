"""What a sentence resembles: scores from sentences whose meaning somebody has written down.

Word lists know what they list; people say it in a hundred other ways. So a sentence is compared
with labelled ones as well: ridge regression (Hoerl & Kennard, Technometrics 12 (1970) 55) from
what stands in it (features.py) to the answers that it means. What comes out is a score, near 1
where such sentences have meant that answer. What no words name is a guess: asked, never taken.

Equations, for n sentences, m features, k meanings: X (n, m) has one row a sentence; the features
of each kind in it are weighted by (1 + ln count) x (1 + ln((1 + n) / (1 + sentences with it))) and
have length (1 / kinds)^1/2; Y (n, k) is 1 where a sentence means it. The weights are
W = X' (X X' + RIDGE I)^-1 Y, (m, k); scores are x W.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from hashlib import sha256
from itertools import combinations
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from diagnose.phrases.features import KINDS, features_of

Meaning = tuple[str, str]
"""An observation and one of its options."""

RIDGE = 0.5
"""Weight of the penalty: about the middle of what does as well (0.3 to 1)."""

FEWEST = 2
"""Sentences in which a feature has to stand to be kept."""

SMALLEST = 0.02
"""Weights below it are left out of the file; scores change by less than a hundredth."""

TOGETHER = 0.03
"""Share of the rarer meaning's sentences from which two meanings are said to go together."""

SHIPPED = Path(__file__).with_name("likeness.npz")


@dataclass(frozen=True)
class Likeness:
    """Weights by feature, sparse. features: name to row, with its rarity; start: first weight of
    each row and the end, (m + 1,); column, weight: of each weight; meanings: of each column, with
    the number of sentences that mean it; pairs: columns of meanings that go together; trust: the
    weights of sureness.py; learnt_from: digest of the sentences."""

    features: Mapping[str, int]
    rarity: NDArray[np.float32]
    start: NDArray[np.int32]
    column: NDArray[np.int16]
    weight: NDArray[np.float16]
    meanings: Mapping[Meaning, int]
    pairs: NDArray[np.int16]
    learnt_from: str
    trust: NDArray[np.float64]

    @cached_property
    def together(self) -> frozenset[tuple[Meaning, Meaning]]:
        """Meanings that sentences have had beside each other, either one first."""
        meanings = list(self.meanings)
        named = [(meanings[one], meanings[other]) for one, other in self.pairs]
        return frozenset((*named, *((other, one) for one, other in named)))

    def scores(self, text: str) -> dict[Meaning, float]:
        """Score of each meaning, highest first."""
        total = np.zeros(len(self.meanings))
        row = _row(features_of(text), self.features, self.rarity)
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
                pairs=self.pairs,
                trust=self.trust,
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
            found["pairs"],
            bytes(found["learnt_from"]).decode(),
            found["trust"],
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
    told = [features_of(text) for text, _ in sentences]
    standing = Counter(name for one in told for name in set(_named(one)))
    names = sorted(name for name, times in standing.items() if times >= FEWEST)
    features = {name: row for row, name in enumerate(names)}
    seen = np.array([standing[name] for name in names])
    rarity = (1 + np.log((1 + len(sentences)) / (1 + seen))).astype(np.float32)
    meanings = dict(sorted(Counter(one for _, means in sentences for one in means).items()))
    column_of = {one: column for column, one in enumerate(meanings)}
    x = np.zeros((len(sentences), len(names)), dtype=np.float32)
    y = np.zeros((len(sentences), len(meanings)), dtype=np.float32)
    for number, (one, (_, means)) in enumerate(zip(told, sentences, strict=True)):
        row = _row(one, features, rarity)
        x[number, list(row)] = list(row.values())
        y[number, [column_of[one] for one in means]] = 1
    inner = x @ x.T + RIDGE * np.eye(len(sentences), dtype=np.float32)
    weights = x.T @ np.linalg.solve(inner, y)
    kept = np.abs(weights) >= SMALLEST
    return Likeness(
        features,
        rarity,
        np.concatenate(([0], np.cumsum(kept.sum(axis=1)))).astype(np.int32),
        np.nonzero(kept)[1].astype(np.int16),
        weights[kept].astype(np.float16),
        meanings,
        _pairs(y),
        digest_of(sentences),
        np.zeros(0),
    )


def _pairs(y: NDArray[np.float32]) -> NDArray[np.int16]:
    """Pairs of columns that stand together in no few of the sentences that have the rarer one."""
    both, times = y.T @ y, y.sum(axis=0)
    found = [
        (one, other)
        for one, other in combinations(range(len(times)), 2)
        if both[one, other] >= TOGETHER * min(times[one], times[other])
    ]
    return np.array(found, dtype=np.int16).reshape(-1, 2)


def _row(
    told: Sequence[Sequence[str]], features: Mapping[str, int], rarity: NDArray[np.float32]
) -> dict[int, float]:
    """Features that are known, weighted; of each kind as long as of any other."""
    row: dict[int, float] = {}
    for kind, names in enumerate(told):
        counts = Counter(_name(kind, name) for name in names)
        part = {
            features[name]: (1 + float(np.log(times))) * float(rarity[features[name]])
            for name, times in counts.items()
            if name in features
        }
        length = (KINDS * sum(value * value for value in part.values())) ** 0.5
        row |= {feature: value / length for feature, value in part.items()}
    return row


def _named(told: Sequence[Sequence[str]]) -> Iterator[str]:
    return (_name(kind, name) for kind, names in enumerate(told) for name in names)


def _name(kind: int, name: str) -> str:
    """A feature of a kind, apart from one of another kind that is written alike."""
    return f"{kind}:{name}"
