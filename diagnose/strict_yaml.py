"""YAML text to a tree of plain values that know their line, with everything doubtful refused.

Mappings, lists, text, numbers and true/false are taken where they can be read in one way only. A
bare `on`, `010`, `1:30`, a key given twice, a tag, an anchor or an alias is noted and reading goes
on; what cannot be read at all is raised.

The parser is libyaml's when PyYAML was built with it, else PyYAML's own.
"""

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, TypeAlias

import yaml
from yaml.events import (
    AliasEvent,
    DocumentEndEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    StreamEndEvent,
)

from diagnose.errors import BadDocument, DiagnoseError, Mistakes, Place, quoted

LARGEST = 1_000_000  # bytes; the largest document of the project is far below
DEEPEST = 20
MOST_PROBLEMS = 50

Scalar: TypeAlias = str | int | float | bool | None
Value: TypeAlias = "Scalar | list[Node] | dict[str, Node]"

_PARSER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

# Control characters and lone surrogates, which YAML 1.1 does not allow in a stream (section 5.1).
_UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")

_NUMBER = re.compile(
    r"[-+]?(?:0|[1-9][0-9]*)(\.[0-9]*)?([eE][-+]?[0-9]+)?|[-+]?\.[0-9]+([eE][-+]?[0-9]+)?"
)
_SIMPLE = {"": None, "~": None, "null": None, "true": True, "false": False}
_SIMPLE |= {"Null": None, "NULL": None, "True": True, "TRUE": True, "False": False, "FALSE": False}
_SWITCH_WORDS = frozenset(("on", "off", "yes", "no"))
_MISREAD = (
    (re.compile(r"[-+]?0[0-9_]+(\.[0-9_]*)?"), "can be read as octal; drop the leading 0"),
    (re.compile(r"[-+]?0[xXbBoO]\w+"), "can be read as a number; write it in decimal"),
    (re.compile(r"[-+]?[0-9][0-9_]*_[0-9_.]*"), "can be read as a number; drop the underscores"),
    (re.compile(r"[-+]?[0-9_]+(:[0-5]?[0-9])+(\.[0-9_]*)?"), "can be read as a number to base 60"),
    (re.compile(r"[-+]?\.(inf|Inf|INF)|\.(nan|NaN|NAN)"), "is not a finite number"),
)
_LIKE_A_NUMBER = frozenset("+-.0123456789")


@dataclass(slots=True)
class Node:
    """A value and the line it, or its key, stands on."""

    value: Value
    line: int


@dataclass
class Notes:
    """The problems of one document, gathered while it is read.

    doubtful: places already complained of, where a second complaint would only be an echo
    muted: nothing is kept; for stand-ins, whose problems are not the document's
    """

    problems: list[DiagnoseError] = field(default_factory=list)
    doubtful: set[Place | None] = field(default_factory=set)
    muted: bool = False

    def note(self, problem: DiagnoseError) -> None:
        """Add a problem; when there are very many, give up and raise those found so far."""
        if not self.muted:
            self.problems.append(problem)
        if len(self.problems) >= MOST_PROBLEMS:
            where = Place(problem.place.file) if problem.place else None
            stop = BadDocument("reading stopped; put the problems above right first", where)
            raise Mistakes([*self.problems, stop])


def read(source: str | bytes, name: str, notes: Notes) -> Node:
    """The tree of one document.

    source: the whole text; bytes must be UTF-8
    name: what to call the document in messages
    notes: takes the problems that do not stop the reading

    Raises BadDocument when there is no reading it.
    """
    text = _checked(source, name)
    try:
        return _Reader(text, name, notes).document()
    except yaml.YAMLError as error:
        raise _syntax_problem(error, name) from None


def plain(node: Node) -> Any:
    """The value of a node and of all below it, as ordinary dicts and lists."""
    if isinstance(node.value, dict):
        return {key: plain(part) for key, part in node.value.items()}
    if isinstance(node.value, list):
        return [plain(part) for part in node.value]
    return node.value


