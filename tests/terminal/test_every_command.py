"""Every command of the program has a call in the table, and each call does what it says there."""

from __future__ import annotations

from typing import Any

import typer

from diagnose.terminal.app import app
from tests.terminal.every_command import CALLS


def commands(group: Any, before: tuple[str, ...] = ()) -> set[str]:
    """The names of all commands below a group, and of groups that do something by themselves."""
    found = {" ".join(before)} if group.invoke_without_command else set()
    for name, one in group.commands.items():
        path = (*before, name)
        found |= commands(one, path) if hasattr(one, "commands") else {" ".join(path)}
    return found


def test_no_command_is_missing_from_the_table() -> None:
    assert commands(typer.main.get_command(app)) == set(CALLS)


def test_each_call_is_one_of_its_command() -> None:
    for name, calls in CALLS.items():
        assert calls, name
        own = tuple(name.split())
        assert [call.words[: len(own)] for call in calls] == [own] * len(calls)
