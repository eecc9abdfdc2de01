"""A minimal valid call of every command, and the folder in which it is one. All of it is invented.

A call that needs more than a rig finds it in a `Box`: a casebook with a walk that was broken off,
trainees' files, a rig file, answers, and papers that are nobody's business.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from diagnose.bench import Bench, Shop
from diagnose.casebook.journal import Journal
from diagnose.casebook.store import VARIABLE, Casebook
from diagnose.circuit.rig import open_rig
from diagnose.drill.record import VARIABLE as DRILLS
from diagnose.figures import knowledge_folder
from diagnose.walkthrough import Walk

GARDEN = Path(__file__).parents[2] / "cases" / "garden-year"
RIG = "van-shower"
"""What commands are called with: the bundled rig that is soonest made ready."""

OPEN = "2026-07-03-tree-watering-bowser-74dbe9"
KEPT = (
    "2025/2025-12-03-header-tank-transfer-pump-dd8b34",
    "2025/2025-12-17-propagation-mist-bench-345b94",
    "2026/2026-01-14-tree-watering-bowser-0cd249",
    f"2026/{OPEN}",
)
"""Cases of the demo's year that lie in the box; one of them is open."""

TRAINED = '{"drills": 1, "trainee": "ana"}\n'
ANSWERS = "seen: {flow: weak}\nread: ['voltage fuse.in fuse.out calling = 1.2 V']\n"
PAPERS = "Where the keys of the shed hang. Nobody's business.\n"


@dataclass(frozen=True)
class Call:
    """words: after `diagnose`; typed: lines at its prompts; status: that it ends with; reads: what
    of the box has to be in order, "cases" or "drills"; writes: what it may make or change there, by
    beginnings of paths; talks: whether it asks for lines; slow: it computes for over a second;
    says: whether something on standard output belongs to what was asked for."""

    words: tuple[str, ...]
    typed: str = ""
    status: int = 0
    reads: str = ""
    writes: tuple[str, ...] = ()
    talks: bool = False
    slow: bool = False
    says: bool = True

    @property
    def name(self) -> str:
        return " ".join(self.words) or "(nothing)"

    @property
    def keeps(self) -> bool:
        """Whether it writes into the casebook or a trainee's file."""
        return any(place.startswith(("cases", "drills")) for place in self.writes)


def _call(text: str, **more: Any) -> Call:
    return Call(tuple(text.split()), **more)


CASE = ("cases/1", "cases/2")
WALK = (*CASE, "cases/walks")
RECORD = ("pump.record.yaml", ".pump.record.yaml.lock")
CALLS: dict[str, tuple[Call, ...]] = {
    "": (_call(""),),
    "walk": (
        _call(f"walk {RIG}", typed="noisy\nunknown\nquit\nyes\n", talks=True, writes=WALK),
        _call(
            "walk --resume", typed="unknown\nquit\nyes\n", reads="cases", talks=True, writes=WALK
        ),
        _call(
            f"walk {RIG} --json-lines",
            typed='{"answer": "unknown"}\n{"answer": "stop"}\n',
            talks=True,
            writes=WALK,
        ),
    ),
    "page": (
        _call(
            "page pump.yaml --complaint no-water --depth 1 --out page.html",
            writes=("page.html",),
            slow=True,
        ),
    ),
    "rank": (_call("rank pump.yaml --answers answers.yaml --json"),),
    "expect": (_call("expect pump.yaml --fault fuse-holder-corroded"),),
    "handbook": (
        _call("handbook"),
        _call("handbook fuse-holder-corroded --rig pump.yaml", slow=True),
        _call("handbook --html book.html", writes=("book.html",), slow=True),
    ),
    # what serves goes on until it is broken off; a port that does not exist ends it at once
    "serve": (_call("serve pump.yaml --port 70000", status=2, reads="cases", says=False),),
    "lint": (_call("lint --quick", slow=True),),
    "study": (_call("study --cases 1 --world home --out study", writes=("study",), slow=True),),
    "rig check": (_call("rig check pump.yaml"),),
    "rig draw": (
        _call("rig draw pump.yaml"),
        _call("rig draw pump.yaml --svg pump.svg", writes=("pump.svg",)),
    ),
    "rig label": (
        _call("rig label pump.yaml"),
        _call("rig label pump.yaml --out pump.svg", writes=("pump.svg",)),
    ),
    "rig new": (_call("rig new new.yaml", typed="quit\n", status=130, talks=True),),
    "rig record": (
        Call(
            ("rig", "record", "pump.yaml", "--read", "current motor-feed calling = 12 A"),
            writes=RECORD,
        ),
        _call("rig record pump.yaml", typed="12.7 V\nquit\n", writes=RECORD, talks=True),
    ),
    "rig sheet": (
        _call("rig sheet pump.yaml"),
        _call("rig sheet pump.yaml --out pump.html", writes=("pump.html",)),
    ),
    "rig size": (_call("rig size --current 14A --length 12ft"),),
    "cases list": (_call("cases list", reads="cases"),),
    "cases show": (_call("cases show 0cd249", reads="cases"),),
    "cases report": (
        _call("cases report 0cd249 --html case.html", reads="cases", writes=("case.html",)),
    ),
    "cases close": (
        _call("cases close 74dbe9 --cause battery-aged", reads="cases", writes=CASE),
        _call("cases close 0cd249 --reopen --notes again", reads="cases", writes=CASE),
    ),
    "cases review": (_call("cases review", reads="cases"),),
    "cases similar": (_call("cases similar --rig pump.yaml --seen flow=weak", reads="cases"),),
    "cases export": (
        _call("cases export --csv", reads="cases"),
        _call("cases export out.jsonl", reads="cases", writes=("out.jsonl",), says=False),
    ),
    "cases learn": (_call("cases learn pump.yaml --show", reads="cases"),),
    "drill": (
        _call(
            "drill --seed 3 --json-lines",
            typed='{"give_up": true}\n',
            reads="drills",
            writes=("drills",),
            talks=True,
            slow=True,
        ),
        _call("drill --seed 3", typed="quit\n", reads="drills", talks=True),
    ),
    "drill progress": (_call("drill progress", reads="drills"),),
    "drill check": (_call(f"drill check {RIG} --count 1", slow=True),),
}
"""By the command's name; its first call is the one of everyday."""