def descend(node: Node, path: str) -> tuple[Node, str]:
    """The deepest node on a path such as `effects[2].share`, and what of the path is left."""
    parts: dict[str, Node] = {}
    if isinstance(node.value, dict):
        parts = node.value
    elif isinstance(node.value, list):
        parts = {f"[{number}]": part for number, part in enumerate(node.value, 1)}
    for step in sorted(parts, key=len, reverse=True):  # names may hold dots
        if path == step or path.startswith((f"{step}.", f"{step}[")):
            return descend(parts[step], path[len(step) :].removeprefix("."))
    return node, path


def node_of(value: Any, line: int) -> Node:
    """A plain value and all below it as nodes of one line."""
    if isinstance(value, dict):
        return Node({str(key): node_of(part, line) for key, part in value.items()}, line)
    if isinstance(value, list):
        return Node([node_of(part, line) for part in value], line)
    return Node(value, line)


def _checked(source: str | bytes, name: str) -> str:
    """The text of a document, once its size and characters have been looked at."""
    if len(source) > LARGEST:
        raise BadDocument("is over 1 MB; this is not a document of this program", Place(name))
    text = source if isinstance(source, str) else _decoded(source, name)
    if found := _UNPRINTABLE.search(text):
        line = text.count("\n", 0, found.start()) + 1
        raise BadDocument(f"holds the control character {found[0]!a}", Place(name, line))
    return text


def _decoded(source: bytes, name: str) -> str:
    try:
        return source.decode("utf-8")
    except UnicodeDecodeError as error:
        line = source.count(b"\n", 0, error.start) + 1
        raise BadDocument("is not UTF-8 text; save it as UTF-8", Place(name, line)) from None


class _Reader:
    """Turns the parser's events into nodes."""

    def __init__(self, text: str, name: str, notes: Notes):
        self._events: Iterator[Any] = iter(_PARSER(text).get_event, None)
        self._name, self._notes = name, notes
        self._trail: list[str] = []
        self._said: set[str] = set()

    def document(self) -> Node:
        next(self._events)
        if type(next(self._events)) is StreamEndEvent:
            raise BadDocument("is empty", Place(self._name))
        event = next(self._events)
        node = self._node(event, event.start_mark.line + 1)
        while type(event := next(self._events)) is DocumentEndEvent:
            pass
        if type(event) is not StreamEndEvent:
            place = Place(self._name, event.start_mark.line + 1)
            raise BadDocument("a second document begins here; keep one to a file", place)
        return node

    def _node(self, event: Any, line: int) -> Node:
        kind = type(event)
        if kind is AliasEvent or event.anchor is not None:
            self._once("anchors and aliases (&name, *name) are not taken; write it out", line)
        if kind is AliasEvent:
            return Node(None, line)
        if event.tag is not None:
            self._once("tags (!name) are not taken; write plain values", line)
        if kind is ScalarEvent:
            return Node(self._scalar(event, line), line)
        if len(self._trail) >= DEEPEST:
            raise BadDocument(f"is nested deeper than {DEEPEST} levels", Place(self._name, line))
        return Node(self._mapping() if kind is MappingStartEvent else self._sequence(), line)

    def _mapping(self) -> dict[str, Node]:
        entries: dict[str, Node] = {}
        for event in self._events:
            if type(event) is MappingEndEvent:
                break
            line = event.start_mark.line + 1
            self._trail.append(self._key(event, line))
            if len(event.value) < 4 or not event.implicit[0]:
                self._check_text(event.value, event.implicit[0], line)
            node = self._node(next(self._events), line)
            earlier = entries.setdefault(self._trail[-1], node)
            if earlier is not node:
                self._note(f"is given twice; it stands on line {earlier.line} already", line)
            self._trail.pop()
        return entries

    def _key(self, event: Any, line: int) -> str:
        if type(event) is not ScalarEvent or event.anchor is not None or event.tag is not None:
            place = Place(self._name, line, key_path(self._trail))
            raise BadDocument("a key must be a plain word", place)
        return str(event.value)

    def _sequence(self) -> list[Node]:
        items: list[Node] = []
        for event in self._events:
            if type(event) is SequenceEndEvent:
                break
            self._trail.append(f"[{len(items) + 1}]")
            items.append(self._node(event, event.start_mark.line + 1))
            self._trail.pop()
        return items

    def _scalar(self, event: Any, line: int) -> Scalar:
        text: str = event.value
        bare: bool = event.implicit[0]
        if len(text) < 4 or not bare:
            self._check_text(text, bare, line)
        if not bare:
            return text
        if text in _SIMPLE:
            return _SIMPLE[text]
        if text[0] in _LIKE_A_NUMBER:
            return self._number(text, line)
        return text

    def _check_text(self, text: str, bare: bool, line: int) -> None:
        """Note a key or text that is doubtful as it is written."""
        if not bare and not text.isprintable() and _UNPRINTABLE.search(text):
            self._note("holds a control character, written as an escape; leave it out", line)
        if bare and len(text) < 4 and text.lower() in _SWITCH_WORDS:
            self._note(f"a bare {text} can be read as true or false; put it in quotes", line)

    def _number(self, text: str, line: int) -> Scalar:
        found = _NUMBER.fullmatch(text)
        if found is None:
            for form, why in _MISREAD:
                if form.fullmatch(text):
                    self._note(f"{quoted(text)} {why}, or put it in quotes if it is text", line)
            return text
        if not math.isfinite(value := float(text)):
            self._note(f"{quoted(text)} is too large a number", line)
            return 0
        return int(text) if text.lstrip("+-").isdigit() else value

    def _note(self, message: str, line: int) -> None:
        place = Place(self._name, line, key_path(self._trail))
        self._notes.doubtful.add(place)
        self._notes.note(BadDocument(message, place))

    def _once(self, message: str, line: int) -> None:
        if message not in self._said:
            self._said.add(message)
            self._note(message, line)


