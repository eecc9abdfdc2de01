"""Which thing is meant by what is said: named beside it, or spoken of before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from diagnose.catalogue.plain_vocabulary import OTHER, PlainWords
from diagnose.phrases.clauses import Clause
from diagnose.phrases.said import Mention, Said
from diagnose.phrases.text import PRONOUN, Item


@dataclass(frozen=True)
class Owners:
    """Whose the states of a clause are: named, the things in it; mentions, those before it;
    tried, those of which a trial was told just before."""

    clause: Clause
    named: Sequence[Mention]
    mentions: Sequence[Mention]
    tried: Sequence[Mention]
    words: PlainWords

    def hand_out(self, state: Item, said: Said) -> None:
        """Give a state to the first thing that it makes sense with. Where it may be another's as
        well, both get it, less surely: behind a full stop, where no thing is named, and between
        two things ("the relay is hot fuse holder fine")."""
        candidates = [*self.tried[-1:], *self._nearest(state)]
        if not self._own or not self._nearest(state):
            candidates = list(dict.fromkeys([*candidates, *self._earlier]))
        fitting = [one for one in candidates if self._fits(one, said.term[0])]
        if not fitting and said.term[0] not in self.words.trials:
            fitting = [one for one in self._earlier if self._fits(one, said.term[0])][-1:]
        between = len(fitting) > 1 and self._just_behind(state) == fitting[0]
        again = self.clause.how == "turns" or self._after_pronoun(state)
        apart = again and not self._own and self._of_either(fitting[:2], state)
        several = fitting[:2] if between or apart or self._new_sentence else fitting[:1]
        doubtful = between or (self._new_sentence and several != [self.mentions[0]])
        for one in several or candidates[:1]:
            guessed = said.guessed or apart or any(part.guessed for part in self._of_thing(one))
            one.take(replace(said, sure=said.sure and not doubtful, guessed=guessed))

    def _of_either(self, owners: Sequence[Mention], state: Item) -> bool:
        """Whether what is said of the thing named before is another sign than the same said of the
        rig: "the battery is new and now its dead"."""
        found = [
            {sign for thing in one.means for sign in self.words.told_of(thing, state.name)}
            for one in owners
        ]
        return len(found) > 1 and found[0].isdisjoint(found[1])

    @staticmethod
    def _of_thing(one: Mention) -> Iterator[Said]:
        return (said for (name, _), said in one.said.items() if name == one.thing)

    @property
    def _own(self) -> list[Mention]:
        """The things named in the clause, without what only says where the rig stands."""
        return [one for one in self.named if one.thing != OTHER or not self.only_says_where(one)]

    @property
    def _new_sentence(self) -> bool:
        return self.clause.how == "stops" and not self._own

    @property
    def _earlier(self) -> Sequence[Mention]:
        return self.mentions[-1], self.mentions[0]

    def _fits(self, owner: Mention, name: str) -> bool:
        if owner.thing == OTHER:
            return True
        trial = owner in self.tried or name in self.words.trials
        return any(self.words.fits(thing, name, trial) for thing in owner.means)

    def _nearest(self, state: Item) -> list[Mention]:
        """The things of the clause: one right behind the state, those before it from the nearest
        on, those behind it; last those that only say where."""
        own = self._own
        adjacent = self._just_behind(state)
        before = [one for one in own if max(one.used) < min(state.tokens)]
        behind = [one for one in own if min(one.used) > max(state.tokens)]
        ordered = [*([adjacent] if adjacent else []), *reversed(before), *behind]
        if self._after_pronoun(state):
            ordered = [one for one in ordered if one in behind or not self.only_says_where(one)]
        return sorted(dict.fromkeys(ordered), key=self.only_says_where)

    def _after_pronoun(self, state: Item) -> bool:
        """Whether a state is said of an "it": "at the pump it dribbles"."""
        before = self.clause.items[: self.clause.items.index(state)]
        said = [one for one in before if one.name == PRONOUN or one.kind != "fillers"]
        return bool(said) and said[-1].name == PRONOUN

    def _just_behind(self, state: Item) -> Mention | None:
        """The thing that follows a state, with no more than small words between."""
        small = {i for one in self.clause.of("fillers") for i in one.tokens}
        end = max(state.tokens)
        behind = (one for one in self._own if min(one.used) > end)
        return next((x for x in behind if small.issuperset(range(end + 1, min(x.used)))), None)

    def only_says_where(self, one: Mention) -> bool:
        """Whether a thing is named only for the place: "the wire at the relay"."""
        before = [item for item in self.clause.items if max(item.tokens) < min(one.used)]
        told = [item for item in before if item.kind != "fillers"]
        span = any(item.kind == "spans" for item in told)
        return span or (bool(told) and told[-1].kind == "places")
