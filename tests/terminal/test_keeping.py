"""A case that cannot be written where it should go is not lost."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.bench import Bench
from diagnose.casebook import case_file, disk
from diagnose.casebook.journal import unfinished
from diagnose.casebook.store import Casebook, NotKept
from diagnose.errors import BadDocument, DiagnoseError, Place
from diagnose.reasoning.evidence import Seen
from diagnose.terminal.plain import Screen
from diagnose.terminal.prompts import Talk
from diagnose.terminal.walk.keeping import Keeper
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


def test_no_folder_is_asked_for_where_none_would_help(
    wide: Screen, bowser: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A case that cannot be read back is refused everywhere; the answers stay in the journal."""

    def refused(*_: object) -> None:
        raise BadDocument("is not a case", Place("case.yaml"))

    keeper = Keeper(Walk(bowser), tmp_path / "cases")
    assert keeper.begin() == ""
    keeper.walk.answer(keeper.walk.ask("relay-sound"), "chatters")
    monkeypatch.setattr(case_file, "read_case", refused)
    lines = Lines("yes", str(tmp_path / "book"))

    with pytest.raises(NotKept, match="could not be read again"):
        keeper.offer(Talk(wide, lines))

    assert lines.waiting == [str(tmp_path / "book")]
    assert not (tmp_path / "book").exists()
    assert keeper.leave()
    ((walk,), _) = unfinished(Casebook.open(tmp_path / "cases"))
    assert walk.answered == 1


@pytest.mark.parametrize(
    "trouble",
    [
        OSError(errno.ENOSPC, "No space left on device"),
        PermissionError(errno.EACCES, "Permission denied"),
        OSError(errno.EROFS, "Read-only file system"),
        OSError(errno.ENAMETOOLONG, "File name too long"),
    ],
)
def test_another_folder_is_asked_for_where_the_disk_refuses(
    wide: Screen,
    bowser: Bench,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    trouble: OSError,
) -> None:
    real = disk._write_new

    def write(path: Path, body: bytes) -> None:
        if "book" not in str(path):
            raise trouble
        real(path, body)

    monkeypatch.setattr(disk, "_write_new", write)
    keeper = Keeper(Walk(bowser, (Seen("relay-sound", "chatters"),)), tmp_path / "cases")

    assert keeper.offer(typed(wide, "yes", str(tmp_path / "book")))
    assert len(Casebook.open(tmp_path / "book").cases().good) == 1


def test_a_journal_that_stays_behind_does_not_ask_for_a_second_place_for_the_case(
    wide: Screen, bowser: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It has done its work, and is removed when walks are looked for next."""
    real, keeper = Path.unlink, Keeper(Walk(bowser), tmp_path / "cases")

    def refused(path: Path, missing_ok: bool = False) -> None:
        if path.suffix == ".jsonl":
            raise PermissionError(errno.EACCES, "Permission denied")
        real(path, missing_ok)

    assert keeper.begin() == ""
    keeper.walk.answer(keeper.walk.ask("relay-sound"), "chatters")
    with monkeypatch.context() as changed:
        changed.setattr(Path, "unlink", refused)
        assert keeper.offer(typed(wide, "yes"))

    casebook = Casebook.open(tmp_path / "cases")
    assert len(casebook.cases().good) == 1
    assert unfinished(casebook) == ((), ())
    assert not [*(tmp_path / "cases" / "walks").glob("*.jsonl")]


def test_a_walk_whose_case_is_refused_says_that_its_answers_are_kept(
    run: Callable[..., Result], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(*_: object) -> None:
        raise BadDocument("is not a case", Place("case.yaml"))

    monkeypatch.setattr(case_file, "read_case", refused)

    done = run("walk", "bowser", "--seen", "relay-sound=chatters", typed="quit\nyes\n")

    assert done.exit_code == 2
    kept, problem = done.stderr.splitlines()
    assert kept == "Kept. Go on with: diagnose walk --resume"
    assert "the case was not written, since it could not be read again: " in problem
    assert len(unfinished(Casebook.open(tmp_path / "cases"))[0]) == 1
