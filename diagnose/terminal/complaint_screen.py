"""The complaint: what is the matter, picked from a list in the customer's words."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from diagnose.catalogue.records import Complaint
from diagnose.errors import quoted
from diagnose.reasoning.evidence import Evidence, Seen
from diagnose.terminal.layout import rows
from diagnose.terminal.paging import pages
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import NotUnderstood, Prompt, Talk, Word, ask
from diagnose.terminal.words import spaced
from diagnose.walkthrough import Bench, Contradiction, Walk

if TYPE_CHECKING:
    from rich.console import RenderableType

GROUPS = (
    ("It does not run as it should", ("pump-action", "relay-sound", "time-pattern")),
    ("Water", ("flow", "air-at-outlet", "leak-look", "flow-over-time")),
    ("It does not stop", ("pump-when-satisfied", "cycling-interval")),
    ("A fuse blows", ("main-fuse-history", "control-fuse-history")),
    ("Heat and smell", ("-heat", "smell", "smoke")),
    ("Other", ("",)),
)
"""Headings, and the first observation of the complaints under each: its name or its end."""

SIDE_BY_SIDE, COLUMN = 70, 34
"""Screen width from which the list stands in two columns, and the width of one."""

ROOM = 5
"""Lines of a screen that the list leaves to the title, the safety lines and the prompt."""


def complaints_of(bench: Bench) -> tuple[Complaint, ...]:
    """The complaints that this rig can give rise to, in the order of the list."""
    tests = bench.tests
    all_of_it = bench.shop.catalogue.complaints.values()
    fitting = [one for one in all_of_it if all(name in tests for name in one.seen)]
    return tuple(sorted(fitting, key=_group))


def _group(complaint: Complaint) -> int:
    first = next(iter(complaint.seen), "")
    return next(n for n, (_, names) in enumerate(GROUPS) if first.endswith(names))


def list_lines(found: Sequence[Complaint]) -> list[tuple[str, str]]:
    """(number, words) line by line; a heading has no number."""
    lines: list[tuple[str, str]] = []
    for number, complaint in enumerate(found, 1):
        title = GROUPS[_group(complaint)][0]
        if number == 1 or _group(found[number - 2]) != _group(complaint):
            lines.append(("", title))
        lines.append((str(number), spaced(complaint.id)))
    return lines


def list_pages(screen: Screen, found: Sequence[Complaint]) -> Iterator[RenderableType]:
    """The list on as few screens as it takes, evenly; two columns where there is room."""
    lines = list_lines(found)
    columns = 2 if screen.width >= SIDE_BY_SIDE else 1
    pages = -(-len(lines) // (max(screen.height - ROOM, 5) * columns))
    tall = -(-len(lines) // (pages * columns))
    for start in range(0, len(lines), tall * columns):
        page = lines[start : start + tall * columns]
        yield _page(page[:tall], page[tall:])


def _page(left: list[tuple[str, str]], right: list[tuple[str, str]]) -> RenderableType:
    if not right:
        return rows(map(_cells, left), [2, None], styles=["bold", ""], right=[0], indent=0)
    right += [("", "")] * (len(left) - len(right))
    cells = [[*_cells(a), *_cells(b)] for a, b in zip(left, right, strict=True)]
    styles = ["bold", "", "bold", ""]
    return rows(cells, [2, COLUMN, 2, COLUMN], styles=styles, right=[0, 2], indent=0)


def _cells(line: tuple[str, str]) -> list[str]:
    number, words = line
    return [number, words if number or not words else f"{words}:"]


def match_complaint(text: str, found: Sequence[Complaint]) -> tuple[Complaint, ...]:
    """The complaints meant by numbers, ids, or words. Raises NotUnderstood."""
    parts = text.replace(",", " ").split()
    if all(part.isascii() and part.isdigit() for part in parts):
        return _once(_numbered(int(part[:9]), found) for part in parts)
    name = "-".join(parts).lower()
    named = [one for one in found if one.id == name]
    if named:
        return tuple(named)
    by_ids = [one for part in parts for one in found if one.id == part.lower()]
    if parts and len(by_ids) == len(parts):
        return _once(by_ids)
    return (_by_words(text, found),)


def _once(chosen: Iterable[Complaint]) -> tuple[Complaint, ...]:
    return tuple({one.id: one for one in chosen}.values())


def _numbered(number: int, found: Sequence[Complaint]) -> Complaint:
    if not 1 <= number <= len(found):
        raise NotUnderstood(f"There is no number {number} in the list of {len(found)}.")
    return found[number - 1]


def _by_words(text: str, found: Sequence[Complaint]) -> Complaint:
    """The one complaint in which all the words stand."""
    words = text.lower().split()
    fitting = [
        (number, one)
        for number, one in enumerate(found, 1)
        if all(word in f"{spaced(one.id)} {one.say}".lower() for word in words)
    ]
    if len(fitting) == 1:
        return fitting[0][1]
    if fitting:
        listed = "; ".join(f"{number} {spaced(one.id)}" for number, one in fitting[:6])
        raise NotUnderstood(f"{quoted(text)} fits more than one: {listed}. Type a number.")
    raise NotUnderstood(f"{quoted(text)} is not in the list; type the number that is nearest.")


def evidence_of(chosen: Sequence[Complaint]) -> tuple[Evidence, ...]:
    """What the complaints say, together. Raises NotUnderstood when two exclude each other."""
    said: dict[str, str] = {}
    for complaint in chosen:
        for name, option in complaint.seen.items():
            if said.setdefault(name, option) != option:
                raise NotUnderstood(
                    f"For {spaced(name)} these say both {said[name]} and {option}; keep one."
                )
    return tuple(Seen(name, option) for name, option in said.items())


def said(number: int, complaint: Complaint) -> RenderableType:
    """A complaint with its number, in the customer's words."""
    return rows([(str(number), complaint.say)], [2, None], 0, styles=["bold", ""], right=[0])