@cache
def journal_body() -> tuple[str, bytes]:
    """Name and content of the journal of a walk that was broken off."""
    walk = Walk(Bench.for_rig(open_rig(RIG), Shop.shipped()))
    with TemporaryDirectory() as folder:
        journal = Journal.start(Casebook.open(folder), walk, ())
        journal.walk.answer(walk.ask("pump-action"), "slow")
        journal.walk.pass_over(walk.ask("other-loads"), "unknown")
        journal.close()
        return journal.path.name, journal.path.read_bytes()


@cache
def contents() -> dict[str, bytes]:
    """What lies in a box, by its path there."""
    name, journal = journal_body()
    return {
        **{f"cases/{path}.yaml": (GARDEN / f"{path}.yaml").read_bytes() for path in KEPT},
        f"cases/walks/{name}": journal,
        "drills/ana.jsonl": TRAINED.encode(),
        "pump.yaml": (knowledge_folder() / "rigs" / f"{RIG}.yaml").read_bytes(),
        "answers.yaml": ANSWERS.encode(),
        "papers/keys.txt": PAPERS.encode(),
    }


@dataclass
class Box:
    """A folder laid out for calls, with a home for the person in it."""

    folder: Path
    before: dict[str, bytes] = field(default_factory=dict)

    def lay_out(self) -> None:
        """As at the beginning, whatever has been done in it."""
        shutil.rmtree(self.folder, ignore_errors=True)
        for name, body in contents().items():
            file = self.folder / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(body)
        (self.folder / "home").mkdir()
        self.remember()

    def remember(self) -> None:
        """Everything that lies in it now is to be there afterwards."""
        self.before = dict(self._files())

    def changed(self) -> list[str]:
        """Files of before that are no longer as they were."""
        now = dict(self._files())
        return sorted(name for name, body in self.before.items() if now.get(name) != body)

    def made(self) -> list[str]:
        """Files that were not there before."""
        return sorted(name for name, _ in self._files() if name not in self.before)

    def environment(self) -> dict[str, str]:
        """Of the person who calls: casebook, trainees and home in the box."""
        return {
            "PATH": os.defpath,
            "HOME": str(self.folder / "home"),
            VARIABLE: str(self.folder / "cases"),
            DRILLS: str(self.folder / "drills"),
        }

    def _files(self) -> Iterator[tuple[str, bytes]]:
        """Files and where links lead, with what they hold; of anything else only its kind."""
        for root, folders, files in os.walk(self.folder):
            for name in (*files, *folders):
                path = Path(root, name)
                shown = str(path.relative_to(self.folder))
                if path.is_symlink():
                    yield shown, os.readlink(path).encode()
                elif path.is_file():
                    yield shown, path.read_bytes()
                elif not path.is_dir():
                    yield shown, b"of another kind"
