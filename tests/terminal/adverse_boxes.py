"""What can be amiss in the folders of a command: each is done to a box beforehand."""

from __future__ import annotations

import fcntl
import os
import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import TextIO

from diagnose.casebook.index import opened_index
from diagnose.casebook.index_file import FILE
from diagnose.casebook.store import Casebook
from tests.terminal.every_command import KEPT, OPEN, TRAINED, Box

FAR_NAMES = {"cases": "κήπος 庭", "drills": "обучение"}
"""Names of the box's folders in other scripts."""


def shut(mode: int) -> Callable[[Box], None]:
    """Folders and files of casebook and trainees for reading only, or not even that."""

    def prepare(box: Box) -> None:
        for top in ("cases", "drills"):
            for root, _, files in os.walk(box.folder / top, topdown=False):
                for name in files:
                    os.chmod(Path(root, name), 0o444)
                os.chmod(root, mode)
        os.chmod(box.folder, 0o555)

    return prepare


def links(box: Box) -> None:
    """To nowhere, to itself, and to papers that are no case."""
    cases = box.folder / "cases"
    (cases / "2026" / "2026-05-01-gone-000001.yaml").symlink_to("nowhere.yaml")
    (cases / "2026" / "2026-05-01-self-000002.yaml").symlink_to("2026-05-01-self-000002.yaml")
    (cases / "2026" / "2026-05-01-else-000003.yaml").symlink_to(box.folder / "papers" / "keys.txt")
    (cases / "2024").symlink_to("2024")
    (cases / "walks" / "2026-05-01-self-000004.jsonl").symlink_to("2026-05-01-self-000004.jsonl")
    (cases / "walks" / "2026-05-01-gone-000005.jsonl").symlink_to("nowhere.jsonl")
    (box.folder / "drills" / "self.jsonl").symlink_to("self.jsonl")


def fifos(box: Box) -> None:
    cases = box.folder / "cases"
    for name in ("2026/2026-05-01-pipe-000001.yaml", "walks/2026-05-01-pipe-000002.jsonl"):
        os.mkfifo(cases / name)
    os.mkfifo(box.folder / "drills" / "pipe.jsonl")


def damaged(box: Box) -> None:
    cases = box.folder / "cases"
    (cases / "2026" / "2026-05-01-half-000001.yaml").write_text("schema: 1\nid: 2026-0")
    (cases / "2026" / "2026-05-01-much-000002.yaml").write_bytes(b"\xff" * 70_000)
    (cases / "walks" / "2026-05-01-half-000003.jsonl").write_text('{"journal": 1, "id"')
    (box.folder / "drills" / "half.jsonl").write_text(TRAINED + '{"at": 1}\n')


def foreign_base(at: str) -> Callable[[Box], None]:
    """Somebody's database, where the index used to lie or linked from there."""

    def prepare(box: Box) -> None:
        file = box.folder / at
        with closing(sqlite3.connect(file)) as base:
            base.execute("CREATE TABLE brief (whose TEXT)")
            base.execute("INSERT INTO brief VALUES ('ours')")
            base.commit()
        for one in index_names(box):
            if not one.exists():
                one.symlink_to(file)

    return prepare


def index_names(box: Box) -> list[Path]:
    """Where the index of the box's casebook lies, and where it is found by a plain name."""
    return [box.folder / "cases" / name for name in sorted({"index.sqlite", FILE})]


def odd_index(make: Callable[[Path], object]) -> Callable[[Box], None]:
    def prepare(box: Box) -> None:
        for one in index_names(box):
            make(one)

    return prepare


def indexed(box: Box) -> None:
    """With an index, as after a first command."""
    with opened_index(Casebook.open(box.folder / "cases")):
        pass
    assert (box.folder / "cases" / FILE).is_file()


def held_index(box: Box) -> tuple[sqlite3.Connection]:
    """Another program is in the middle of writing to the index, which is out of date."""
    (box.folder / "cases" / f"{KEPT[0]}.yaml").touch()
    base = sqlite3.connect(box.folder / "cases" / FILE, isolation_level=None)
    base.execute("BEGIN EXCLUSIVE")
    return (base,)


def held_lock(box: Box) -> tuple[TextIO]:
    """Another program is in the middle of writing to the casebook."""
    held = (box.folder / "cases" / ".lock").open("w")
    fcntl.flock(held, fcntl.LOCK_EX)
    return (held,)


def two_years(box: Box) -> None:
    """The same case in two folders, as a copy by hand makes it."""
    there = box.folder / "cases" / "2026" / f"{OPEN}.yaml"
    (box.folder / "cases" / "2025" / there.name).write_bytes(there.read_bytes())


def far_names(box: Box) -> None:
    """Casebook, trainees and a rig under names of other scripts."""
    for name, other in FAR_NAMES.items():
        (box.folder / name).rename(box.folder / other)
    file = box.folder / FAR_NAMES["drills"] / "ана.jsonl"
    file.write_text('{"drills": 1, "trainee": "Ана"}\n', encoding="utf-8")
    case = box.folder / FAR_NAMES["cases"] / f"{KEPT[2]}.yaml"
    text = case.read_text("utf-8").replace("name: tree-watering bowser", "name: насос 水 🚿 é")
    case.write_text(text, encoding="utf-8")


def elsewhere(box: Box) -> None:
    """Casebook and trainees under names at which nobody looks."""
    (box.folder / "cases").rename(box.folder / "old-cases")
    (box.folder / "drills").rename(box.folder / "old-drills")


def no_folder(box: Box) -> None:
    """Where casebook and trainees should be there are files."""
    elsewhere(box)
    for name in ("cases", "drills"):
        (box.folder / name).write_text("not a folder\n")
