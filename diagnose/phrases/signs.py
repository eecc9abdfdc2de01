"""The signs that are said in a text: groups of words that together mean an answer of the book."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from diagnose.catalogue.plain_vocabulary import IT, OTHER, Phrase, PlainWords
from diagnose.catalogue.records import Catalogue, holds
from diagnose.phrases.clauses import Clause, clauses_of
from diagnose.phrases.mentions import mentions_of
from diagnose.phrases.records import CLEAR, EITHER, NEAR, STRENGTHS, Match
from diagnose.phrases.said import Mention, Said
from diagnose.phrases.text import ADVERB, NOW, PAST, PRESENT, PRONOUN
from diagnose.phrases.typed import PUMPS, Typed


@dataclass(frozen=True)
class Signs:
    """What was found: matches for this rig, those for what it has not, and the tokens used."""

    here: tuple[Match, ...]
    absent: tuple[Match, ...]
    used: frozenset[int]


def signs_of(typed: Typed, book: Catalogue, facts: Mapping[str, str], asked: str = "") -> Signs:
    """The signs in a text about a rig with these facts; asked: the observation that was asked for,
    whose things are meant where none is named."""
    words = typed.words
    spoken_of = words.things_of(asked) if asked else ()
    hits = [
        hit
        for one in mentions_of(typed.items, words, spoken_of)
        for hit in _hits(one, words, asked)
    ]
    here = [hit for hit in hits if _is_here(hit.phrase, book, facts)]
    heard = _used(here)
    away = [hit for hit in hits if hit not in here and not hit.used <= heard]
    return Signs(
        _matches(typed, _agreeing(_in_full(_settled(_longest(here)), heard, typed, asked))),
        _matches(typed, _longest(away)),
        heard | _used(away),
    )


def _is_here(phrase: Phrase, book: Catalogue, facts: Mapping[str, str]) -> bool:
    named = phrase.observation
    return not named or holds(book.observations[named].applies, facts)


@dataclass(frozen=True)
class _Hit:
    """A sign found, with the tokens that made it."""

    phrase: Phrase
    used: frozenset[int]
    strength: str
    named: bool
    """Whether the thing is named, or none has to be."""
    doubted: bool = False
    """Whether the words themselves leave it open: hearsay, a trial, one of several things."""

    @property
    def sign(self) -> tuple[str, str]:
        return self.phrase.observation, self.phrase.option

    def rivals(self, other: _Hit) -> bool:
        """Whether the same words make another sign that cannot hold beside this one."""
        same_words = self.used == other.used and self.sign != other.sign
        same_kind = self.phrase.observation == other.phrase.observation
        return same_words and (same_kind or self.phrase.thing != other.phrase.thing)


def _hits(mention: Mention, words: PlainWords, asked: str) -> Iterator[_Hit]:
    """Every sign that a mention holds. Behind a question it has to be asked whether another one
    is told where no thing is named."""
    repair = words.undoing - words.trials - words.passing
    mended = [min(one.used) for (name, _), one in mention.said.items() if name in repair]
    for phrase in words.phrases:
        named = phrase.thing in mention.means
        if (named or not phrase.thing) and phrase.terms <= mention.said.keys():
            parts = [mention.said[term] for term in phrase.terms]
            own = mention.used if named else frozenset[int]()
            sure = all(part.sure for part in parts) and (mention.sure or not named) and not mended
            strength = CLEAR if sure else NEAR
            beside = bool(asked) and phrase.observation != asked and not own
            doubted = beside or mention.thing == OTHER or _mended_since(parts, mended)
            doubted = doubted or phrase.perhaps or _asked_first(phrase, parts, words)
            if doubted:
                strength = EITHER
            used = own.union(*(part.used for part in parts))
            yield _Hit(phrase, used, strength, bool(own) or not phrase.thing, doubted)


def _mended_since(parts: Sequence[Said], mended: Sequence[int]) -> bool:
    """Whether a thing has been put right since, by where that is told: what was so is no more."""
    first = min(min(part.used) for part in parts)
    past = any(part.when == PAST for part in parts) or any(first < at for at in mended)
    return bool(mended) and past and not any(part.when == PRESENT for part in parts)


def _asked_first(phrase: Phrase, parts: Sequence[Said], words: PlainWords) -> bool:
    """Whether a sign is a guess or hearsay, or the outcome of a trial taken for the usual."""
    guessed = any(part.guessed for part in parts)
    tried = any(part.tried for part in parts)
    told = any(name in words.trials for name, _ in phrase.terms)
    return guessed or (tried and not told)


def _used(hits: Iterable[_Hit]) -> frozenset[int]:
    return frozenset(index for hit in hits for index in hit.used)


def _longest(hits: Sequence[_Hit]) -> list[_Hit]:
    """Without those whose words are a part of what makes another."""
    return [hit for hit in hits if not any(hit.used < other.used for other in hits)]


def _settled(hits: Sequence[_Hit]) -> list[_Hit]:
    """Rivals marked as such, unless one of them is also said elsewhere, which settles it."""
    marked = [
        replace(hit, strength=EITHER, doubted=True)
        if any(hit.rivals(other) for other in hits)
        else hit
        for hit in hits
    ]
    certain = {hit.sign for hit in marked if hit.strength != EITHER}
    return [hit for hit in marked if not _outdone(hit, hits, certain)]


def _in_full(hits: Sequence[_Hit], heard: frozenset[int], typed: Typed, asked: str) -> list[_Hit]:
    """Hits that are to be asked first, since their sentence says more there than was understood,
    or since their words are taken from clauses that lie apart."""
    clauses = list(clauses_of(typed.items))
    strange = {
        named: [typed.strange(clause, heard, named) for clause in clauses]
        for named in (True, False)
    }
    found = []
    for hit in hits:
        doubted = (
            _of_another(hit, typed)
            or not typed.mostly(heard, near=hit.used)
            or _taken_back(hit, clauses, typed.words)
        )
        says_more = _in_few_words(hit) and typed.says_more(hit.used, heard)
        in_full = not says_more and _told_whole(hit, clauses, strange[hit.named])
        if hit.sign[0] != asked and (doubted or not in_full):
            hit = replace(hit, strength=EITHER, doubted=hit.doubted or doubted)
        found.append(hit)
    return found


def _agreeing(hits: Sequence[_Hit]) -> list[_Hit]:
    """Hits of which none is taken unasked that answers a question otherwise than another."""
    sure: dict[tuple[str, str], set[str]] = {}
    for hit in hits:
        if hit.strength != EITHER:
            sure.setdefault(_question(hit), set()).add(hit.phrase.option)
    return [
        replace(hit, strength=EITHER) if len(sure.get(_question(hit), ())) > 1 else hit
        for hit in hits
    ]


def _question(hit: _Hit) -> tuple[str, str]:
    """What a sign answers, and of which thing; pump and motor are one."""
    thing = hit.phrase.thing
    return hit.phrase.observation, "" if thing in (*PUMPS, IT) else thing


FEW = 2
"""Words of a sign that may mean something else beside others, where no thing is named. A choice:
of such, in sentences that were new to the words, about half were taken rightly."""


def _in_few_words(hit: _Hit) -> bool:
    return not hit.named and hit.phrase.thing in (*PUMPS, IT) and len(hit.used) <= FEW


def _of_another(hit: _Hit, typed: Typed) -> bool:
    """Whether one word is said of an "it" that may be another thing named before: "the battery is
    swollen and its warm"; or only tells in what manner: "it leaks, slowly"."""
    if hit.named or len(hit.used) > 1 or len(hit.phrase.terms) > 1:
        return False
    at = min(hit.used)
    before = [item for item in typed.items if max(item.tokens, default=at) < at]
    manner = typed.tokens[at].word.endswith(ADVERB)
    pointed = bool(before) and before[-1].name == PRONOUN
    named = {item.name for item in before if item.kind == "thing"} - {*PUMPS, IT}
    return bool(named) and (manner or pointed)


