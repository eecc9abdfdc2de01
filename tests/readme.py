"""The blocks of README.md that show what the program prints.

A block begins with a comment: `shown: ARGUMENTS | line typed | ... | from: TEXT | to: TEXT`.
`python -m tests.readme` writes them anew; test_readme.py checks that they are true.
"""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
import tempfile
from pathlib import Path

README = Path(__file__).parent.parent / "README.md"
BLOCK = re.compile(
    r"(<!-- shown: (?P<how>.*?) -->\n```text\n)(?P<text>.*?)(```\n<!-- end -->)", re.S
)


def printed(arguments: str, typed: list[str]) -> list[str]:
    """What the program prints, 80 columns wide and without colour, its home a new folder."""
    with tempfile.TemporaryDirectory() as folder:
        environment = {
            **os.environ,
            "COLUMNS": "80",
            "NO_COLOR": "1",
            "PYTHONIOENCODING": "utf-8",
            "DIAGNOSE_CASEBOOK": folder,
        }
        done = subprocess.run(
            [sys.executable, "-m", "diagnose", *shlex.split(arguments)],
            input="".join(f"{line}\n" for line in typed),
            capture_output=True,
            encoding="utf-8",
            env=environment,
            check=False,
        )
    return [line.rstrip() for line in done.stdout.splitlines()]


def shown(how: str) -> str:
    """The text of one block."""
    arguments, *rest = (part.strip() for part in how.split(" | "))
    marks = {word: text for word, _, text in (part.partition(": ") for part in rest)}
    typed = [part for part in rest if not part.startswith(("from: ", "to: "))]
    lines = printed(arguments, typed)
    start = next((i for i, line in enumerate(lines) if marks.get("from", "") in line), 0)
    end = marks.get("to")
    stop = next((i for i, line in enumerate(lines) if end and line.startswith(end)), len(lines))
    return "\n".join(lines[start:stop]).rstrip() + "\n"


def blocks(text: str) -> list[tuple[str, str]]:
    """Each block's recipe and the text that stands in it."""
    return [(match["how"], match["text"]) for match in BLOCK.finditer(text)]


def main() -> None:
    """Write every block of the README anew."""
    text = README.read_text(encoding="utf-8")
    README.write_text(BLOCK.sub(lambda m: f"{m[1]}{shown(m['how'])}{m[4]}", text), encoding="utf-8")


if __name__ == "__main__":
    main()
