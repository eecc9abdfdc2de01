"""What a user can put right, as one family of errors whose messages say where and what next.

    DiagnoseError            one clear sentence, with its place where there is one
    ├── UnknownName          something is called by a name that nobody defines
    ├── BadQuantity          a number or unit cannot be taken (also a ValueError)
    ├── BadDocument          a document cannot be taken as it stands (also a ValueError)
    └── Mistakes             several of these, gathered in one run

Any other exception that leaves this package is a defect of the program.
"""

import difflib
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

_LONGEST_ECHO = 60
_LONGEST_FILE = 200
_LONGEST_LIST = 12
_LONGEST_MESSAGE = 400


def harmless(text: str, longest: int = _LONGEST_ECHO) -> str:
    """`text` fit to be echoed: control and invisible characters escaped, cut to `longest`."""
    if text.isprintable() and len(text) <= longest:
        return text
    start = text[: longest + 1]
    shown = "".join(c if c.isprintable() else ascii(c)[1:-1] for c in start)
    return shown if len(shown) <= longest else shown[: longest - 1] + "…"


def quoted(text: str) -> str:
    """`text` in quotation marks and harmless, for use inside a message."""
    return f"'{harmless(text)}'"


@dataclass(frozen=True)
class Place:
    """Where something was written.

    file: the document's name as the user gave it
    line: counted from 1; None when the document as a whole is meant
    key: dotted path, list items counted from 1: `effects[2].share`; empty for the document
    """

    file: str
    line: int | None = None
    key: str = ""

    def __str__(self) -> str:
        parts = [_tail(self.file)]
        if self.line is not None:
            parts.append(f"line {self.line}")
        if self.key:
            parts.append(f"key {harmless(self.key)}")
        return ", ".join(parts)


class DiagnoseError(Exception):
    """The base of the family.

    message: the sentence without the place; whatever it repeats of a document is made harmless
    place: where it was found, if it was in a document
    """

    def __init__(self, message: str, place: Place | None = None):
        message = harmless(message, _LONGEST_MESSAGE)
        super().__init__(f"{place}: {message}" if place else message)
        self.message, self.place = message, place


class NotUnderstood(DiagnoseError):
    """An answer that neither answers what was asked nor is one of the words that work there."""


class UnknownName(DiagnoseError):
    """Something is called by a name that nobody defines.

    kind: what it was taken for, such as "failure mode" or "key"
    nearest: the known name that it resembles, if any
    known: the names that would do; a short list is shown when nothing is near
    """

    def __init__(
        self,
        kind: str,
        name: str,
        place: Place | None = None,
        nearest: str | None = None,
        known: Iterable[str] = (),
    ):
        hint = f" Did you mean {quoted(nearest)}?" if nearest else _choices(known)
        super().__init__(f"there is no {kind} called {quoted(name)}.{hint}", place)
        self.kind, self.name, self.nearest = kind, name, nearest


class BadQuantity(DiagnoseError, ValueError):
    """A number or its unit cannot be taken: form, dimension or range."""


class BadDocument(DiagnoseError, ValueError):
    """A document, or one value in it, cannot be taken as it stands."""


class Mistakes(DiagnoseError):
    """Several problems found in one run; as text, one a line.

    problems: the single errors, in the order of the document
    """

    def __init__(self, problems: Iterable[DiagnoseError]):
        self.problems = tuple(single for problem in problems for single in _flat(problem))
        Exception.__init__(self, "\n".join(map(str, self.problems)))
        self.message, self.place = str(self), None


def every(parts: Iterable[Callable[[], Any]]) -> list[Any]:
    """What each part gives. Raises Mistakes with what is wrong in any of them."""
    found: list[Any] = []
    problems: list[DiagnoseError] = []
    for part in parts:
        try:
            found.append(part())
        except DiagnoseError as problem:
            problems.append(problem)
    if problems:
        raise Mistakes(problems)
    return found


def nearest(name: str, names: Iterable[str]) -> str | None:
    """The one of `names` most like `name`, or None when none is close; letter case is ignored."""
    known = {known.lower(): known for known in sorted(names, reverse=True)}
    found = difflib.get_close_matches(name.lower(), known, n=1)
    return known[found[0]] if found else None


def _flat(problem: DiagnoseError) -> tuple[DiagnoseError, ...]:
    return problem.problems if isinstance(problem, Mistakes) else (problem,)


def _choices(known: Iterable[str]) -> str:
    names = sorted(known)
    return f" Known here: {', '.join(names)}." if 0 < len(names) <= _LONGEST_LIST else ""


def _tail(file: str) -> str:
    return harmless(file if len(file) <= _LONGEST_FILE else "…" + file[1 - _LONGEST_FILE :], 240)


def one_line(text: str) -> str:
    """A text of several lines, or with wide gaps, on one."""
    return " ".join(text.split())


def lower_first(text: str) -> str:
    """A title inside a sentence."""
    return text[:1].lower() + text[1:]
