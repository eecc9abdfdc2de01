"""The blocks of README.md that show what the program prints.

A block begins with a comment: `shown: ARGUMENTS | line typed | TEST = ANSWER | ... | from: TEXT |
to: TEXT`. The lines are typed one after the other; then each question is answered as the answers
say, and as unknown where none of them does, so that no answer meets a question it is not for; and
a stop is said to be safe.
A block of Python is run line by line, as if it were typed.
`python -m tests.tools readme` writes them anew; test_readme.py checks that they are true.
"""

from __future__ import annotations

import doctest
import io
import os
import re
import shlex
import sys
import tempfile
from contextlib import redirect_stderr, redirect_stdout, suppress
from pathlib import Path
from unittest.mock import patch

from diagnose.terminal.app import app

README = Path(__file__).parents[2] / "README.md"
BLOCK = re.compile(
    r"(<!-- shown: (?P<how>.*?) -->\n```text\n)(?P<text>.*?)(```\n<!-- end -->)", re.S
)

PYTHON = re.compile(r"(?<=```python\n).*?(?=```)", re.S)

QUESTION = re.compile(r"(?P<test>.+?)(, 1 to [0-9]+| \[.+\]) or \?> ")
"""The prompt of a question about the rig."""

STOP = re.compile(r"safe when that is so; .+> ")
"""The prompt of a stop."""


class Typist(io.StringIO):
    """Somebody who reads what is printed and types a line at each prompt: those given first, then
    what the answers say, until a prompt that nobody has a line for."""

    def __init__(self, screen: io.StringIO, typed: list[str], answers: dict[str, str]) -> None:
        super().__init__()
        self.screen, self.lines, self.answers = screen, iter(typed), answers

    def readline(self, size: int | None = -1, /) -> str:  # type: ignore[override]
        prompt = self.screen.getvalue().rpartition("\n")[2]
        asked = QUESTION.fullmatch(prompt)
        known = "safe" if STOP.fullmatch(prompt) else None
        line = next(self.lines, self.answers.get(asked["test"], "unknown") if asked else known)
        return "" if line is None else f"{line}\n"


def printed(arguments: str, typed: list[str], answers: dict[str, str]) -> list[str]:
    """What the program prints, 80 columns wide and without colour, its home a new folder."""
    screen = io.StringIO()
    with tempfile.TemporaryDirectory() as folder:
        plain = {"COLUMNS": "80", "NO_COLOR": "1", "DIAGNOSE_CASEBOOK": folder}
        with (
            patch.dict(os.environ, plain),
            patch.object(sys, "stdin", Typist(screen, typed, answers)),
            redirect_stdout(screen),
            redirect_stderr(io.StringIO()),
            suppress(SystemExit),
        ):
            app(shlex.split(arguments))
    return [line.rstrip() for line in screen.getvalue().splitlines()]


def shown(how: str) -> str:
    """The text of one block."""
    arguments, *rest = (part.strip() for part in how.split(" | "))
    marks = {word: text for word, _, text in (part.partition(": ") for part in rest)}
    said = [part for part in rest if not part.startswith(("from: ", "to: "))]
    answers = dict(part.split(" = ") for part in said if " = " in part)
    lines = printed(arguments, [part for part in said if " = " not in part], answers)
    start = next((i for i, line in enumerate(lines) if marks.get("from", "") in line), 0)
    end = marks.get("to")
    stop = next((i for i, line in enumerate(lines) if end and line.startswith(end)), len(lines))
    return "\n".join(lines[start:stop]).rstrip() + "\n"


def ran(block: str) -> str:
    """A block of Python with what its lines print now."""
    names: dict[str, object] = {}
    written = []
    for part in doctest.DocTestParser().parse(block):
        if isinstance(part, str):
            written.append(part)
            continue
        screen = io.StringIO()
        with redirect_stdout(screen):
            exec(compile(part.source, README.name, "single"), names)
        typed = part.source.rstrip().splitlines()
        marks = [">>>", *["..."] * (len(typed) - 1)]
        written += [f"{mark} {line}\n" for mark, line in zip(marks, typed, strict=True)]
        written.append(screen.getvalue())
    return "".join(written)


def blocks(text: str) -> list[tuple[str, str]]:
    """Each block's recipe and the text that stands in it."""
    return [(match["how"], match["text"]) for match in BLOCK.finditer(text)]


def main() -> None:
    """Write every block of the README anew."""
    text = README.read_text(encoding="utf-8")
    text = BLOCK.sub(lambda m: f"{m[1]}{shown(m['how'])}{m[4]}", text)
    README.write_text(PYTHON.sub(lambda m: ran(m[0]), text), encoding="utf-8")


if __name__ == "__main__":
    main()
