"""What a casebook says as a whole: which faults, how often right, what helped, what came back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from diagnose.casebook.brief import Brief, counted, most_first
from diagnose.casebook.index import Index
from diagnose.catalogue.part_names import template_of
from diagnose.figures import shipped_figures
from diagnose.reasoning import OTHER
from diagnose.reasoning.next_test import least_rate

SOON = 90
"""Days within which a fault that is back counts as one that was not mended."""


@dataclass(frozen=True)
class ModeLine:
    """One failure mode in the cases; minutes: mean of a walk; topologies: cases on each."""

    mode: str
    group: str
    cases: int
    confirmed: int
    minutes: float
    topologies: Mapping[str, int]


@dataclass(frozen=True)
class Hits:
    """Among confirmed cases: how often the true cause was ranked first, or in the first three."""

    confirmed: int
    first: int
    first_three: int
    not_in_the_book: int


@dataclass(frozen=True)
class Use:
    """What one question was worth.

    asked: how often; answered: of these; helped: of these, how often the answer moved the ranking
    by more than the least that is worth its time; bits, minutes: means of an answer
    """

    test: str
    asked: int
    answered: int
    helped: int
    bits: float
    minutes: float


@dataclass(frozen=True)
class Return:
    """A fault that was back; again: the later case, or the same when it was opened again."""

    first: Brief
    again: Brief
    days: int


@dataclass(frozen=True)
class Review:
    """A casebook, or the part of it that a filter leaves.

    statuses, months, groups, modes, parts: the most frequent first, but months in order of time;
    questions: those that helped least first; minutes: of all walks together
    """

    cases: int
    statuses: Mapping[str, int]
    months: Mapping[str, int]
    groups: Mapping[str, int]
    modes: tuple[ModeLine, ...]
    hits: Hits
    questions: tuple[Use, ...]
    returns: tuple[Return, ...]
    parts: Mapping[str, int]
    minutes: float


def review(index: Index, briefs: Sequence[Brief], groups: Mapping[str, str]) -> Review:
    """What the given cases say; groups: failure mode to component group, of the book."""
    named = [brief for brief in briefs if brief.mode]
    return Review(
        cases=len(briefs),
        statuses=counted(briefs, lambda brief: brief.status),
        months=dict(sorted(counted(briefs, lambda b: b.opened.isoformat()[:7]).items())),
        groups=counted(named, lambda brief: groups.get(template_of(brief.mode), brief.mode)),
        modes=tuple(_modes(named, groups)),
        hits=hits(briefs),
        questions=questions(index, briefs),
        returns=tuple(returns(named)),
        parts=_parts(briefs),
        minutes=round(sum(brief.minutes for brief in briefs), 1),
    )


def hits(briefs: Iterable[Brief]) -> Hits:
    """How often the ranking was right."""
    places = [(b.place or 0, b.true_cause) for b in briefs if b.confirmed]
    return Hits(
        confirmed=len(places),
        first=sum(place == 1 for place, _ in places),
        first_three=sum(1 <= place <= 3 for place, _ in places),
        not_in_the_book=sum(mode == OTHER for _, mode in places),
    )


def _modes(briefs: Sequence[Brief], groups: Mapping[str, str]) -> Iterator[ModeLine]:
    sorts: dict[str, list[Brief]] = {}
    for brief in briefs:
        sorts.setdefault(brief.mode, []).append(brief)
    for mode, cases in sorted(sorts.items(), key=lambda pair: (-len(pair[1]), pair[0])):
        yield ModeLine(
            mode=mode,
            group=groups.get(template_of(mode), mode),
            cases=len(cases),
            confirmed=sum(brief.confirmed for brief in cases),
            minutes=round(sum(brief.minutes for brief in cases) / len(cases), 1),
            topologies=counted(cases, lambda brief: brief.topology),
        )


_USES = """
SELECT f.test, COUNT(*), SUM(f.how = 'answered'),
       SUM(f.how = 'answered' AND f.moved >= ? * MAX(f.minutes, 0.5)),
       AVG(f.moved), AVG(f.minutes)
FROM finding f WHERE +f.file IN (
    SELECT b.file FROM temp.chosen c JOIN brief b ON b.id = c.id)
GROUP BY f.test
"""
"""The + keeps the database from going file by file: test by test, it needs no sorting."""


def questions(index: Index, briefs: Iterable[Brief]) -> tuple[Use, ...]:
    """What each question was worth in the given cases, those that helped least first."""
    least = least_rate(shipped_figures())
    index.choose("chosen", "id TEXT PRIMARY KEY", ((brief.id,) for brief in briefs))
    found = [
        Use(test, asked, answered, helped or 0, round(bits or 0.0, 3), round(minutes, 2))
        for test, asked, answered, helped, bits, minutes in index.query(_USES, (least,))
    ]
    return tuple(sorted(found, key=lambda use: (use.helped / use.asked, -use.asked, use.test)))


def returns(briefs: Sequence[Brief]) -> Iterator[Return]:
    """Faults back within SOON days: the same case opened again, or the same fault on that rig."""
    last: dict[tuple[str, str], Brief] = {}
    for brief in sorted(briefs, key=lambda b: (b.opened, b.id)):
        for back in brief.came_back:
            if back.days is not None and back.days <= SOON:
                yield Return(brief, brief, back.days)
        fault = (brief.rig.casefold(), brief.mode)
        before = last.get(fault)
        if before and before.closed and 0 <= (brief.opened - before.closed).days <= SOON:
            yield Return(before, brief, (brief.opened - before.closed).days)
        last[fault] = brief


def _parts(briefs: Iterable[Brief]) -> dict[str, int]:
    return most_first(part for b in briefs if b.status == "closed" for part in b.parts)