def _tried_later(hit: _Hit, clauses: Sequence[Clause], words: PlainWords) -> bool:
    """Whether a trial is told only after a "but" behind what it should have led to: "it wont run
    but straight on the battery"."""
    where = _where(hit, clauses)
    trials = [
        n
        for n in where
        for item in clauses[n].of("state")
        if item.name in words.trials and item.tokens & hit.used
    ]
    behind = range(where[0] + 1, trials[0] + 1) if trials else range(0)
    return any(clauses[n].how in ("breaks", "stops") for n in behind)


def _told_whole(hit: _Hit, clauses: Sequence[Clause], strange: Sequence[bool]) -> bool:
    """Whether a sign is told in clauses that hang together and say nothing that is strange."""
    where = _where(hit, clauses)
    between = set(range(where[0], where[-1])) - set(where)
    apart = len(between) > 1 or any(clauses[n + 1].how == "stops" for n in between)
    around = {n for at in where for n in _hanging_on(at, clauses)} | between
    return not apart and not any(strange[n] for n in around)


def _taken_back(hit: _Hit, clauses: Sequence[Clause], words: PlainWords) -> bool:
    """Whether what comes behind a sign makes it a trial, a condition, or what was so before."""
    last = _where(hit, clauses)[-1]
    behind = [one for one in clauses[last + 1 : last + 2] if not hit.used & one.tokens]
    if any(one.supposed or _tries(one, words) for one in behind):
        return True
    lasting = any(name not in words.events for name, _ in hit.phrase.terms)
    return _tried_later(hit, clauses, words) or (lasting and _overtaken(last, clauses))


