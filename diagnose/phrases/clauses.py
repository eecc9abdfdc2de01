"""A text cut into clauses, and how one hangs on another."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from diagnose.phrases.text import ARTICLE, ASKING, PERSON, PRONOUN, SUPPOSED, Item

ENDS = ("stops", "breaks", "turns", "joins", "conditions")
"""Kinds of items that end a clause and say how the next one hangs on it."""


@dataclass(frozen=True)
class Clause:
    """Items from one end to the next; `how` it hangs on the clause before, as in ENDS; `end`:
    the sign that ends it."""

    how: str
    items: tuple[Item, ...]
    end: str = ""

    @property
    def asked(self) -> bool:
        """Whether it is a question by its form: "is that the wiring?"."""
        told = [one for one in self.items if one.kind not in ENDS]
        return self.end == "?" and bool(told) and told[0].name == ASKING

    def of(self, kind: str) -> list[Item]:
        return [item for item in self.items if item.kind == kind]

    @cached_property
    def tokens(self) -> frozenset[int]:
        return frozenset(i for item in self.items for i in item.tokens)

    @property
    def supposed(self) -> bool:
        """Whether it tells under what condition: "if i blow in the tank"."""
        return bool(self.items) and self.items[0].name == SUPPOSED

    @property
    def only_when(self) -> bool:
        """Whether it tells when, by what a person does: "when i take it to the yard"."""
        told = self.how == "conditions" and not self.supposed
        return told and len(self.items) > 1 and self.items[1].name == PERSON

    def guessed(self, when: Collection[str]) -> bool:
        """Whether it is a guess; one that is only about a figure or a time is none: "for maybe
        twenty seconds"."""
        told = [one for one in self.items if one.kind not in ("fillers", "places")]
        figures = {
            n
            for n, one in enumerate(told)
            if one.kind in ("figure", "numbers") or one.name in when or one.counts
        }
        return any(
            one.kind == "hedges" and figures.isdisjoint((n - 1, n + 1))
            for n, one in enumerate(told)
        )

    def describes(self, at: int) -> bool:
        """Whether the word not known in that place only describes: "a horrid grinding noise"."""
        begins = at
        while begins and self.items[begins].kind == "":
            begins -= 1
        if self.items[begins].open:
            return not self.items[at].owns
        follows = self.items[at + 1].kind if at + 1 < len(self.items) else "fillers"
        article = self.items[begins].name == ARTICLE
        return article and follows in ("", "state", "thing") and not self.items[at].owns

    def says_where(self, at: int) -> bool:
        """Whether the item in that place only says where: "near the tank", "in the old shed"."""
        if any(one.kind == "spans" for one in self.items[:at]):
            return True
        for one in reversed(self.items[:at]):
            if one.kind == "places":
                return True
            if one.kind not in ("fillers", ""):
                return False
        return False


def clauses_of(items: Iterable[Item], trials: Collection[str] = ()) -> Iterator[Clause]:
    """The clauses of a text. A circumstance ends where a thing follows on what was said of the
    one before: "when the tap is open | the relay chatters", and an attempt with the next "it":
    "if i bridge the switch | it runs"."""
    how, current = "breaks", list[Item]()
    for item in items:
        told = how == "conditions" and any(one.kind == "state" for one in current)
        trying = told and any(one.name in trials for one in current)
        ends = item.kind in ENDS and not (item.kind == "joins" and _spanning(current))
        outcome = trying and item.name == PRONOUN and item.kind == "fillers"
        if ends or outcome or (told and not trying and item.kind == "thing"):
            yield Clause(how, tuple(current), item.name if ends else "")
            how, current = item.kind if ends else "joins" if outcome else "breaks", []
        current.append(item)
    yield Clause(how, tuple(current))


def _spanning(items: Sequence[Item]) -> bool:
    """Whether "between this" is still waiting for "and that"."""
    spans = [i for i, item in enumerate(items) if item.kind == "spans"]
    return bool(spans) and not any(one.kind == "joins" for one in items[spans[-1] :])
