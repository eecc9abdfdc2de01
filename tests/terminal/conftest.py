"""A terminal that is typed at by a list of lines. Every rig and case here is invented."""

from __future__ import annotations

import io
import os
import shutil
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from rich.console import Console
from typer.testing import CliRunner, Result

import diagnose
from diagnose.bench import Bench, Shop
from diagnose.casebook.record import Case
from diagnose.casebook.store import Casebook
from diagnose.circuit.rig import Rig, rig_called
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.hypotheses import Learn
from diagnose.terminal import options
from diagnose.terminal.app import app
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import Talk
from diagnose.terminal.walk.conversation import Conversation
from diagnose.terminal.walk.keeping import Keeper
from diagnose.walkthrough import Walk

HOME = str(Path(diagnose.__file__).parents[1])


@dataclass
class Typed:
    """Lines that are typed one after the other; at their end the input ends."""

    waiting: list[str]
    prompts: list[str] = field(default_factory=list)

    def line(self, prompt: str) -> str:
        self.prompts.append(prompt)
        if not self.waiting:
            raise EOFError
        return self.waiting.pop(0)


def screen_of(width: int = 80, height: int = 0) -> Screen:
    """A screen that remembers; with a height it is one whose pages are turned."""
    console = Console(
        file=io.StringIO(),
        width=width,
        height=height or None,
        force_terminal=bool(height),
        color_system=None,
        markup=False,
        highlight=False,
    )
    return Screen(console, drawn=False)


def shown(screen: Screen) -> str:
    file = screen.console.file
    assert isinstance(file, io.StringIO)
    return file.getvalue()


@pytest.fixture
def wide() -> Screen:
    """A screen of 80 columns that remembers."""
    return screen_of(80)


@pytest.fixture
def narrow() -> Screen:
    """A screen of 40 columns that remembers."""
    return screen_of(40)


@pytest.fixture
def text_of() -> Callable[[Screen], str]:
    """What a screen that remembers has shown."""
    return shown


@dataclass
class Held:
    """A conversation that has been held."""

    text: str
    prompts: list[str]
    unread: list[str]
    walk: Walk
    ended: bool
    casebook: Casebook

    @property
    def flat(self) -> str:
        """The text as one line."""
        return " ".join(self.text.split())

    @property
    def case(self) -> Case:
        """The only case that was saved."""
        loaded = self.casebook.cases()
        assert not loaded.problems
        assert len(loaded.good) == 1
        return loaded.good[0]


@pytest.fixture
def converse(bench_of: Callable[[str], Bench], tmp_path: Path) -> Callable[..., Held]:
    """Holds a walk with typed lines: rig, what was told before, what was said beforehand, the
    test that is asked first, size of the screen."""

    def hold(
        *lines: str,
        rig: str = "bowser",
        told: Iterable[Evidence] = (),
        said: str = "",
        asks: str = "",
        width: int = 80,
        height: int = 0,
    ) -> Held:
        screen, typed = screen_of(width, height), Typed([*lines])
        walk = Walk(bench_of(rig))
        walk.tell(told)
        keeper = Keeper(walk, tmp_path / "cases")
        conversation = Conversation.of(Talk(screen, typed), keeper, said)
        conversation.chosen = walk.ask(asks) if asks else None
        try:
            conversation.hold()
            ended = True
        except EOFError:
            ended = False
            keeper.leave()
        casebook = Casebook.open(tmp_path / "cases")
        return Held(shown(screen), typed.prompts, typed.waiting, walk, ended, casebook)

    return hold


LEARNED: list[Bench] = []
"""The last bench that took a casebook's cases in: many tests look at the same ones."""


@pytest.fixture
def run(
    shop: Shop, bench_of: Callable[[str], Bench], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Callable[..., Result]:
    """Runs a command in this process, with benches that are built once."""
    names = ("bowser", "header-tank", "mist-bench")
    known = {rig_called(name): name for name in names}

    def bench(
        rig: Rig, shop: Shop, learn: Learn | None = None, own: CommissioningRecord | None = None
    ) -> Bench:
        if rig in known and (learn, own) == (None, None):
            return bench_of(known[rig])
        if not any((one.rig, one.learn, one.own) == (rig, learn, own) for one in LEARNED):
            LEARNED[:] = [Bench.for_rig(rig, shop, learn, own)]
        return LEARNED[0]

    monkeypatch.setattr(options, "shop", lambda: shop)
    monkeypatch.setattr(options, "bench_for", bench)
    monkeypatch.setenv("DIAGNOSE_CASEBOOK", str(tmp_path / "cases"))
    runner = CliRunner()

    def invoke(*words: str, typed: str = "") -> Result:
        return runner.invoke(app, [*words], input=typed)

    return invoke


@pytest.fixture
def garden(tmp_path: Path) -> Casebook:
    """The demo's year of invented cases, in the casebook that `run` looks into."""
    beside = shutil.ignore_patterns(".*", "walks")  # left by whoever has looked at them
    shutil.copytree(Path(HOME) / "cases" / "garden-year", tmp_path / "cases", ignore=beside)
    return Casebook.open(tmp_path / "cases")


@pytest.fixture
def environment(tmp_path: Path) -> dict[str, str]:
    """For a process of its own: this checkout, a casebook of its own, a plain terminal."""
    kept = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "COLUMNS")}
    return {
        **kept,
        "PYTHONPATH": HOME,
        "PYTHONUTF8": "1",
        "TERM": "xterm-256color",
        "DIAGNOSE_CASEBOOK": str(tmp_path / "cases"),
    }


@pytest.fixture
def command() -> list[str]:
    """The command as a process of its own."""
    return [sys.executable, "-m", "diagnose"]


@pytest.fixture
def talk() -> Callable[..., Talk]:
    """A screen that remembers, and lines that are typed at it."""

    def make(*lines: str, width: int = 80) -> Talk:
        return Talk(screen_of(width), Typed([*lines]))

    return make


@pytest.fixture(scope="session")
def forking() -> Iterator[Any]:
    """A process that has read the book, and forks the command for each terminal."""
    pytest.importorskip("pty")
    from tests.terminal.pseudo import Forking

    process = Forking({**os.environ, "PYTHONPATH": HOME})
    yield process
    process.end()


@pytest.fixture
def terminal(environment: dict[str, str], forking: Any) -> Iterator[Callable[..., Any]]:
    """Starts the command in a pseudo-terminal of a size, with more environment variables; a
    variable that is None is taken away. From nothing, if wanted, where how it starts matters."""
    from tests.terminal.pseudo import Terminal, started

    begun: list[tuple[Terminal, int]] = []

    def start(
        *words: str,
        columns: int = 80,
        lines: int = 24,
        from_nothing: bool = False,
        **variables: str | None,
    ) -> Terminal:
        changed = {**environment, **variables}
        known = {name: value for name, value in changed.items() if value is not None}
        forks = None if from_nothing else forking
        begun.append(started(words, known, columns, lines, forks))
        return begun[-1][0]

    yield start
    for one, theirs in begun:
        one.process.kill()
        one.process.wait()
        os.close(one.number)
        os.close(theirs)
