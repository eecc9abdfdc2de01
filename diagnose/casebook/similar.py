"""Cases like the one at hand: what was seen and read alike, and what they turned out to be."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import log2
from typing import TYPE_CHECKING

from diagnose.casebook.brief import Brief, counted
from diagnose.casebook.index import Index
from diagnose.casebook.record import Case

if TYPE_CHECKING:
    from diagnose.reasoning.evidence import Evidence
    from diagnose.reasoning.expectations import Healthy
    from diagnose.walkthrough import Walk

Answers = Mapping[str, str]
"""Test to answer: the option of an observation, or how a reading stands to its healthy band."""


@dataclass(frozen=True)
class Alike:
    """One case beside the one at hand.

    shared: tests with the same answer in both; differing: test, answer at hand, answer there;
    bits: weight of what is shared less that of what differs
    """

    brief: Brief
    shared: tuple[tuple[str, str], ...]
    differing: tuple[tuple[str, str, str], ...]
    bits: float


@dataclass(frozen=True)
class Similar:
    """The cases most alike, best first, and what they have in common.

    shared: test, answer, and in how many of the cases it was the same; modes: what the cases were,
    with how many of each
    """

    cases: tuple[Alike, ...]
    shared: tuple[tuple[str, str, int], ...]
    modes: Mapping[str, int]


def answers_of_walk(walk: Walk) -> dict[str, str]:
    """What has been answered in a walk so far."""
    return answers_of(walk.evidence, walk.bench.healthy)


def answers_of(items: Iterable[Evidence], healthy: Healthy) -> dict[str, str]:
    """Findings as answers. healthy: the bands of sound readings of their rig."""
    from diagnose.reasoning.evidence import Seen

    verdict = healthy.verdict
    return {item.id: item.option if isinstance(item, Seen) else verdict(item) for item in items}


def answers_of_case(case: Case) -> dict[str, str]:
    """What was answered in a case."""
    return {item.test: item.answer for item in case.found}


def answers_kept(index: Index, name: str) -> dict[str, str]:
    """The same from the index, by the id of the case; nothing for a case that is not in it."""
    sql = "SELECT f.test, f.answer FROM finding f JOIN brief b ON b.file = f.file WHERE b.id = ?"
    return dict(index.query(f"{sql} AND f.how = 'answered'", (name,)))


def similar(index: Index, answers: Answers, limit: int = 5, leave_out: str = "") -> Similar:
    """The cases that share most with `answers`; a rare answer that is shared weighs more.

    An answer given in a share p of all cases weighs -log2 p bits: a question that is seldom needed
    says something by being needed. What differs counts against a case with half of that, since
    answers can be mistaken.
    leave_out: id of the case at hand, if it is one.
    """
    weights = _weights(index, answers)
    index.choose(
        "mine",
        "test TEXT, answer TEXT, bits REAL",
        [(test, answer, weights[test]) for test, answer in answers.items()],
    )
    rows = index.query(_ALIKE, (leave_out, limit))
    briefs = index.briefs_of(file for file, _ in rows)
    cases = tuple(
        _alike(index, brief, file, answers, bits)
        for brief, (file, bits) in zip(briefs, rows, strict=True)
    )
    return Similar(cases, _in_common(cases), counted((c.brief for c in cases), lambda b: b.mode))


_ALIKE = """
SELECT f.file, SUM(CASE WHEN f.answer = m.answer THEN m.bits ELSE -m.bits / 2 END) AS score
FROM finding f JOIN temp.mine m ON f.test = m.test JOIN brief b ON b.file = f.file
WHERE f.how = 'answered' AND b.id <> ?
GROUP BY f.file HAVING score > 0 ORDER BY score DESC, b.opened DESC, b.id LIMIT ?
"""


def _weights(index: Index, answers: Answers) -> dict[str, float]:
    """Bits of each answer, by its test; one case more each way, so that no share is 0 or 1."""
    cases, found = index.count, {}
    for test, answer in answers.items():
        sql = "SELECT COUNT(*) FROM finding WHERE test = ? AND how = 'answered' AND answer = ?"
        same = index.query(sql, (test, answer))[0][0]
        found[test] = -log2((same + 1) / (cases + 2))
    return found


def _alike(index: Index, brief: Brief, file: int, answers: Answers, bits: float) -> Alike:
    sql = "SELECT test, answer FROM finding WHERE file = ? AND how = 'answered' ORDER BY test"
    there = dict(index.query(sql, (file,)))
    both = [test for test in there if test in answers]
    return Alike(
        brief,
        shared=tuple((t, there[t]) for t in both if there[t] == answers[t]),
        differing=tuple((t, answers[t], there[t]) for t in both if there[t] != answers[t]),
        bits=round(bits, 3),
    )


def _in_common(cases: tuple[Alike, ...]) -> tuple[tuple[str, str, int], ...]:
    """What more than one of the cases shares with the one at hand, the most frequent first."""
    tally: dict[tuple[str, str], int] = {}
    for case in cases:
        for pair in case.shared:
            tally[pair] = tally.get(pair, 0) + 1
    found = [(test, answer, count) for (test, answer), count in tally.items() if count > 1]
    return tuple(sorted(found, key=lambda row: (-row[2], row[0])))
