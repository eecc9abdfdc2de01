"""The journal under a walk: each step is on the disk before the next question is shown.

    journal = Journal.start(casebook, walk, complaint)
    walk.answer(question, "chatters")           # is on the disk when this returns
    journal.finish(casebook, result)            # the case is saved, the journal goes

A journal is one file of JSON lines: first the rig and what was told, then a line a step. Copied to
another machine it can be resumed there. One walk is open in one terminal at a time.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterable
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from diagnose.bench import Bench
from diagnose.casebook.case_fields import Clock, line, now
from diagnose.casebook.disk import Lock, NotHere, plain_trouble, sync_folder, write_whole
from diagnose.casebook.files import lines_files
from diagnose.casebook.journal_form import (
    BackLine,
    Entry,
    Opening,
    StepLine,
    days_of,
    finding_line,
    finding_of,
    opening_values,
    own_of,
    read_journal,
    step_of,
    step_values,
)
from diagnose.casebook.lines import Lines, line_of
from diagnose.casebook.record import Case, Verification
from diagnose.casebook.store import Casebook
from diagnose.casebook.walk_case import case_of, knowledge_version, new_id
from diagnose.circuit.rig import Rig
from diagnose.errors import BadDocument, DiagnoseError, Place
from diagnose.outcome import Result
from diagnose.steps import ANSWERED, SKIPPED, UNKNOWN, Step
from diagnose.walkthrough import Walk

FOLDER = "walks"


@dataclass(frozen=True)
class Unfinished:
    """A walk that can be resumed; answered: steps on the disk; last: time of the last one."""

    path: Path
    id: str
    rig: str
    opened: datetime
    answered: int
    last: datetime


class Journal:
    """A walk and its file, which hears of each step of the walk before it counts.

    What the walk is told raises DiagnoseError when the disk refuses: the walk is then as it was
    before, and so is the file.
    """

    def __init__(self, walk: Walk, opening: Opening, lines: Lines, lock: Lock, clock: Clock):
        self.walk, self.opening, self.path = walk, opening, lines.path
        self._lines, self._lock, self._clock = lines, lock, clock
        self._times = dict.fromkeys((item.id for item in walk.told), opening.opened)

    @property
    def id(self) -> str:
        """Of the walk, and of the case that it becomes."""
        return self.opening.id

    @classmethod
    def start(
        cls, casebook: Casebook, walk: Walk, complaint: Iterable[str] = (), clock: Clock = now
    ) -> Journal:
        """A journal for a walk that is about to begin, what it has been told included."""
        opened, rig = clock(), walk.bench.rig
        opening = Opening(
            id=_free_id(casebook, rig, opened),
            opened=opened,
            rig=rig,
            complaint=tuple(line(words) for words in complaint),
            told=tuple(map(finding_line, walk.told)),
            knowledge=knowledge_version(),
            able=walk.able,
            own=days_of(walk.bench.own),
        )
        path = path_of_walk(casebook, opening.id)
        write_whole(path, line_of(opening_values(opening)).decode())
        journal = cls(walk, opening, Lines(path), _held(path), clock)
        for step in walk.steps:
            journal.keep(step)
        walk.sink = journal
        return journal

    @classmethod
    def resume(
        cls,
        path: Path,
        bench_of: Callable[..., Bench],
        casebook: Casebook | None = None,
        clock: Clock = now,
    ) -> Journal:
        """The walk in a journal as far as it went, and the journal to go on with.

        bench_of: makes the bench for the rig, and for its own readings where it has any; casebook:
        where it may have become a case already
        Raises DiagnoseError: damaged, open elsewhere, finished, or unknown to today's book.
        """
        with plain_trouble(path):
            if not path.is_file():
                raise DiagnoseError("there is no such walk to resume", Place(str(path)))
        lock = _held(path)
        try:
            opening, entries = read_journal(path)
            if casebook and os.path.lexists(casebook.path_of(opening.id)):
                raise DiagnoseError(f"this walk became the case {opening.id}", Place(str(path)))
            walk = Walk(_bench(bench_of, opening, Place(str(path), 1)), able=opening.able)
            _ = walk.means  # what it says must be known today
            walk.tell(finding_of(walk.bench, item, Place(str(path), 1)) for item in opening.told)
            journal = cls(walk, opening, Lines(path), lock, clock)
            for number, entry in entries:
                journal._replay(entry, Place(str(path), number))
        except BaseException:
            lock.remove()
            raise
        walk.sink = journal
        return journal

    def keep(self, step: Step) -> None:
        """Put a step of the walk on the disk. Raises DiagnoseError."""
        at = self._clock()
        self._lines.append(step_values(step, at))
        self._times[step.test] = at

    def undo(self) -> None:
        """Put on the disk that the last step goes. Raises DiagnoseError."""
        self._lines.append({"back": True})

    def case(
        self, result: Result, notes: str = "", verification: Verification | None = None
    ) -> Case:
        """The case that the walk comes to with this result."""
        return case_of(
            self.walk,
            result,
            self.opening.complaint,
            notes,
            verification,
            clock=self._clock,
            opened=self.opening.opened,
            times=self._times,
            name=self.id,
        )

    def finish(
        self,
        casebook: Casebook,
        result: Result,
        notes: str = "",
        verification: Verification | None = None,
    ) -> Path:
        """Save the case, read it back, then remove the journal; the file of the case.

        A journal that cannot be removed now is when walks are looked for next (see `unfinished`).
        """
        path = casebook.save(self.case(result, notes, verification))
        casebook.load(self.id)
        with suppress(NotHere):
            self.discard()
        return path

    def discard(self) -> None:
        """Remove the journal and all that is in it."""
        self.close()
        with plain_trouble(self.path):
            self.path.unlink(missing_ok=True)
            sync_folder(self.path.parent)

    def close(self) -> None:
        """Leave the walk as it is, to be resumed later. From here on it is not kept."""
        self.walk.sink = None
        self._lines.close()
        self._lock.remove()

    def _replay(self, entry: Entry, place: Place) -> None:
        """Do once more what a line says."""
        if isinstance(entry, BackLine):
            if self.walk.back() is None:
                raise BadDocument("takes a step back where there is none", place)
            return
        step, at = step_of(self.walk.bench, entry, place)
        self.walk.steps.append(step)
        self._times[step.test] = at


def _bench(bench_of: Callable[..., Bench], opening: Opening, place: Place) -> Bench:
    """The bench as the walk had it, whatever has been recorded of the rig since."""
    own = own_of(opening, place)
    return bench_of(opening.rig, own) if own else bench_of(opening.rig)


def unfinished(casebook: Casebook) -> tuple[tuple[Unfinished, ...], tuple[DiagnoseError, ...]]:
    """The walks that can be resumed, newest last, and what is wrong with the others.

    A journal whose case was saved before its process was killed has done its work and is removed,
    once the case has been read; where it cannot be, both stay.
    """
    paths, found = lines_files(casebook.folder / FOLDER)
    good, problems = [], [*found]
    for path in paths:
        try:
            opening, entries = read_journal(path)
            if os.path.lexists(casebook.path_of(opening.id)):
                _remove_done(casebook, opening, path)
                continue
            good.append(_summary(path, opening, [entry for _, entry in entries]))
        except DiagnoseError as problem:
            problems.append(problem)
    return tuple(good), tuple(problems)


def _remove_done(casebook: Casebook, opening: Opening, path: Path) -> None:
    """Remove the journal of a walk that became a case. Raises DiagnoseError: it did not."""
    if casebook.load(opening.id).opened != opening.opened:
        raise DiagnoseError(f"another case is called {opening.id}; both stay", Place(str(path)))
    with plain_trouble(path):
        path.unlink(missing_ok=True)


def _summary(path: Path, opening: Opening, entries: list[Entry]) -> Unfinished:
    steps: list[bool] = []
    last = opening.opened
    for entry in entries:
        if isinstance(entry, StepLine):
            steps.append(entry.how in (ANSWERED, SKIPPED, UNKNOWN))
            last = entry.at
        else:
            steps = steps[:-1]
    return Unfinished(path, opening.id, line(opening.rig.name), opening.opened, sum(steps), last)


def path_of_walk(casebook: Casebook, name: str) -> Path:
    return casebook.folder / FOLDER / f"{name}.jsonl"


def _free_id(casebook: Casebook, rig: Rig, opened: datetime) -> str:
    """An id that neither a case nor a walk has."""
    while True:
        name = new_id(rig, opened)
        paths = casebook.path_of(name), path_of_walk(casebook, name)
        if not any(map(os.path.lexists, paths)):
            return name


def _held(path: Path) -> Lock:
    lock = path.with_name(f".{path.name}.lock")
    return Lock(lock, "this walk is open in another terminal", patience=0).acquire()
