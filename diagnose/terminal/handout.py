"""The page that a customer takes along: the command page, and what it sends back for a walk."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

from diagnose.bench import Bench
from diagnose.casebook.files import read_regular
from diagnose.casebook.outputs import check_free, write_out
from diagnose.casebook.rig_record import readings_beside
from diagnose.casebook.walk_case import knowledge_version
from diagnose.circuit.rig import Rig, rig_called
from diagnose.errors import BadQuantity, DiagnoseError, Place, quoted
from diagnose.handout.code import FORM, LONGEST, BadCode, Code, read
from diagnose.handout.growing import DEEPEST, grow
from diagnose.handout.page import page_html
from diagnose.handout.taking import take_over
from diagnose.handout.tree import Asked, Node
from diagnose.pages.complaints import Complaints, by_name, complaints_of, unique, with_words
from diagnose.reasoning import words
from diagnose.steps import MADE_SAFE
from diagnose.terminal import options
from diagnose.terminal.plain import NO_INPUT, Screen, complain, counted, sentence
from diagnose.terminal.prompts import Keyboard
from diagnose.walkthrough import Walk

PHONE = "phone"
"""Where a customer with a page is, unless another place is named: on the phone people are taken to
have the least."""


def page(
    rig: str,
    out: Path | None,
    depth: int,
    complaint: list[str] | None,
    at: str,
    having: str,
    casebook: Path | None,
    no_learning: bool,
    force: bool,
) -> None:
    """Write the page of a rig. Raises DiagnoseError."""
    from diagnose.terminal.walk.command import learn_from

    if not 1 <= depth <= DEEPEST:
        raise BadQuantity(f"{depth}: give from 1 to {DEEPEST} questions", Place("--depth"))
    able, here = options.able(at or PHONE, having), rig_called(rig)
    file = out or Path(f"{_slug(here)}.html")
    check_free(file, force)
    learn = None if no_learning else learn_from(casebook)
    bench = options.bench_for(here, options.shop(), learn, readings_beside(rig, here))
    chosen = _chosen(bench, complaint or [])
    with counted("page", "complaints") as progress:
        grove = grow(bench, able, depth, progress, complaints=chosen)
    text = page_html(bench, grove)
    write_out(file, text, force)
    asked = sum(_asked(tree) for kind in grove.trees for tree in kind)
    screen = Screen.standard()
    screen.say(f"Written: {file}, {len(text.encode()) / 1000:,.0f} kB, for {here.name}.")
    many = _counted(len(grove.complaints), "complaint")
    screen.say(f"{many}, {_counted(asked, 'question')}, with a meter and without.")
    screen.say(f"With what comes back: diagnose walk {rig} --from TEXT")


def _chosen(bench: Bench, said: list[str]) -> Complaints:
    """The complaints that were named, all where none was. Raises NotUnderstood."""
    every = complaints_of(bench)
    named = [one for text in said for one in by_name(text, every) or (with_words(text, every),)]
    return unique(named) or every


def _slug(rig: Rig) -> str:
    return "-".join("".join(c if c.isalnum() else " " for c in rig.name.lower()).split()) or "rig"


def _counted(count: int, what: str) -> str:
    return f"{count:,} {what}{'s' * (count != 1)}"


def _asked(node: Node) -> int:
    """How many questions a tree has."""
    ways = getattr(node, "ways", ())
    return isinstance(node, Asked) + sum(_asked(way.to) for way in ways)


def code_from(sent: str) -> Code:
    """The answers in a text, in the file of that name, or after - in what is typed next. Raises
    BadCode, or DiagnoseError where the file cannot be read."""
    if sent == "-":
        return _typed_in()
    if FORM in sent:
        return read(sent)
    if _is_file(sent):
        return read(read_regular(Path(sent), LONGEST).decode("utf-8", "replace"))
    said = f"{quoted(sent)} is no file, and no text with a line of answers"
    raise BadCode(said, Place("--from"))


def _is_file(name: str) -> bool:
    """Whether a file is called so; a text that cannot be a file's name is none."""
    try:
        return Path(name).is_file()
    except (OSError, ValueError):
        return False


def _typed_in() -> Code:
    """The answers in the lines of standard input; the lines after them are left for the walk."""
    text = ""
    for line in _lines():
        text += line
        if "#" in line and FORM in text:
            try:
                return read(text)
            except BadCode:
                continue
    return read(text)


def _lines() -> Iterator[str]:
    Keyboard()  # what is no text is replaced from the first line on
    try:
        while (line := sys.stdin.readline()) and len(line) < LONGEST:
            yield line
    except (OSError, ValueError):
        complain(NO_INPUT)


def take_from(code: Code, walk: Walk) -> None:
    """Tell a walk the answers of a page; what could not be taken is said, a sentence each."""
    if code.book != knowledge_version():
        complain("The page was made with another edition of the book; its answers count as today.")
    if not walk.able:
        try:
            walk.able = code.means
            _ = walk.means
        except DiagnoseError as unknown:
            walk.able = ""
            complain(sentence(unknown))
    for problem in take_over(walk, code):
        complain(sentence(problem))


def taken_over(walk: Walk, complaint: str) -> str:
    """What a walk was told by a page, in a line."""
    said = [words.spaced(complaint)]
    for step in walk.steps:
        answer = "made safe" if step.how == MADE_SAFE else "not known"
        if step.item is not None:
            answer = getattr(step.item, "typed", "") or getattr(step.item, "option", "OL")
        said.append(f"{words.of_test(step.test)}: {words.spaced(answer)}")
    return f"From the page: {'; '.join(said)}."
