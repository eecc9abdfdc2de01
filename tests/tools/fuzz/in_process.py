"""A command called in this process, with its streams caught and its hands watched."""

from __future__ import annotations

import io
import os
import re
import sys
import warnings
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, chdir, contextmanager
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import patch

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import Rig, open_rig
from diagnose.drill.scenario import NothingToDrill
from diagnose.errors import BadDocument, Mistakes
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.hypotheses import Learn
from diagnose.report import handbook_html
from diagnose.terminal.app import main
from diagnose.terminal.drill import choice
from diagnose.terminal.handbook import quality
from diagnose.terminal.walk.command import learn_from
from tests import once
from tests.terminal.every_command import RIG, Box

FOR_RIG, BUILT, MOST_BENCHES = Bench.for_rig, list[Bench](), 6

WRITES = {
    "os.mkdir", "os.rename", "os.remove", "os.rmdir", "os.symlink", "os.link", "os.truncate",
    "os.chmod", "shutil.rmtree", "shutil.move",
}  # fmt: skip
"""Audit events of the interpreter that change files; "open" and "sqlite3.connect" besides."""

NOT_A_NUMBER = re.compile(r"(?<![\w-])-?(?:nan|inf)\b(?!-)")


@dataclass(frozen=True)
class Came:
    """How a call ended."""

    status: object
    out: str
    err: str


def built_once(
    rig: Rig, shop: Shop, learn: Learn | None = None, own: CommissioningRecord | None = None
) -> Bench:
    """A bench that was made before, whatever its rig is called."""
    for one in BUILT:
        if (replace(one.rig, name=rig.name), one.learn, one.own) == (rig, learn, own):
            return one
    BUILT.append(FOR_RIG(rig, shop, learn, own))
    del BUILT[:-MOST_BENCHES]
    return BUILT[-1]


class Watch:
    """Notes what is written outside a folder, by the interpreter's audit events."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.on, self.strays = os.path.realpath(folder), False, list[str]()
        sys.dont_write_bytecode = True
        sys.addaudithook(self._hear)

    def _hear(self, event: str, given: tuple[object, ...]) -> None:
        if self.on and (event in WRITES or event == "sqlite3.connect" or _opens(event, given)):
            path = given[0]
            if isinstance(path, str | bytes | os.PathLike) and path not in (":memory:", os.devnull):
                where = os.path.realpath(os.fsdecode(path))
                if not where.startswith(self.folder):
                    self.strays.append(f"{event} {where}")


def _opens(event: str, given: tuple[object, ...]) -> bool:
    """Whether a file is opened to be written."""
    writing = os.O_WRONLY | os.O_RDWR | os.O_CREAT
    return event == "open" and bool(int(str(given[2] or 0)) & writing)


@dataclass
class Room:
    """A box some floors below a folder of its own, so that .. leads nowhere else."""

    box: Box
    watch: Watch

    def call(self, words: Sequence[str], typed: str = "") -> Came:
        """Call the command in the box; raises what it lets escape, AssertionError for strays."""
        streams = [io.TextIOWrapper(io.BytesIO(), encoding="utf-8") for _ in range(2)]
        lines = io.TextIOWrapper(io.BytesIO(typed.encode()), encoding="utf-8")
        self.watch.strays.clear()
        with (
            chdir(self.box.folder),
            patch.multiple(sys, argv=["diagnose", *words], stdin=lines),
            patch.multiple(sys, stdout=streams[0], stderr=streams[1]),
            patch.dict(os.environ, self.box.environment(), clear=True),
            _warnings_are_errors(),
            _what_takes_minutes_left_out(),
        ):
            self.watch.on = True
            try:
                main()
                status: object = 0
            except SystemExit as end:
                status = end.code
            finally:
                self.watch.on = False
        assert not self.watch.strays, f"writes elsewhere: {self.watch.strays[:3]}"
        for stream in streams:
            stream.flush()
        out, err = (stream.buffer.getvalue().decode() for stream in streams)
        return Came(status, out, err)


@contextmanager
def _what_takes_minutes_left_out() -> Iterator[None]:
    """And benches built once; all of it as it was afterwards."""
    left_out: tuple[tuple[object, str, object], ...] = (
        (Bench, "for_rig", built_once),
        (quality, "lint_folder", once.issues),
        (quality, "_computed", lambda: ((), 0)),
        (quality, "run_study", _not_played),
        (choice, "played", lambda *_: iter(())),
        (handbook_html, "handbook_html", lambda _: "<html></html>"),
    )
    with ExitStack() as undone:
        for owner, name, instead in left_out:
            undone.enter_context(patch.object(owner, name, instead))
        yield


@contextmanager
def _warnings_are_errors() -> Iterator[None]:
    with warnings.catch_warnings():
        warnings.simplefilter("error", RuntimeWarning)
        yield


def _not_played(*_: object) -> None:
    raise NothingToDrill("nothing is played here.")


@cache
def room() -> Room:
    """The room of this process."""
    _keep.append(TemporaryDirectory())
    folder = Path(_keep[-1].name)
    box = Box(folder / "down" / "and" / "down" / "box")
    box.lay_out()
    for learn in (None, learn_from(box.folder / "cases")):
        assert built_once(open_rig(RIG), Shop.shipped(), learn).chooser
    return Room(box, Watch(folder))


_keep: list[TemporaryDirectory[str]] = []


def judged(came: Came, statuses: Sequence[int], words: Sequence[str] = ()) -> None:
    """Raises Mistakes with what was refused, AssertionError for what must not be."""
    assert came.status in statuses, f"status {came.status}: {came.err[-300:]!r}"
    said = came.err.splitlines()
    assert not any(f"{kind}" in came.err for kind in ("Traceback", "Warning")), came.err
    if came.status in (1, 2) and said:
        raise Mistakes([BadDocument(line) for line in said])
    assert came.status != 2 or came.out, "refused without a word"
    given = " ".join(words).lower()
    if "nan" not in given and "inf" not in given:
        found = NOT_A_NUMBER.search(came.out)
        assert not found, came.out[max(found.start() - 80, 0) : found.end() + 20]
