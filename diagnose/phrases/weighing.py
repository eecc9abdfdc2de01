"""What words say, weighed with what the sentence resembles: taken, asked or left alone.

What words tell is taken where sentences like it bear it out, and asked where they do not. What
words only name is taken as well where likeness makes it as sure, unless the words themselves leave
it open, as hearsay or a trial does. What likeness alone says is asked: from sentences of people it
had not learnt from it was seldom so sure, and then wrong in one case of two or three.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from diagnose.catalogue.part_names import template_of
from diagnose.phrases.likeness import Likeness, Meaning
from diagnose.phrases.records import EITHER, NEAR, Match
from diagnose.phrases.sureness import Case, sureness

SURE = 0.8
"""Probability from which an answer is taken unasked. Read by hands that neither likeness nor these
weights had learnt from, 3 in 100 sentences of the third and fourth then had something wrong taken;
at 0.85 it is 2, with 2 in 100 fewer understood in full."""

LIKELY = 0.1
"""Probability from which an answer that no words name is asked for: one of ten such is meant."""

LIKELY_BESIDE = 0.25
"""The same where something is taken and nothing was left: of four such one is meant."""

ENOUGH = 8
"""Sentences from which likeness knows a meaning well enough to doubt the words."""

SHARED = 0.05
"""Likeness that all answers to a question have together, where they have less."""

MOST_GUESSES = 3
MOST_ASKED = 5
"""Answers that are asked for at once: a list that is read to its end."""


def meaning_of(match: Match) -> Meaning:
    """A match as likeness knows it: of one part of several as of any of its kind."""
    return template_of(match.observation), match.option


@dataclass(frozen=True)
class Weighing:
    """A text that is weighed. scores: its likeness to each meaning; named: what its words say;
    asked: the observation that was asked for, "" for none; exact: what figures tell; whole:
    whether something was made of all words."""

    likeness: Likeness
    scores: Mapping[Meaning, float]
    named: Sequence[Match]
    asked: str
    exact: Sequence[Match] = ()
    whole: bool = False

    def sureness(self, match: Match) -> float:
        """The probability that the text means it."""
        return sureness(self.case(match), self.likeness.trust)

    def case(self, match: Match) -> Case:
        """What is known of a match, or of a guess."""
        meaning = meaning_of(match)
        score = self.scores.get(meaning, 0.0)
        question = [s for (name, _), s in self.scores.items() if name == meaning[0]]
        named = [one for one in self.named if one != match]
        told = match.strength != EITHER
        asked = match.observation == self.asked
        return Case(
            score,
            next((s for one, s in self.scores.items() if self._apart(one, meaning)), 0.0),
            max(0.0, score) / max(SHARED, sum(max(0.0, one) for one in question)),
            told,
            bool(match.words) and not told,
            any(meaning_of(one)[0] == meaning[0] and one.option != match.option for one in named),
            any(self._apart(one, meaning) for one in self._told if one != meaning),
            asked,
            bool(self.asked) and not asked and not told,
            self.likeness.meanings.get(meaning, 0),
            told and self.whole,
        )

    @cached_property
    def _told(self) -> list[Meaning]:
        return [meaning_of(one) for one in self.named if one.strength != EITHER]

    def _apart(self, one: Meaning, other: Meaning) -> bool:
        """Whether a meaning is not said beside another; behind a question, of the same question."""
        known = one in self.scores and other in self.scores
        elsewhere = self.asked and one[0] != template_of(self.asked)
        beside = one == other or (one, other) in self.likeness.together
        return known and not elsewhere and not beside

    def weighed(self) -> Iterator[Match]:
        """What words say, to be taken or asked by how sure it is. Of several answers to a question
        none is taken for its likeness."""
        found = [self._weighed(one) for one in self.named]
        taken = [one.observation for one in found if one.strength != EITHER]
        for before, after in zip(self.named, found, strict=True):
            raised = before.strength == EITHER != after.strength
            yield before if raised and taken.count(after.observation) > 1 else after

    def _weighed(self, match: Match) -> Match:
        """Where likeness hardly knows it, where what was asked is answered and where figures tell
        it, the words stand by themselves."""
        known = self.likeness.meanings.get(meaning_of(match), 0) >= ENOUGH
        told = match.strength != EITHER
        stands = match in self.exact or (told and match.observation == self.asked)
        if not known or match.doubted or stands:
            return match
        if self.sureness(match) < SURE:
            return replace(match, strength=EITHER)
        return match if told else replace(match, strength=NEAR)

    def likeliest(self, matches: Sequence[Match]) -> tuple[Match, ...]:
        """What is sure, as it was said, then what is asked: what words name before a guess, the
        likeliest first."""
        sure = [one for one in matches if one.strength != EITHER]
        unsure = [one for one in matches if one.strength == EITHER]
        unsure.sort(key=lambda one: (not one.words, -self.sureness(one)))
        return (*sure, *unsure[:MOST_ASKED])

    def guesses(self, possible: Sequence[Match], least: float) -> tuple[Match, ...]:
        """Of what no words name, what is so likely, the likeliest first."""
        found = sorted(((self.sureness(one), -n) for n, one in enumerate(possible)), reverse=True)
        return tuple(possible[-n] for chance, n in found[:MOST_GUESSES] if chance >= least)
