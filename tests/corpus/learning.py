"""What is learnt from sentences: likeness, from all of them, and how sure it is, from those of
hands that it has not learnt from.

Likeness learns from the corpus, everyday sentences, phrases from recorded repairs, and the
sentences that the words are tested with. How sure it is is learnt from what the words were not
written for: all of the third and the sixth, and of the others the answers to a question, which the
sixth lacks.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice
from pathlib import Path
from typing import Any

import numpy as np
import yaml
from numpy.typing import NDArray

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.part_names import template_of
from diagnose.phrases.likeness import SHIPPED, Likeness, Meaning, learn
from diagnose.phrases.sureness import Case, fit
from diagnose.phrases.understanding import hear, possible_answers
from diagnose.phrases.weighing import Weighing, meaning_of
from tests.corpus.score import fits_a_rig, meant, rig_for, texts

HANDS = (("open", "kept"), ("second",), ("third",), ("fourth",), ("sixth",))
"""Parts of the corpus, those that one hand wrote together."""

UNHEARD = ("third", "sixth")
"""Parts that the words were not written for."""

FOLDS = 5
"""Portions of the sixth, the only part with sentences for every answer: without all of it, likeness
would not know most of what it means."""

FIRST = 6
"""Likeliest answers of each sentence that are cases beside what its words name."""

PARTS = tuple(part for hand in HANDS for part in hand)
TESTS = Path(__file__).parents[1]
TABLES = ("plain_sentences.yaml", "part_sentences.yaml")

Sentence = tuple[str, Sequence[Meaning]]
Text = Mapping[str, Any]


def sentences() -> list[Sentence]:
    """Texts with what each means."""
    return [*_told(one for part in PARTS for one in texts(part)), *_always()]


def _always() -> Iterator[Sentence]:
    """What belongs to no hand that is held back."""
    yield from _recorded()
    yield from _tested()
    for one in texts("seventh"):
        yield one["text"], _signs(one["means"])


def _told(some: Iterable[Text]) -> Iterator[Sentence]:
    return ((one["text"], _meanings(one["means"])) for one in some)


def _meanings(means: Iterable[dict[str, Any]]) -> list[Meaning]:
    return [(one["observation"], one["option"]) for one in means]


def _recorded() -> Iterator[Sentence]:
    for file in sorted((TESTS / "recorded").glob("phrases_*.yaml")):
        for one in yaml.safe_load(file.read_text(encoding="utf-8")):
            yield one["text"], _signs(one["means"])


def _tested() -> Iterator[Sentence]:
    for name in TABLES:
        for one in yaml.safe_load((TESTS / "tables" / name).read_text("utf-8"))["sentences"]:
            yield one["text"], _signs([*one.get("means", []), *one.get("either", [])])


def _signs(written: Iterable[str]) -> list[Meaning]:
    """Observations with their options; readings are left out."""
    pairs = (text.partition("=") for text in written)
    return [(template_of(name), option) for name, is_sign, option in pairs if is_sign]


@dataclass(frozen=True)
class HeldBack:
    """Texts of a part that a hand wrote, and what is learnt without that hand."""

    hand: Sequence[str]
    part: str
    texts: Sequence[Text]
    likeness: Likeness


def held_back() -> Iterator[HeldBack]:
    """Each hand, with the likeness learnt from the others; of the sixth each of its portions."""
    every = [(part, one) for part in PARTS for one in texts(part)]
    for hand in HANDS:
        for portion in range(FOLDS if hand == ("sixth",) else 1):
            kept = _portion(hand, portion)
            without = {one["id"] for _, one in kept}
            others = _told(one for _, one in every if one["id"] not in without)
            likeness = learn([*others, *_always()])
            for part in hand:
                yield HeldBack(hand, part, [one for of, one in kept if of == part], likeness)


def _portion(hand: Sequence[str], portion: int) -> list[tuple[str, Text]]:
    whole = [(part, one) for part in hand for one in texts(part)]
    if hand != ("sixth",):
        return whole
    return whole[len(whole) * portion // FOLDS : len(whole) * (portion + 1) // FOLDS]


def trusted(some: Iterable[HeldBack]) -> NDArray[np.float64]:
    """The weights of how sure it is, from hands held back."""
    cases, right = list[Case](), list[bool]()
    for held in some:
        for text in held.texts:
            if fits_a_rig(text) and (held.part in UNHEARD or "question" in text):
                for case, is_meant in _cases(text, held.likeness):
                    cases.append(case)
                    right.append(is_meant)
    return fit(cases, right)


def _cases(text: Text, likeness: Likeness) -> Iterator[tuple[Case, bool]]:
    """What words name in a text and the likeliest of what they do not, and whether it is meant."""
    rig, facts = rig_for(text)
    book, asked = shipped_catalogue(), text.get("question", "")
    heard, exact = hear(text["text"], book, facts, rig, asked)
    scores, whole = likeness.scores(text["text"]), not heard.not_understood
    weighing = Weighing(likeness, scores, heard.matches, asked, exact, whole)
    named = {meaning_of(one) for one in heard.matches}
    guesses = list(islice(possible_answers(weighing, book, facts), FIRST))
    right = meant(text)
    for one in (*heard.matches, *(guess for guess in guesses if meaning_of(guess) not in named)):
        yield weighing.case(one), meaning_of(one) in right


def learnt() -> Likeness:
    """What all sentences teach."""
    return replace(learn(sentences()), trust=trusted(held_back()))


def write() -> None:
    """Put it where the program finds it."""
    found = learnt()
    found.save(SHIPPED)
    print(f"{len(found.features)} features, {found.weight.size} weights: {SHIPPED}")
