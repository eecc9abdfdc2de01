"""Enters what is new in the knowledge files in knowledge/vocabulary.yaml.

The list there is a promise: what stands in it neither goes nor changes. So this only adds: failure
modes to their group, observations, and answers to an observation; anything else is left for
`diagnose lint` to say. `python -m tests.tools vocabulary` does it and names what it entered.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path
from textwrap import fill

import yaml

from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.vocabulary import Vocabulary, load_vocabulary
from diagnose.figures import knowledge_folder

WIDTH = 110

Entry = tuple[str, str, tuple[str, ...]]
"""Section of the vocabulary, name in it, and the words that stand there from now on."""


def missing(book: Catalogue, words: Vocabulary) -> Iterator[Entry]:
    """What the book has more than the vocabulary."""
    for group in dict.fromkeys(mode.group for mode in book.failure_modes.values()):
        known = words.failure_modes.get(group, ())
        modes = [one.id for one in book.failure_modes.values() if one.group == group]
        if more := [name for name in modes if name not in words.group_of]:
            yield "failure_modes", group, (*known, *more)
    for one in book.observations.values():
        answers, promised = tuple(one.options), words.observations.get(one.id, ())
        kept = tuple(answer for answer in answers if answer in promised)
        if answers != promised and kept == promised:
            yield "observations", one.id, answers


def entered(text: str, section: str, name: str, words: Iterable[str]) -> str:
    """The vocabulary's text with these words under a name, which is added where it is new."""
    line = _line(name, words)
    before, head, rest = text.partition(f"\n{section}:")
    assert head, section
    body, end = re.split(r"(?=\n\n[a-z])", rest + "\n\na", maxsplit=1)
    there = re.compile(rf"^  {re.escape(name)}: \[[^\]]*\]", re.M)
    if there.search(body):
        body = there.sub(lambda _: line, body, count=1)
    else:
        body = f"{body.rstrip()}\n{line}"
    return before + head + (body + end).removesuffix("\n\na").rstrip() + "\n"


def _line(name: str, words: Iterable[str]) -> str:
    """A list as the vocabulary has it; what YAML would read as something else is quoted."""
    quoted = [word if yaml.safe_load(word) == word else f'"{word}"' for word in words]
    return fill(
        f"  {name}: [{', '.join(quoted)}]",
        WIDTH,
        subsequent_indent="    ",
        break_long_words=False,
        break_on_hyphens=False,
    )


def enter(folder: Path) -> list[Entry]:
    """Enter what is new in that folder's vocabulary; what it was."""
    file = folder / "vocabulary.yaml"
    found = [*missing(load_catalogue(folder), load_vocabulary(file))]
    text = file.read_text("utf-8")
    for section, name, words in found:
        text = entered(text, section, name, words)
    if found:
        file.write_text(text, "utf-8")
    return found


def main() -> None:
    for section, name, words in enter(knowledge_folder()):
        print(f"{section}: {name}: {', '.join(words)}")


if __name__ == "__main__":
    main()
