"""A spoiled file among sound ones: the sound ones stay, and commands go on working with them."""

from __future__ import annotations

import json
import os
import re

from diagnose.bench import Shop
from diagnose.casebook.journal import Journal, unfinished
from diagnose.casebook.store import Casebook
from diagnose.circuit.rig import read_rig
from diagnose.documents import parse
from diagnose.errors import DiagnoseError, Mistakes
from diagnose.outcome import conclude
from tests.terminal.every_command import KEPT
from tests.tools.fuzz.in_process import Came, Room, built_once, judged, room

SPOILED = "spoiled.yaml"


def _called(here: Room, *words: str) -> Came:
    came = here.call(words)
    judged(Came(came.status, came.out, ""), (0,))
    assert "Traceback" not in came.err
    assert "Warning" not in came.err
    return came


def read_rig_by_commands(body: bytes) -> None:
    """A rig that is taken can be checked, expected and drawn, in finite figures."""
    read_rig(parse(body, SPOILED))
    here = room()
    file = here.box.folder / SPOILED
    file.write_bytes(body)
    try:
        for words in (("rig", "check"), ("expect",), ("rig", "draw")):
            came = here.call((*words, SPOILED))
            judged(came, (0, 1) if "check" in words else (0,))
    except Mistakes as refused:
        raise AssertionError(f"taken, and then refused: {refused}") from None
    finally:
        file.unlink(missing_ok=True)


def read_case_beside_others(body: bytes) -> None:
    """Whatever is in one file, the casebook's other cases are listed and exported."""
    here, name = room(), _name_in(body)
    casebook = Casebook.open(here.box.folder / "cases")
    file = casebook.folder / name[:4] / f"{name}.yaml"
    file.write_bytes(body)
    try:
        listed = _called(here, "cases", "list", "--all").out
        assert all(path[-6:] in listed for path in KEPT), listed
        casebook.load(name)
        _taken(here, name)
    finally:
        file.unlink(missing_ok=True)
        harmed = here.box.changed()
        assert not harmed, f"harms {harmed}"


def _taken(here: Room, name: str) -> None:
    """What is taken is shown, counted and exported among the others."""
    lines = _called(here, "cases", "export", "--jsonl").out.splitlines()
    others = {path.split("/")[1] for path in KEPT}
    assert {*others, name} <= {json.loads(line)["id"] for line in lines}
    _called(here, "cases", "show", name)
    _called(here, "cases", "review")


def _name_in(body: bytes) -> str:
    """The id that the file says it has, where a file can be called that."""
    for line in body.decode("utf-8", "replace").splitlines():
        key, _, value = line.partition(": ")
        if key == "id" and re.fullmatch(r"202[56]-[a-z0-9-]{6,70}", value):
            return value
    return "2026-05-05-spoiled-000001"


def read_walk_beside_others(body: bytes) -> None:
    """A walk that can be gone on with can be ended, and its case read again; another one stays."""
    here = room()
    casebook = Casebook.open(here.box.folder / "cases")
    file = casebook.folder / "walks" / "2026-05-05-spoiled-000001.jsonl"
    file.write_bytes(body)
    try:
        good, _ = unfinished(casebook)
        assert any(one.path != file for one in good), "the other walk is lost"
        journal = Journal.resume(file, lambda rig: built_once(rig, Shop.shipped()), casebook)
        try:
            saved = journal.finish(casebook, conclude(journal.walk))
        finally:
            journal.close()
        try:
            casebook.load(saved.stem)
        except DiagnoseError as refused:
            raise AssertionError(f"saved, and then refused: {refused}") from None
        saved.unlink()
    finally:
        file.unlink(missing_ok=True)
        changed, made = here.box.changed(), here.box.made()
        if any(not os.path.basename(one).startswith((".", "index")) for one in (*changed, *made)):
            here.box.lay_out()
    assert not changed, f"harms {changed}"
