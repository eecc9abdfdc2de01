"""The cases that are wanted, with every broken file named; and the command cases list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

from diagnose.casebook.brief import Brief, Filter, day_of, selected, shipped_groups
from diagnose.casebook.index import Index, opened_index
from diagnose.casebook.store import Casebook
from diagnose.errors import DiagnoseError, Mistakes, harmless
from diagnose.terminal.layout import NARROW
from diagnose.terminal.plain import Screen, complain, mark, patience

FILES, EACH = 5, 3
"""Broken files that are named unless all are asked for, and problems of each."""

LETTERS = 6
"""At the end of an id: what chance has put there, by which people call a case."""

STANDING = "proved: closed with proof; closed: without; back: came back, open again"
LONGEST_STANDING = 6
"""Letters of the longest word for how a case stands."""

MOST = 40
"""Cases listed unless all are asked for."""

LEFT = "no diagnosis, left at once"
"""Stands for a case that nobody has looked into after the complaint."""

LONGEST_ID = 28
"""Characters that the id of a failure mode of the book has at most."""


@dataclass(frozen=True)
class Selection:
    """Cases of a casebook at the moment of a command.

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

    def is_empty(self, screen: Screen) -> bool:
        """Say so when there is no case, or none that was wanted; whether it is so."""
        if self.briefs:
            return False
        none, first = f"None of {self.total} cases is like that.", ""
        if not self.total:
            none, first = "There is no case yet.", " The first one comes with: diagnose walk"
        screen.say(f"{self.folder}: {none}{first}")
        return True


def filter_of(since: str, until: str, rig: str, group: str, mode: str, status: str) -> Filter:
    """The filter that stood on the command line. Raises DiagnoseError."""
    first, last = (day_of(text) if text else None for text in (since, until))
    return Filter(first, last, rig, group, mode, status).checked(shipped_groups())


@contextmanager
def select(
    folder: Path | None, chosen: Filter | None = None, everything: bool = False
) -> Iterator[Selection]:
    """The cases; broken files are named on standard error, and the rest still work.

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
        yield Selection(casebook, index, total, shipped_groups(), chosen or Filter())


def first_of(problems: Sequence[DiagnoseError]) -> tuple[DiagnoseError, ...]:
    """The first problems of the first broken files, and how many more there are."""
    files: dict[str, list[DiagnoseError]] = {}
    for problem in problems:
        files.setdefault(problem.place.file if problem.place else "", []).append(problem)
    named = [problem for some in [*files.values()][:FILES] for problem in some[:EACH]]
    left = len(problems) - len(named)
    if not left:
        return tuple(problems)
    more = f"and {left:,} more problems; {len(files):,} files cannot be used"
    return (*named, DiagnoseError(f"{more}; all of them: diagnose cases list --all"))


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


def listing(everything: bool, casebook: Path | None, **chosen: str) -> None:
    """A line a case, newest first. Raises DiagnoseError."""
    screen = Screen.standard()
    with select(casebook, filter_of(**chosen), everything) as here:
        if here.is_empty(screen):
            return
        count, shown = len(here.briefs), here.briefs[::-1][: None if everything else MOST]
        left = "" if len(shown) == count else f", the newest {len(shown)}; --all shows the rest"
        of = "" if count == here.total else f" of {here.total}"
        screen.say(f"{count}{of} {'case' if here.total == 1 else 'cases'}{left}", "bold")
        screen.say(STANDING, "dim")
        screen.line("\n".join(lines(shown, screen.width)))


def lines(briefs: Iterable[Brief], width: int) -> Iterator[str]:
    """Lines no wider than the screen: day, name, how it stands, what it was, rig."""
    for one in briefs:
        named = f"{one.opened:%Y-%m-%d}  {short(one.id)}  "
        stands, mode = f"{standing(one):<{LONGEST_STANDING}}  ", one.mode or LEFT
        if width >= NARROW:
            yield cut(f"{named}{stands}{mode:<{LONGEST_ID}}  {one.rig}", width)
        else:
            yield cut(f"{named}{one.rig}", width)
            yield cut(f"  {stands}{mode}", width)


def cut(text: str, width: int) -> str:
    """One line of harmless text, no wider than `width` columns."""
    plain = harmless(text, 4 * width)
    if plain.isascii() and len(plain) <= width:
        return plain
    line = mark(plain)
    line.truncate(width, overflow="ellipsis")
    return line.plain