def _where(hit: _Hit, clauses: Sequence[Clause]) -> list[int]:
    return [n for n, one in enumerate(clauses) if hit.used & one.tokens]


def _tries(clause: Clause, words: PlainWords) -> bool:
    """Whether a clause tells of a trial on a part, while which something was so: "it stops | when i
    wiggle the plug"."""
    tried = words.some_rigs.trials & words.altering
    return clause.how == "conditions" and any(one.name in tried for one in clause.of("state"))


def _overtaken(at: int, clauses: Sequence[Clause]) -> bool:
    """Whether it is told how it went on: "good, then it fades", "it was blocked, i cleaned it"."""
    for clause in clauses[at + 1 :]:
        if clause.how == "stops":
            return False
        now = NOW in [item.name for item in clause.items[:2]] and clause.of("state")
        if clause.how == "turns" or now:
            return True
    return False


def _hanging_on(at: int, clauses: Sequence[Clause]) -> Iterator[int]:
    """A clause, and the one that it is a circumstance of: "sparks | when i wiggle it"."""
    yield at
    if clauses[at].how == "conditions":
        other = at - 1 if at and clauses[at - 1].items else at + 1
        if other < len(clauses):
            yield other


def _outdone(hit: _Hit, hits: Sequence[_Hit], certain: Collection[tuple[str, str]]) -> bool:
    rivals = {other.sign for other in hits if hit.rivals(other)}
    return bool(rivals) and hit.sign not in certain and not rivals.isdisjoint(certain)


def _matches(typed: Typed, hits: Iterable[_Hit]) -> tuple[Match, ...]:
    """One match a sign, the surest of its hits, in the order of the text."""
    best: dict[tuple[str, str], _Hit] = {}
    signs = [hit for hit in hits if hit.phrase.observation]
    for hit in sorted(signs, key=_doubt):
        best.setdefault(hit.sign, hit)
    ordered = sorted(best.values(), key=lambda hit: (min(hit.used), sorted(hit.used)))
    return tuple(
        Match(*hit.sign, typed.quoted(hit.used), hit.strength, hit.doubted) for hit in ordered
    )


def _doubt(hit: _Hit) -> tuple[int, bool, int]:
    """The surest first."""
    return STRENGTHS.index(hit.strength), hit.doubted, min(hit.used)
