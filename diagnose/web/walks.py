"""The walks of a casebook, each held for the length of one request."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import RLock

from diagnose.bench import Bench
from diagnose.casebook.closure import close
from diagnose.casebook.files import ID
from diagnose.casebook.journal import Journal, Unfinished, path_of_walk, unfinished
from diagnose.casebook.record import Case, Verification
from diagnose.casebook.store import Casebook
from diagnose.circuit.rig import Rig
from diagnose.errors import DiagnoseError, UnknownName, quoted
from diagnose.outcome import Result, conclude
from diagnose.pages.reasons import why_stopped
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.evidence import Evidence
from diagnose.walkthrough import Walk

BENCHES = 3
"""Rigs that are kept ready; each takes some 200 MB (measured)."""

BenchOf = Callable[[Rig, CommissioningRecord | None], Bench]


class NoSuchWalk(DiagnoseError):
    """No walk under that name: it became a case, or never was."""


@dataclass
class Walks:
    """rigs: those that a walk may begin on, by the names that are shown; bench_of: makes all that
    is computed for one. One request computes at a time, whichever walk it is of."""

    casebook: Casebook
    rigs: Mapping[str, Rig]
    bench_of: BenchOf
    _benches: OrderedDict[str, Bench] = field(default_factory=OrderedDict)
    _one: RLock = field(default_factory=RLock)

    def bench(self, rig: Rig, own: CommissioningRecord | None = None) -> Bench:
        """All that is computed for a rig, made once. Raises DiagnoseError."""
        key = f"{rig!r} {own!r}"
        if key not in self._benches:
            self._benches[key] = self.bench_of(rig, own)
            while len(self._benches) > BENCHES:
                self._benches.popitem(last=False)
        self._benches.move_to_end(key)
        return self._benches[key]

    def rig(self, name: str) -> Rig:
        """One of the rigs that are offered. Raises UnknownName."""
        if name not in self.rigs:
            raise UnknownName("rig", name, None, None, tuple(self.rigs))
        return self.rigs[name]

    @contextmanager
    def alone(self) -> Iterator[None]:
        """Nobody else computes meanwhile."""
        with self._one:
            yield

    def fresh(self, name: str, able: str = "") -> Walk:
        """A walk on one of the rigs of which nothing is kept yet. Raises DiagnoseError."""
        return Walk(self.bench(self.rig(name)), able=able)

    def begin(self, walk: Walk, told: Sequence[Evidence], complaint: Sequence[str]) -> str:
        """Keep a walk from here on; its id. Raises DiagnoseError."""
        walk.tell(told)
        journal = Journal.start(self.casebook, walk, complaint)
        journal.close()
        return journal.id

    @contextmanager
    def held(self, name: str) -> Iterator[Journal]:
        """A walk as far as it went, which nobody else can go on with meanwhile. Raises
        NoSuchWalk, or DiagnoseError where its file is damaged or open elsewhere."""
        if not ID.fullmatch(name) or not path_of_walk(self.casebook, name).is_file():
            raise NoSuchWalk(f"There is no walk called {quoted(name)}; it may be a case by now.")
        with self._one:
            path = path_of_walk(self.casebook, name)
            journal = Journal.resume(path, self.bench, self.casebook)
            try:
                yield journal
            finally:
                journal.close()

    def unfinished(self) -> tuple[Unfinished, ...]:
        """The walks that can be gone on with, the latest first."""
        return unfinished(self.casebook)[0][::-1]

    def save(self, journal: Journal, verification: Verification | None = None) -> Case:
        """Make a case of a walk. Raises DiagnoseError."""
        result = result_of(journal.walk)
        journal.finish(self.casebook, result, verification=verification)
        return self.casebook.load(journal.id)

    def close(self, journal: Journal, cause: str, how: str, words: str = "") -> Case:
        """Make a case of a walk, closed with what it was. Raises DiagnoseError."""
        known = journal.walk.bench.shop.catalogue.failure_modes
        saved = self.save(journal)
        return self.casebook.update(
            saved.id, lambda case: close(case, cause, how, words, known=known), saved
        )


def result_of(walk: Walk) -> Result:
    """What a walk comes to now."""
    return conclude(walk, why_stopped(walk))
