"""What all parts of the examination share: its files, its sources, its rigs, and the ranking.

The yaml files here were written from general handbooks and by hand from Ohm's law, before the
program was asked about any of them. Where one was changed afterwards, a comment beside it, begun
with "amended", says what was wrong.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import Rig, open_rig, rig_in
from diagnose.documents import Section, load
from diagnose.outcome import conclude
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.posterior import by_repair, posterior
from diagnose.walkthrough import Walk

HERE = Path(__file__).parent
RIGS = ("bowser", "header-tank", "mist-bench")
BASES = ("seen", "derived", "memory", "common-practice")

Ranking = Sequence[tuple[str, float]]


@dataclass(frozen=True)
class Source:
    """Where something is taught."""

    title: str
    kind: str
    section: str
    basis: str


@cache
def sources() -> Mapping[str, Source]:
    """The sources of every file, by key."""
    document = load(HERE / "sources.yaml")
    found = {}
    for key in document:
        one = document.section(key)
        title, kind, section = one.text("title"), one.text("kind"), one.text("section")
        found[key] = Source(title, kind, section, one.choice("basis", BASES))
    document.finish()
    return found


def shop() -> Shop:
    return Shop.shipped()


@cache
def bundled(name: str) -> Bench:
    return Bench.for_rig(open_rig(name), shop())


def rig_of(section: Section) -> Rig:
    """What `rig` says: the name of a bundled rig, or a rig of its own."""
    if isinstance(section.raw("rig"), str):
        return open_rig(section.choice("rig", RIGS))
    return rig_in(section.section("rig"))


@lru_cache(maxsize=4)
def bench_of(rig: Rig) -> Bench:
    """The bench of a rig; those of the last few rigs are kept."""
    return Bench.for_rig(rig, shop())


def files(folder: str) -> Iterator[Section]:
    """Every document of a folder, in the order of their names."""
    yield from map(load, sorted((HERE / folder).glob("*.yaml")))


@dataclass(frozen=True)
class Verdict:
    """What the program makes of some evidence: failure modes and repairs, likeliest first."""

    modes: Ranking
    repairs: Ranking

    def of(self, repairs: Iterable[str]) -> float:
        """Probability of any of these repairs."""
        here = dict(self.repairs)
        return sum(here.get(one, 0.0) for one in set(repairs))

    @property
    def leader(self) -> str:
        return self.repairs[0][0]


def judged(bench: Bench, evidence: Iterable[Evidence]) -> Verdict:
    """The ranking a person would be shown after all of it."""
    walk = Walk(bench)
    walk.tell(evidence)
    modes = conclude(walk).ranking
    return Verdict(modes, tuple(by_repair(modes, shop().repair).items()))


def believed(bench: Bench, evidence: Iterable[Evidence]) -> Verdict:
    """The same without weighing two faults at once: ten times as fast, for thousands of steps."""
    modes = posterior(bench.predictions, tuple(evidence)).ranking
    return Verdict(modes, tuple(by_repair(modes, shop().repair).items()))


def repairs_of(names: Iterable[str]) -> frozenset[str]:
    """The repairs of failure modes, or of repairs named as `repair: id`."""
    repair = {**shop().repair, OTHER: OTHER}
    known = set(repair.values())
    found = set()
    for name in names:
        wanted = name.removeprefix("repair: ")
        if wanted not in known and wanted not in repair:
            raise KeyError(f"{name} is neither a failure mode nor a repair")
        found.add(wanted if wanted in known else repair[wanted])
    return frozenset(found)
