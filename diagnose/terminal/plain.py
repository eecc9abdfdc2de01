"""What reaches the screen: harmless text, no wider than the terminal, in signs that it can show."""

from __future__ import annotations

import codecs
import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, TextIO, TypeAlias

from diagnose.errors import DiagnoseError, harmless, one_line

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.text import Text

Renderable: TypeAlias = "RenderableType"
"""What a screen can show."""

UNWRITTEN, MISTAKE, BROKEN_OFF = 1, 2, 130
"""Exit statuses: the output could not be written in full; a mistake in what was given, or a file
that refuses; left with Ctrl-C or at the end of the input."""

NO_INPUT = "There is no input: standard input is closed or cannot be read."

WIDEST = 80
"""Columns beyond which lines get no longer: a longer line is harder to read."""

LONGEST = 4000
"""Characters of one line of text that are shown at most."""

_IN_ASCII = {
    "°": "deg ",
    "Ω": "ohm",
    "µ": "u",
    "²": "2",
    "³": "3",
    "±": "+/-",
    "≤": "<=",
    "≥": ">=",
    "–": "-",
    "—": "-",
    "…": "...",
    "·": "*",
    "×": "x",
    "’": "'",
}


def safe(text: str) -> str:
    """`text` with everything escaped that is not a visible sign, a space or a new line."""
    return "\n".join(harmless(line, LONGEST) for line in text.split("\n"))


def _spell_out(error: UnicodeError) -> tuple[str, int]:
    """For signs that the output's encoding does not have: the nearest in ASCII, else a "?"."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    missing = error.object[error.start : error.end]
    return "".join(_IN_ASCII.get(sign, "?") for sign in missing), error.end


def spelled_out(stream: TextIO) -> None:
    """Let a stream spell out the signs that it cannot show, instead of failing at them."""
    codecs.register_error("spell-out", _spell_out)
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(errors="spell-out")


@dataclass(frozen=True)
class Screen:
    """The one console. drawn: whether bars may be drawn with more than ASCII."""

    console: Console
    drawn: bool

    @classmethod
    def standard(cls) -> Screen:
        """Standard output, as wide as the terminal but no wider than 80 columns."""
        from rich.console import Console

        spelled_out(sys.stdout)
        console = Console(markup=False, emoji=False, highlight=False, soft_wrap=False)
        _fit(console)
        plain = console.is_dumb_terminal or "NO_COLOR" in os.environ or not console.is_terminal
        return cls(console, console.encoding.startswith("utf") and not plain)

    @property
    def ascii_only(self) -> bool:
        """Whether its encoding has no signs to draw with."""
        return not self.console.encoding.startswith("utf")

    @property
    def width(self) -> int:
        """Columns now: a window may have been made narrower since the last line."""
        _fit(self.console)
        return self.console.width

    @property
    def height(self) -> int:
        """Lines that fit, or a very large number where nobody turns pages."""
        return self.console.height if self.console.is_terminal else 10**6

    def show(self, *parts: Renderable) -> None:
        """Renderables one below the other; in a pipe without spaces at the ends of lines."""
        _fit(self.console)
        if self.console.is_terminal:
            for part in parts:
                self.console.print(part)
            return
        with self.console.capture() as held:
            for part in parts:
                self.console.print(part)
        self.console.file.write("\n".join(line.rstrip() for line in held.get().split("\n")))

    def say(self, text: str, style: str = "", indent: int = 0) -> None:
        """One paragraph of text."""
        self.show(para(text, style, indent))

    def line(self, text: str, style: str = "") -> None:
        """One line, however long: for what is searched or cut by other programs."""
        self.console.print(mark(text, style), soft_wrap=True)

    def drawing(self, text: str) -> None:
        """A drawing, each of its lines as it is."""
        for line in text.split("\n"):
            self.line(line)

    def lines_of(self, part: Renderable) -> int:
        """How many lines a renderable takes."""
        return len(self.console.render_lines(part, pad=False))

    def bar(self, share: float, cells: int = 20) -> str:
        """A share from 0 to 1 as a bar that reads without colour."""
        full, empty = ("█", "·") if self.drawn else ("#", ".")
        filled = min(cells, max(round(share * cells), 1 if share >= 0.005 else 0))
        return full * filled + empty * (cells - filled)


def _fit(console: Console) -> None:
    """Never wider than the terminal is now or WIDEST; a terminal of one column still works."""
    columns, lines = _terminal_size(console)
    console.size = max(min(columns or console.width, WIDEST), 12), lines or console.height


def _terminal_size(console: Console) -> tuple[int, int]:
    """Columns and lines of the terminal as it is now; 0 where there is none, or others are set."""
    if "COLUMNS" in os.environ:
        return 0, 0
    try:
        return os.get_terminal_size(console.file.fileno())
    except (OSError, ValueError):  # no terminal, or nothing that a terminal could be asked of
        return 0, 0


def mark(text: str, style: str = "") -> Text:
    """Text as it is: no markup, no escapes."""
    from rich.text import Text

    return Text(safe(text), style)


def para(text: str, style: str = "", indent: int = 0) -> Renderable:
    """A paragraph, moved in by `indent` columns."""
    from rich.padding import Padding

    body = mark(text, style)
    return Padding(body, (0, 0, 0, indent), expand=False) if indent else body


def complain(text: str) -> None:
    """A sentence on standard error, its lines as they are; lost where that takes nothing."""
    try:
        spelled_out(sys.stderr)
        print(safe(text), file=sys.stderr, flush=True)
    except (OSError, ValueError):
        to_nowhere(sys.stderr)


def to_nowhere(stream: TextIO) -> None:
    """Send what still waits for a standard stream where it does no harm."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)


def sentence(problem: DiagnoseError) -> str:
    """The message on one line, whatever the user's own text in it."""
    return harmless(one_line(str(problem)), LONGEST)


@contextmanager
def patience(what: str) -> Iterator[None]:
    """A sign of life on standard error during long work, if somebody sits there."""
    from rich.console import Console

    screen = Console(stderr=True, markup=False)
    if not screen.is_terminal or screen.is_dumb_terminal:
        yield
        return
    with screen.status(what, spinner="line"):
        yield


@contextmanager
def counted(what: str, unit: str) -> Iterator[Callable[[int, int], None] | None]:
    """A progress bar on standard error, if somebody sits there: gives what is told how many of how
    many are done."""
    from rich.console import Console
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TimeRemainingColumn

    screen = Console(stderr=True)
    if not screen.is_terminal or screen.is_dumb_terminal:
        yield None
        return
    columns = (BarColumn(), MofNCompleteColumn(), unit, TimeRemainingColumn())
    with Progress(*columns, console=screen, transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
