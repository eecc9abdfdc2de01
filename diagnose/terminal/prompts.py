"""Ask until it makes sense. Every prompt answers the same few words."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field
from enum import Enum
from typing import Generic, Protocol, TypeVar

from diagnose.errors import DiagnoseError, NotUnderstood, nearest, quoted
from diagnose.terminal.plain import NO_INPUT, Renderable, Screen, complain, safe

T = TypeVar("T")
LONGEST = 500
"""Characters in one answer; more was not typed by a person who answers a question."""


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
            with suppress(ValueError):  # something was read of it already
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


Told = str | Callable[[], None]
"""A text, or what shows more than one."""


@dataclass(frozen=True)
class Prompt(Generic[T]):
    """One thing to be asked.

    label: what stands before the cursor; read: from what was typed to an answer or to a word that
    leads away, raising DiagnoseError; help, why: what `?` and `why` tell, both the same without a
    `why`; words: further words of this prompt, called with what follows the word; enter: what an
    empty line stands for, None for nothing.
    """

    label: str
    read: Callable[[str], T | Word]
    help: Told
    why: Told = ""
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
        told = (typed.lower() in WHY and prompt.why) or prompt.help
        talk.screen.say(told) if isinstance(told, str) else told()
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
    if _is_number(name):
        return pick(name, options)
    if name in options:
        return name
    begun = [option for option in options if option.startswith(name)]
    if len(begun) == 1:
        return begun[0]
    if begun:
        raise NotUnderstood(f"{quoted(typed)} could be {' or '.join(begun)}.")
    near = nearest(name, [*options, *TYPED, "why", "help", "list"])
    hint = f" Did you mean {near}?" if near else ""
    raise NotUnderstood(f"{quoted(typed)} is none of {', '.join(options)}.{hint}")


def pick(typed: str, listed: Sequence[T], more: str = "") -> T:
    """What stands in a list under the number that was typed. more: what else could be typed. Raises
    NotUnderstood."""
    digits, most = typed.lstrip("0"), len(listed)
    if _is_number(typed) and len(digits) <= 9 and 1 <= int(digits or 0) <= most:
        return listed[int(digits) - 1]
    raise NotUnderstood(f"Type a number from 1 to {most}{more}.")


def are_numbers(typed: str) -> bool:
    """Whether nothing but whole numbers was typed, with blanks or commas between them."""
    parts = typed.replace(",", " ").split()
    return bool(parts) and all(map(_is_number, parts))


def _is_number(typed: str) -> bool:
    return typed.isascii() and typed.isdigit()


def yes_or_no(typed: str) -> bool:
    """Raises NotUnderstood for anything but yes and no."""
    if typed.isdigit():
        raise NotUnderstood(f"{quoted(typed)} is neither yes nor no.")
    return choice(typed, ("yes", "no")) == "yes"


def ask_yes_no(talk: Talk, asked: str, help: str, why: str = "") -> bool | Word:
    """The answer to a question of yes or no."""
    talk.screen.say(asked, "bold")
    return ask(talk, Prompt("yes or no", yes_or_no, help, why))


def pages(talk: Talk, parts: Iterable[Renderable]) -> None:
    """Show blocks, and wait for Enter before one that would push another off the screen. Whoever
    types something else has read enough: it is for the prompt that follows."""
    more: Prompt[bool | str] = Prompt(
        "Enter for more",
        lambda typed: typed,
        "Enter shows what follows, quit leaves it out; anything else is taken next.",
        enter=True,
    )
    used = 0
    for part in parts:
        lines = talk.screen.lines_of(part)
        if used and used + lines > talk.screen.height - 2:
            answer = ask(talk, more)
            if isinstance(answer, Word | str) and answer is not Word.QUIT:
                talk.ahead.append(answer.value if isinstance(answer, Word) else answer)
            if answer is not True:
                return
            used = 0
        talk.screen.show(part)
        used += lines