def key_path(trail: list[str]) -> str:
    """Keys and item numbers as one dotted path: ["effects", "[2]", "share"] is effects[2].share."""
    return ".".join(trail).replace(".[", "[")


# What the parser says, in the words of libyaml and of PyYAML; what a person can do about it; and
# whether the trouble lies where something was opened, rather than where the parser gave up.
_SYNTAX = (
    (
        "cannot start any token",
        "a tab or one of @ ` % may not stand here; use spaces, or quotes",
        0,
    ),
    ("mapping values", "a ':' may not stand here; check the indentation, or put text in quotes", 0),
    ("escape", "a \\ in double quotes begins an escape; use single quotes", 0),
    ("quoted scalar", "a quotation mark is opened here and not closed", 1),
    ("',' or", "a bracket is opened here and not closed, or a comma is missing", 1),
    ("expected ':'", "a ':' and a value are missing after the key", 1),
    ("nesting depth", "brackets are nested too deep", 0),
    ("node content", "a value is missing, or there is one bracket too many", 0),
    ("alphabetic or numeric", "text that begins with & or * or % must be put in quotes", 0),
    ("block scalar", "only a comment may follow > or | on its line", 0),
)
_NO_FIT = (
    None,
    "this line does not fit the lines above; check indentation, brackets and quotes",
    0,
)


def _syntax_problem(error: yaml.YAMLError, name: str) -> BadDocument:
    """The parser's complaint in plain words, with the line to look at."""
    said = f"{getattr(error, 'problem', '')} {getattr(error, 'context', '')}"
    _, advice, opened = next((row for row in _SYNTAX if row[0] in said), _NO_FIT)
    mark = getattr(error, "context_mark" if opened else "problem_mark", None)
    place = Place(name, mark.line + 1 if mark else None)
    return BadDocument(f"this is not YAML: {advice}", place)