class ComplaintScreen:
    """Asks for the complaint and tells the walk."""

    def __init__(self, talk: Talk, walk: Walk) -> None:
        self.talk, self.walk = talk, walk
        self.found = complaints_of(walk.bench)
        self._doubted: tuple[Evidence, ...] = ()

    def ask(self) -> tuple[Complaint, ...] | Word:
        """The complaints chosen, or the word that leads away."""
        self.talk.screen.say("What is the matter?", "bold")
        answer = self._pages()
        if not isinstance(answer, Word):
            for complaint in answer:
                self.talk.screen.say(f"Taken: {complaint.say}")
        return answer

    def _pages(self) -> tuple[Complaint, ...] | Word:
        """Page by page; Enter turns to the next one and at the end asks on without a complaint."""
        pages = [*list_pages(self.talk.screen, self.found)]
        for page in pages[:-1]:
            self.talk.screen.show(page)
            answer = ask(self.talk, self._prompt("Number, Enter for more"))
            if answer != ():
                return answer
        self.talk.screen.show(pages[-1])
        return ask(self.talk, self._prompt("Numbers (such as 3 7), a word, or ?"))

    def _prompt(self, label: str) -> Prompt[tuple[Complaint, ...]]:
        return Prompt(label, self._read, self._help, self._why, enter=())

    def _read(self, typed: str) -> tuple[Complaint, ...]:
        chosen = match_complaint(typed, self.found)
        self._check(evidence_of(chosen))
        return chosen

    def _check(self, items: tuple[Evidence, ...]) -> None:
        """Once, question complaints that the rules find impossible together."""
        trial = self.walk.forked()
        trial.tell(items)
        rejections = trial.conclusions().rejections
        if rejections and items != self._doubted:
            self._doubted = items
            raise Contradiction(f"{rejections[0].because} Type it again if it is so.")

    def _help(self) -> None:
        screen = self.talk.screen
        pages(self.talk, (said(n, one) for n, one in enumerate(self.found, 1)))
        screen.say("Type one number or several, or a word to look for. Enter: none of these.")

    def _why(self) -> None:
        self.talk.screen.say(
            "What the customer says first narrows the search more than any single test, and costs "
            "nothing. It is taken as a report: it may be wrong, and later answers can outweigh it."
        )
