"""Files made for people: pages, pictures, tables. What is there stays, unless it may be replaced;
a file that this program works with is never replaced by one of these."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path

from diagnose.casebook.disk import plain_trouble, write_whole
from diagnose.errors import DiagnoseError, Place
from diagnose.figures import knowledge_folder

_BEGINNING = 65536
"""Bytes of a file that are looked at to see what it is."""

_FOR_YAML = (".yaml", ".yml")
_RIG = (rb"\btopology\b[\"']?\s*:", rb"\bpump\b[\"']?\s*:")
_RECORD = (rb"(?m)^rig\s*:", rb"(?m)^record\s*:")
_CASE = (rb"(?m)^schema\s*:", rb"(?m)^opened\s*:")


class Stays(DiagnoseError):
    """A file that is there already, and is not to be replaced."""


def write_out(path: Path, text: str, force: bool = False) -> None:
    """Write a page, a picture or a table, whole or not at all. force: replace such a file.

    Raises DiagnoseError; what was there is then as it was. No folder is made for it.
    """
    check_free(path, force)
    try:
        write_whole(path, text, new=not force)
    except FileExistsError:
        raise _taken(path) from None


def check_free(path: Path, force: bool = False) -> None:
    """Raises DiagnoseError when something is there that is not to be replaced."""
    check_folder(path)
    if path.suffix.lower() in _FOR_YAML:
        raise Stays("is a name for a rig or a case; name another file", Place(str(path)))
    with plain_trouble(path):
        if not os.path.lexists(path):
            return
        if not path.is_file():
            raise Stays("is no ordinary file; name another", Place(str(path)))
        if not force:
            raise _taken(path)
        kind = own_kind(path)
    if kind:
        sentence = f"is {kind}, and stays even with --force; name another file"
        raise Stays(sentence, Place(str(path)))


def check_folder(path: Path) -> None:
    """Raises DiagnoseError when the folder that a file is to be in is not there."""
    with plain_trouble(path):
        if not path.parent.is_dir():
            raise Stays("cannot be written: there is no such folder", Place(str(path)))


def own_kind(path: Path) -> str:
    """What a file is to this program: a rig, a case, a walk, a record of drills, a part of the
    book; "" for any other. Raises OSError."""
    if path.resolve().is_relative_to(knowledge_folder().resolve()):
        return "a part of the book"
    with path.open("rb") as file:
        body = file.read(_BEGINNING)
    if body.startswith(b"SQLite format 3\0"):
        return "a database"
    first = _object(body.partition(b"\n")[0])
    if "journal" in first:
        return "a walk that can be gone on with"
    if "drills" in first:
        return "a trainee's record"
    if body.lstrip().startswith(b"<") or "schema" in first:
        return ""
    return _written_by_hand(body)


def _written_by_hand(body: bytes) -> str:
    """What a file of YAML is."""
    if all(re.search(part, body) for part in _CASE):
        return "a case"
    if all(re.search(part, body) for part in _RECORD):
        return "a rig's own readings"
    return "a rig" if all(re.search(part, body) for part in _RIG) else ""


def _object(line: bytes) -> dict[str, object]:
    """The JSON object in a line, or an empty one."""
    try:
        found = json.loads(line)
    except (ValueError, RecursionError):
        return {}
    return found if isinstance(found, dict) else {}


def _taken(path: Path) -> Stays:
    return Stays("is there already and stays; name another file, or say --force", Place(str(path)))
