"""All trees of a page: a task for each complaint and each kind of person, on all cores."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from multiprocessing import get_context

from diagnose.bench import Bench, Shop
from diagnose.catalogue.records import Complaint
from diagnose.circuit.rig import Rig
from diagnose.handout.tree import Grower, Node, shares_of
from diagnose.pages.complaints import complaints_of
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.hypotheses import Learn
from diagnose.study.run import ONE_THREAD, LostWorkers, cores

DEPTH, DEEPEST = 8, 24
"""Questions of a branch: as many as a walk takes mostly, unless another number is given; and the
most that a walk puts."""

WORTH_A_PROCESS = 4
"""Trees for which another process is started: it makes its own bench first."""

METER = "voltmeter, ohmmeter"
"""What somebody with a meter has, in the words of the kit."""

Progress = Callable[[int, int], None]
"""Told how many trees of how many have grown."""


@dataclass(frozen=True)
class Grove:
    """The trees of a page. able: what each kind of person can do, in the words of the kit, with a
    meter first; complaints: those of the rig; trees: by kind of person, then by complaint."""

    able: tuple[str, ...]
    complaints: tuple[Complaint, ...]
    trees: tuple[tuple[Node, ...], ...]


@dataclass(frozen=True)
class Ground:
    """What a process needs to make the bench again."""

    rig: Rig
    learn: Learn | None
    own: CommissioningRecord | None
    depth: int


@dataclass(frozen=True)
class _Task:
    """One tree. kind: number of the kind of person; place: of the complaint among those of the
    rig."""

    kind: int
    able: str
    place: int
    share: float


def kinds_of(able: str) -> tuple[str, str]:
    """What somebody with a meter can do, and somebody without one. able: what both can."""
    return f"{able}, {METER}".strip(", "), f"{able} no {METER}".strip()


def grow(
    bench: Bench,
    able: str,
    depth: int = DEPTH,
    progress: Progress | None = None,
    workers: int | None = None,
    complaints: Sequence[Complaint] | None = None,
) -> Grove:
    """Grow the trees of a rig. able: what whoever answers can do, a meter apart; workers:
    processes, all cores unless given, 1 grows in this one; complaints: all unless given; of a
    few of them the trees go the deeper. Raises LostWorkers."""
    every, kinds = complaints_of(bench), kinds_of(able)
    found = every if complaints is None else tuple(complaints)
    places, shares = [every.index(one) for one in found], shares_of(bench, every)
    whole = sum(shares[place] for place in places)
    tasks = [
        _Task(kind, said, place, shares[place] / whole)
        for kind, said in enumerate(kinds)
        for place in places
    ]
    tasks.sort(key=lambda task: (-task.share, task.kind, task.place))
    grown: dict[tuple[int, int], Node] = {}
    worth = max(len(tasks) // WORTH_A_PROCESS, 1)
    for task, tree in _grown(bench, tasks, depth, workers or min(cores(), worth)):
        grown[task.kind, task.place] = tree
        if progress:
            progress(len(grown), len(tasks))
    trees = tuple(tuple(grown[kind, place] for place in places) for kind in range(len(kinds)))
    return Grove(kinds, found, trees)


def _grown(
    bench: Bench, tasks: Sequence[_Task], depth: int, workers: int
) -> Iterator[tuple[_Task, Node]]:
    if workers == 1:
        yield from ((task, _tree(bench, task, depth)) for task in tasks)
        return
    ground = Ground(bench.rig, bench.learn, bench.own, depth)
    for name in ONE_THREAD:  # each process has a core of its own
        os.environ.setdefault(name, "1")
    pool = ProcessPoolExecutor(workers, get_context("spawn"), _prepare, (ground,))
    try:
        waiting = {pool.submit(_work, task): task for task in tasks}
        for future in as_completed(waiting):
            yield waiting[future], future.result()
    except BrokenProcessPool:
        said = "Processes that made the page were ended from outside; start it again."
        raise LostWorkers(said) from None
    finally:
        pool.shutdown(cancel_futures=True)


def _tree(bench: Bench, task: _Task, depth: int) -> Node:
    return Grower(bench, task.able, depth).tree(complaints_of(bench)[task.place], task.share)


_BENCH: list[tuple[Bench, int]] = []
"""The bench of this process, and the depth."""


def _prepare(ground: Ground) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    bench = Bench.for_rig(ground.rig, Shop.shipped(), ground.learn, ground.own)
    _BENCH.append((bench, ground.depth))


def _work(task: _Task) -> Node:
    return _tree(_BENCH[0][0], task, _BENCH[0][1])
