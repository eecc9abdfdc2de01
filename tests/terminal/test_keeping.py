"""A case that cannot be written where it should go is not lost."""

from __future__ import annotations

from pathlib import Path

import pytest

from diagnose.bench import Bench
from diagnose.casebook.store import Casebook
from diagnose.errors import DiagnoseError
from diagnose.reasoning.evidence import Seen
from diagnose.terminal.keeping import Keeper
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import Talk
from diagnose.walkthrough import Walk


class Lines:
    """Lines that are typed one after the other."""

    def __init__(self, *waiting: str) -> None:
        self.waiting = [*waiting]

    def line(self, prompt: str) -> str:
        return self.waiting.pop(0)


def typed(screen: Screen, *lines: str) -> Talk:
    return Talk(screen, Lines(*lines))


def test_another_folder_is_asked_for_until_one_can_be_written(
    wide: Screen, bowser: Bench, tmp_path: Path
) -> None:
    (tmp_path / "taken").write_text("a file, so that no folder can be made of it")
    keeper = Keeper(Walk(bowser, (Seen("relay-sound", "chatters"),)), tmp_path / "taken")
    talk = typed(wide, "yes", str(tmp_path / "taken" / "in"), "?", str(tmp_path / "book"))

    assert keeper.offer(talk)

    assert len(Casebook.open(tmp_path / "book").cases().good) == 1


def test_who_names_no_folder_is_told_why_nothing_was_saved(
    wide: Screen, bowser: Bench, tmp_path: Path
) -> None:
    (tmp_path / "taken").write_text("a file")
    keeper = Keeper(Walk(bowser, (Seen("relay-sound", "chatters"),)), tmp_path / "taken")

    with pytest.raises(DiagnoseError, match="a casebook is a folder"):
        keeper.offer(typed(wide, "yes", "quit"))
