"""Ask until it makes sense. Every prompt answers the same few words."""

from __future__ import annotations

import sys
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from enum import Enum
from typing import Generic, Protocol, TypeVar

from diagnose.errors import DiagnoseError, harmless, nearest, quoted
from diagnose.terminal.plain import NO_INPUT, Screen, complain, safe

T = TypeVar("T")
LONGEST = 500
"""Characters in one answer; more was not typed by a person who answers a question."""


class NotUnderstood(DiagnoseError):
    """An answer that is neither an answer to this prompt nor one of its words."""


class Word(Enum):
    """What leads away from a prompt instead of answering it."""

    BACK = "back"
    SKIP = "skip"
    UNKNOWN = "unknown"
    QUIT = "quit"
    MOVED = "moved"
    """A word of this prompt has led elsewhere; it is not typed."""


TYPED = {word.value: word for word in Word if word is not Word.MOVED}
HELP, WHY = ("?", "help"), ("why", "why?")
ALWAYS = "?  why  back  skip  unknown  quit"


class Lines(Protocol):
    """Where typed lines come from."""

    def line(self, prompt: str) -> str:
        """The next line. Raises EOFError at the end and KeyboardInterrupt at Ctrl-C."""
        ...


class Keyboard:
    """Standard input, with line editing where there is any."""

    def __init__(self) -> None:
        self._typed = sys.stdin.isatty()
        if self._typed:
            with suppress(ImportError):
                import readline  # noqa: F401
        reconfigure = getattr(sys.stdin, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="replace")

    def line(self, prompt: str) -> str:
        if self._typed:
            return input(safe(prompt))
        print(safe(prompt), end="", flush=True)
        line = self._read()
        print(safe(line))
        return line

    def _read(self) -> str:
        """A line without its end. Raises EOFError, also where there is nothing to read from."""
        try:
            line = sys.stdin.readline()
        except (OSError, ValueError):
            complain(NO_INPUT)
            raise EOFError from None
        if not line:
            raise EOFError
        return line.removesuffix("\n")


@dataclass(frozen=True)
class Talk:
    """A screen to show and lines to read. always: words that work at every prompt, as those of a
    prompt do; ahead: what was typed where nothing was asked, for the prompt that follows."""

    screen: Screen
    lines: Lines
    always: dict[str, Callable[[str], Word | None]] = field(default_factory=dict)
    ahead: list[str] = field(default_factory=list)

    def typed(self, prompt: str) -> str:
        """The next line, on one line; what was typed ahead first, shown where it is taken."""
        if not self.ahead:
            return " ".join(self.lines.line(prompt).split())
        said = self.ahead.pop(0)
        self.screen.say(f"{prompt}{said}")
        return said


Shown = Callable[[], None]


@dataclass(frozen=True)
class Prompt(Generic[T]):
    """One thing to be asked.

    label: what stands before the cursor; read: from what was typed to an answer or to a word that
    leads away, raising DiagnoseError; help, why: what `?` and `why` show; words: further words of
    this prompt, called with what follows the word; enter: what an empty line stands for, None for
    nothing.
    """

    label: str
    read: Callable[[str], T | Word]
    help: Shown
    why: Shown
    words: Mapping[str, Callable[[str], Word | None]] = field(default_factory=dict)
    enter: T | Word | None = None


def ask(talk: Talk, prompt: Prompt[T]) -> T | Word:
    """Ask until an answer or a word that leads away is given."""
    while True:
        typed = talk.typed(f"{prompt.label}> ")
        answer = _dealt_with(talk, prompt, typed)
        if answer is not None:
            return answer


def _dealt_with(talk: Talk, prompt: Prompt[T], typed: str) -> T | Word | None:
    """The answer in one line, or None when the prompt has to be put again."""
    word, _, rest = typed.partition(" ")
    word = word.lower()
    if typed.lower() in TYPED:
        return TYPED[typed.lower()]
    if typed.lower() in (*HELP, *WHY):
        (prompt.help if typed.lower() in HELP else prompt.why)()
        return None
    try:
        words = {**talk.always, **prompt.words}
        if word in words and (rest or word != "not"):
            return words[word](rest)
        return _read(prompt, typed)
    except DiagnoseError as problem:
        talk.screen.say(str(problem), "bold")
        return None


def _read(prompt: Prompt[T], typed: str) -> T | Word:
    if not typed and prompt.enter is not None:
        return prompt.enter
    if not typed:
        raise NotUnderstood("Type an answer, or ? for help.")
    if len(typed) > LONGEST:
        raise NotUnderstood(f"That is {len(typed)} characters long; a short answer is wanted.")
    return prompt.read(typed)


def choice(typed: str, options: Sequence[str]) -> str:
    """The option meant by its number, its id, or the beginning of its id. Raises NotUnderstood."""
    name = typed.lower().replace(" ", "-")
    if name.isascii() and name.isdigit():
        return options[menu_number(name, len(options)) - 1]
    if name in options:
        return name
    begun = [option for option in options if option.startswith(name)]
    if len(begun) == 1:
        return begun[0]
    if begun:
        raise NotUnderstood(f"{quoted(typed)} could be {' or '.join(begun)}.")
    raise NotUnderstood(_unknown(typed, name, options))


def menu_number(typed: str, most: int, wanted: str = "") -> int:
    """The number typed, from 1 to `most`. wanted: what is said when it is none. Raises
    NotUnderstood."""
    digits = typed.lstrip("0")
    is_number = typed.isascii() and typed.isdigit()
    if is_number and len(digits) <= 9 and 1 <= int(digits or 0) <= most:
        return int(digits)
    said = f"There is no number {harmless(typed)} here; they run 1 to {most}."
    raise NotUnderstood(wanted or said)


def _unknown(typed: str, name: str, options: Sequence[str]) -> str:
    near = nearest(name, [*options, *TYPED, "why", "help", "list"])
    hint = f" Did you mean {near}?" if near else ""
    return f"{quoted(typed)} is none of {', '.join(options)}.{hint}"


def yes_or_no(typed: str) -> bool:
    """Raises NotUnderstood for anything but yes and no."""
    return choice(typed, ("yes", "no")) == "yes" if not typed.isdigit() else _refuse(typed)


def _refuse(typed: str) -> bool:
    raise NotUnderstood(f"{quoted(typed)} is neither yes nor no.")
