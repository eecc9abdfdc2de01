"""The study at work: one task a rig, on all cores; the same result whatever their number."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, field, replace
from multiprocessing import get_context

import numpy as np

from diagnose.bench import Bench, Shop
from diagnose.errors import DiagnoseError
from diagnose.reasoning.hypotheses import OTHER
from diagnose.simulate.draw import faulty
from diagnose.simulate.policies import POLICIES, own
from diagnose.simulate.rigs import invented_rig
from diagnose.simulate.truth import Person, pick
from diagnose.study.plan import Plan, Task, Terms, shop, tasks
from diagnose.study.play import Episode, FaultyRig, NoComplaint, play
from diagnose.walkthrough import Walk

Progress = Callable[[int, int], None]
"""Told how many cases of how many are done."""

Work = Callable[[Task], "Findings"]
"""Everything that is played on one rig."""

AS_THEY_COME, IN_TURN, PAIRS = "as they come", "each in turn", "two at once"
_STREAM = {AS_THEY_COME: 0, IN_TURN: 1, PAIRS: 2}
HELD = 3

TRIES, HELD_TRIES = 60, 100
"""Severities drawn until the fault is bad enough for somebody to complain."""

SHOWN = 0.2
"""Probability from which "not in the book" is to be shown to the person."""

POOLS = 3
"""Sets of processes started before giving up, when something outside keeps ending them."""

ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""What the libraries behind numpy are told so that processes do not wait for each other."""


class LostWorkers(DiagnoseError):
    """The system, or somebody, has ended the processes that play the cases."""


@dataclass(frozen=True)
class Case:
    """One case as it was played: on which rig, how it was drawn, under which terms."""

    rig: int
    number: int
    drawn: str
    terms: str
    played: Episode


@dataclass(frozen=True)
class HoldOut:
    """A fault that the book does not know, walked. leads: OTHER was named first; shown: it stood
    above SHOWN; mended: what was named has the right repair all the same; sure: another cause was
    stated so surely that the walk stopped for it."""

    mode: str
    leads: bool
    shown: bool
    mended: bool
    sure: bool
    played: Episode


@dataclass
class Findings:
    """All that a study has found. unnoticed: failure modes that nobody ever complained of."""

    cases: list[Case] = field(default_factory=list)
    held: list[HoldOut] = field(default_factory=list)
    unnoticed: list[str] = field(default_factory=list)

    def add(self, other: Findings) -> None:
        for name, found in vars(self).items():
            found += getattr(other, name)


@dataclass
class RigStudy:
    """A bench at work on its task."""

    task: Task
    bench: Bench
    found: Findings = field(default_factory=Findings)

    def run(self) -> Findings:
        plan, task = self.task.plan, self.task
        for number in range(task.cases):
            self.case(AS_THEY_COME, number, (self._drawn(number),), plan.main)
        for terms, count in task.again:
            for number in range(count):
                self.case(AS_THEY_COME, number, (self._drawn(number),), terms)
        for number, mode in enumerate(task.in_turn):
            self.case(IN_TURN, number, (mode,), plan.main)
        for number in range(task.pairs):
            self.case(PAIRS, number, self._two(number), plan.main)
        for number, mode in enumerate(task.held):
            if held := hold_out(self.bench, mode, (*self.seed(HELD), number), plan.main.person):
                self.found.held.append(held)
        return self.found

    def seed(self, stream: int) -> tuple[int, ...]:
        return (self.task.plan.seed, self.task.rig, stream)

    def _one(self, random: np.random.Generator) -> str:
        """A failure mode, drawn as often as the book says it comes on this rig."""
        h = self.bench.hypotheses
        if self.task.plan.evenly:
            return str(random.choice(h.modes))
        weights = np.bincount(h.mode, h.weight, len(h.modes)).astype(np.float64)
        return h.modes[pick(random, weights)]

    def _drawn(self, number: int) -> str:
        return self._one(np.random.default_rng((*self.seed(_STREAM[AS_THEY_COME]), number)))

    def _two(self, number: int) -> tuple[str, ...]:
        """Two failure modes with different repairs, neither of them a result of the other."""
        book = self.bench.shop.catalogue.failure_modes
        random = np.random.default_rng((*self.seed(_STREAM[PAIRS]), number))
        while True:
            a, b = (book[self._one(random)] for _ in range(2))
            chained = a.id in b.result_of or b.id in a.result_of
            if a.repair != b.repair and not chained:
                return a.id, b.id

    def case(self, drawn: str, number: int, modes: tuple[str, ...], terms: Terms) -> None:
        for attempt in range(TRIES):
            seed = (*self.seed(_STREAM[drawn]), number, attempt)
            rig = self.faulty(modes, seed, terms)
            try:
                walk = Walk(self.bench, able=terms.able)
                played = play(walk, rig, terms.person, POLICIES[terms.policy])
            except NoComplaint:
                continue
            self.found.cases.append(Case(self.task.rig, number, drawn, terms.name, played))
            return
        self.found.unnoticed.append(" and ".join(modes))

    def faulty(self, modes: tuple[str, ...], seed: tuple[int, ...], terms: Terms) -> FaultyRig:
        """A rig with these failure modes."""
        book = self.bench.shop.catalogue.failure_modes
        return faulty(self.bench.model, [book[mode] for mode in modes], seed, terms.mismatch)


