"""Situations as the handbooks teach them, and what the program names first in each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from diagnose.bench import Bench
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig
from diagnose.design.facts import rig_facts
from diagnose.documents import Section
from diagnose.reasoning.evidence import Evidence, read_answers
from tests.examination.facts import (
    Source,
    Verdict,
    bench_of,
    files,
    judged,
    repairs_of,
    rig_of,
    shop,
    sources,
)

IMPOSSIBLE = 0.03
"""An excluded failure mode may keep this much: people and meters err."""


@dataclass(frozen=True)
class Situation:
    """right: failure modes or `repair: id`; decided: whether the facts leave only those;
    excluded: failure modes that physics forbids, with the reason."""

    id: str
    subject: str
    rig: Rig
    told: str
    evidence: tuple[Evidence, ...]
    right: tuple[str, ...]
    decided: bool
    excluded: Mapping[str, str]
    source: Source

    @property
    def bench(self) -> Bench:
        return bench_of(self.rig)


@dataclass(frozen=True)
class Mark:
    """How one situation went. excluded: impossible causes that kept more than IMPOSSIBLE."""

    situation: Situation
    verdict: Verdict
    right: float
    place: int
    excluded: tuple[tuple[str, float], ...]


@cache
def situations() -> tuple[Situation, ...]:
    """All of them, by subject. Raises what reading a file raises."""
    found = [one for document in files("situations") for one in _in(document)]
    assert len({one.id for one in found}) == len(found), "an id stands twice"
    return tuple(found)


def _in(document: Section) -> Iterator[Situation]:
    sets = document.section("sets", default=None)
    known = {name: _reasons(sets.section(name)) for name in sets} if sets else {}
    subject = str(document.place.file).rsplit("/", 1)[-1].removesuffix(".yaml")
    for one in document.sections("situations"):
        yield _situation(one, subject, known)
    document.finish()


def _reasons(section: Section) -> dict[str, str]:
    return {name: section.text(name) for name in section}


def _situation(one: Section, subject: str, sets: Mapping[str, Mapping[str, str]]) -> Situation:
    rig = rig_of(one)
    excluded: Mapping[str, str] = {}
    if one.has("excluded"):
        named = isinstance(one.raw("excluded"), str)
        excluded = sets[one.text("excluded")] if named else _reasons(one.section("excluded"))
    right = one.texts("right")
    unknown = {*excluded} - set(shop().catalogue.failure_modes)
    assert not unknown, f"{one.place}: {unknown} are no failure modes"
    repairs_of(right)
    said = one.text("id"), one.text("told"), one.flag("decided"), sources()[one.text("source")]
    facts = rig_facts(Model.of(rig))
    evidence = read_answers(one, shop().catalogue, rig, facts)  # last: it asks for every key
    name, told, decided, source = said
    return Situation(name, subject, rig, told, tuple(evidence), right, decided, excluded, source)


def mark(situation: Situation) -> Mark:
    """Ask the program."""
    verdict = judged(situation.bench, situation.evidence)
    wanted = repairs_of(situation.right)
    place = next(i for i, (name, _) in enumerate(verdict.repairs, 1) if name in wanted)
    here = dict(verdict.modes)
    kept = ((name, here.get(name, 0.0)) for name in situation.excluded)
    above = tuple((name, p) for name, p in kept if p > IMPOSSIBLE)
    return Mark(situation, verdict, verdict.of(wanted), place, above)
