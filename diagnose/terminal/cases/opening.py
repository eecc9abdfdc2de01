"""A casebook opened for a command: the cases wanted, with every broken file named."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from diagnose.casebook.brief import Brief, Filter, day_of, selected, shipped_groups
from diagnose.casebook.index import Index, opened_index
from diagnose.casebook.store import Casebook
from diagnose.errors import DiagnoseError, Mistakes, harmless
from diagnose.terminal.plain import Screen, complain, mark, patience

LETTERS = 6
"""At the end of an id: what chance has put there, by which people call a case."""


@dataclass(frozen=True)
class Opened:
    """A casebook at the moment of a command.

    total: good cases in all; groups: of failure modes; chosen: which cases are wanted
    """

    casebook: Casebook
    index: Index
    total: int
    groups: Mapping[str, str]
    chosen: Filter

    @cached_property
    def briefs(self) -> tuple[Brief, ...]:
        """The cases wanted, oldest first."""
        return selected(self.index.briefs(), self.chosen, self.groups)

    @property
    def folder(self) -> str:
        return str(self.casebook.folder)


def wanted(since: str, until: str, rig: str, group: str, mode: str, status: str) -> Filter:
    """The filter that stood on the command line. Raises DiagnoseError."""
    first, last = (day_of(text) if text else None for text in (since, until))
    return Filter(first, last, rig, group, mode, status).checked(shipped_groups())


@contextmanager
def opened(
    folder: Path | None, chosen: Filter | None = None, everything: bool = False
) -> Iterator[Opened]:
    """The casebook; broken files are named on standard error, and the rest still work.

    everything: every problem of every file, not only the first ones
    Raises Mistakes when there is nothing but broken files.
    """
    casebook = Casebook.open(folder)
    with ExitStack() as stack:
        with patience("Reading the cases"):
            index = stack.enter_context(opened_index(casebook))
        total = index.count
        problems = index.problems if everything else first_of(index.problems)
        if index.remark:
            complain(index.remark)
        if problems and not total:
            raise Mistakes(problems)
        for problem in problems:
            complain(str(problem))
        yield Opened(casebook, index, total, shipped_groups(), chosen or Filter())


FILES, EACH = 5, 3
"""Broken files that are named unless all are asked for, and problems of each."""


def first_of(problems: Sequence[DiagnoseError]) -> tuple[DiagnoseError, ...]:
    """The first problems of the first broken files, and how many more there are."""
    files: dict[str, list[DiagnoseError]] = {}
    for problem in problems:
        files.setdefault(problem.place.file if problem.place else "", []).append(problem)
    said = [problem for some in [*files.values()][:FILES] for problem in some[:EACH]]
    left = len(problems) - len(said)
    if not left:
        return tuple(problems)
    more = f"and {left:,} more problems; {len(files):,} files cannot be used"
    return (*said, DiagnoseError(f"{more}; all of them: diagnose cases list --all"))


def nothing(screen: Screen, here: Opened) -> bool:
    """Say so when there is no case, or none that was wanted; whether it is so."""
    if here.briefs:
        return False
    said = f"None of {here.total} cases is like that." if here.total else "There is no case yet."
    first = "" if here.total else " The first one comes with: diagnose walk"
    screen.say(f"{here.folder}: {said}{first}")
    return True


def short(name: str) -> str:
    """How a case is called in lists: the end of its id, or an id of another form in full."""
    end = name[-LETTERS:]
    by_chance = name[-LETTERS - 1 : -LETTERS] == "-" and set(end) <= set("0123456789abcdef")
    return end if by_chance else name


def standing(brief: Brief) -> str:
    """How it stands, in one word: see STANDING."""
    if brief.status != "closed":
        return "back" if brief.status == "reopened" else "open"
    return "proved" if brief.confirmed else "closed"


STANDING = "proved: closed with proof; closed: without; back: came back, open again"
LONGEST_STANDING = 6
"""Letters of the longest word for how a case stands."""


def cut(text: str, width: int) -> str:
    """One line of harmless text, no wider than `width` columns."""
    plain = harmless(text, 4 * width)
    if plain.isascii() and len(plain) <= width:
        return plain
    line = mark(plain)
    line.truncate(width, overflow="ellipsis")
    return line.plain