def without(shop: Shop, mode: str) -> Shop:
    """The same knowledge with one failure mode less."""
    kept = {name: m for name, m in shop.catalogue.failure_modes.items() if name != mode}
    return replace(shop, catalogue=replace(shop.catalogue, failure_modes=kept))


def hold_out(bench: Bench, mode: str, seed: tuple[int, ...], person: Person) -> HoldOut | None:
    """Walk a rig that has `mode` with a book that lacks it; None if nobody ever complains."""
    book, repair = bench.shop.catalogue, bench.shop.repair[mode]
    blind = Bench.for_rig(bench.rig, without(bench.shop, mode))
    for attempt in range(HELD_TRIES):
        truth = faulty(bench.model, [book.failure_modes[mode]], (*seed, attempt))
        try:
            played = play(Walk(blind), truth, person, own)
        except NoComplaint:
            continue
        verdict, aim = played.verdict, blind.model.figures.get("stop-at")
        leads, mended = verdict.cause == OTHER, verdict.repair == repair
        sure = not leads and verdict.stated >= aim
        return HoldOut(mode, leads, verdict.other >= SHOWN, mended, sure, played)
    return None


def work(task: Task) -> Findings:
    """Everything that is played on one rig."""
    return RigStudy(task, bench_of(task)).run()


def bench_of(task: Task) -> Bench:
    """The bench of the rig that a task is about."""
    return Bench.for_rig(invented_rig(task.plan.seed, task.rig), shop())


def _leave_interrupts_to_the_parent() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def cores() -> int:
    """Cores that this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity else os.cpu_count() or 1


def study(
    plan: Plan,
    progress: Progress | None = None,
    workers: int | None = None,
    work: Work = work,
) -> Findings:
    """Play the plan; workers: processes, all cores unless given; 1 plays in this one; work: what
    is done on each rig."""
    todo = tasks(plan)
    workers = min(workers or cores(), len(todo))
    parts: dict[int, Findings] = {}
    done, total = 0, sum(task.size for task in todo)
    for task, part in _played(todo, workers, work):
        parts[task.rig] = part
        done += task.size
        if progress:
            progress(done, total)
    whole, *others = (parts[rig] for rig in sorted(parts))
    for other in others:
        whole.add(other)
    return whole


def _played(todo: Sequence[Task], workers: int, work: Work) -> Iterator[tuple[Task, Findings]]:
    """Each task with its findings, as they come in. Raises LostWorkers."""
    if workers == 1:
        yield from ((task, work(task)) for task in todo)
        return
    left = {task.rig: task for task in todo}
    for _ in range(POOLS):
        try:
            for task, found in _pooled(list(left.values()), workers, work):
                del left[task.rig]
                yield task, found
            return
        except BrokenProcessPool:
            continue
    raise LostWorkers("Processes of the study were ended from outside; start it again.")


def _pooled(todo: Sequence[Task], workers: int, work: Work) -> Iterator[tuple[Task, Findings]]:
    for name in ONE_THREAD:  # each process has a core of its own
        os.environ.setdefault(name, "1")
    pool = ProcessPoolExecutor(workers, get_context("spawn"), _leave_interrupts_to_the_parent)
    try:
        waiting: dict[Future[Findings], Task] = {pool.submit(work, task): task for task in todo}
        for future in as_completed(waiting):
            yield waiting[future], future.result()
    finally:
        pool.shutdown(cancel_futures=True)
