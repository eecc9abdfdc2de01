"""How commands are declared: what several take, where each is done, and groups that are loaded when
they are called."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from functools import wraps
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperCommand, TyperGroup

from diagnose.errors import DiagnoseError, Mistakes
from diagnose.terminal.plain import BROKEN_OFF, MISTAKE, complain, sentence

GROUPS = {
    "rig": "Describe, check, draw or size a rig.",
    "cases": "The shop's finished and open repairs.",
    "drill": "A hidden fault to find, as on a real rig; scored.",
}
"""Groups of commands, each a package below diagnose.terminal, and what `--help` says of them."""


def option(name: str, metavar: str, told: str, **more: Any) -> Any:
    """An option with a value, and what `--help` says of it."""
    return typer.Option(name, metavar=metavar, help=told, **more)


def flag(name: str, told: str) -> Any:
    """An option that is there or not."""
    return typer.Option(name, help=told)


def argument(metavar: str, told: str) -> Any:
    """A value without a name."""
    return typer.Argument(metavar=metavar, help=told)


RigName = Annotated[str, argument("RIG", "A rig file, or the name of a bundled rig.")]
Seen = Annotated[
    list[str] | None, option("--seen", "WHAT=ANSWER", "Seen or heard: relay-sound=chatters")
]
Read = Annotated[
    list[str] | None,
    option("--read", "READING", "Measured: 'voltage motor+ motor-, asked to run = 11.2 V'"),
]
Answers = Annotated[
    Path | None, option("--answers", "FILE", "YAML with seen: (a mapping) and read: (a list).")
]
MadeSafe = Annotated[
    list[str] | None,
    option("--made-safe", "STOP", "A stop that has been dealt with as it says: too-hot"),
]
At = Annotated[str, option("--at", "PLACE", "Where whoever answers is: rig or phone.")]
Having = Annotated[
    str, option("--with", "THINGS", "All that is at hand: voltmeter,lamp; or nothing.")
]
Json = Annotated[bool, flag("--json", "One JSON object instead of text.")]
CasebookFolder = Annotated[
    Path | None, option("--casebook", "FOLDER", "Where cases are kept.", envvar="DIAGNOSE_CASEBOOK")
]

Force = Annotated[bool, flag("--force", "Replace the file if it is there; never a rig or a case.")]
NoLearning = Annotated[
    bool, flag("--no-learning", "Rank by the book alone, not by the shop's cases.")
]


def calls(place: str) -> Callable[[Callable[..., None]], Callable[..., Any]]:
    """A command that is done by a function of another module, which is imported when it runs and
    takes the options by their names. place: module and function, "rig.check:check"."""
    module, _, name = place.partition(":")

    def declare(options: Callable[..., None]) -> Callable[..., Any]:
        @wraps(options)
        def run(context: typer.Context | None = None, **given: Any) -> Any:
            if context and context.invoked_subcommand:  # a group of which a command is called
                return None
            return getattr(import_module(f"diagnose.terminal.{module}"), name)(**given)

        return run

    return declare


class Group(TyperGroup):
    """Commands, and how each of them ends."""

    def invoke(self, ctx: Any) -> Any:
        """Raises typer.Exit with the command's status; what a user can put right has been said."""
        try:
            raise typer.Exit(super().invoke(ctx) or 0)
        except Mistakes as mistakes:
            complain("\n".join(map(sentence, mistakes.problems)))
            raise typer.Exit(MISTAKE) from None
        except DiagnoseError as problem:
            complain(sentence(problem))
            raise typer.Exit(MISTAKE) from None
        except (KeyboardInterrupt, EOFError):
            raise typer.Exit(BROKEN_OFF) from None


def command_group(name: str, no_args_is_help: bool = False) -> typer.Typer:
    """One of the groups, to declare commands in."""
    return typer.Typer(
        name=name,
        help=GROUPS[name],
        cls=Group,
        no_args_is_help=no_args_is_help,
        rich_markup_mode=None,
        add_completion=False,
    )


class Program(Group):
    """The commands of the program itself, and the groups, each loaded when it is called."""

    def __init__(self, **known: Any) -> None:
        super().__init__(**known)
        self.commands: Any = Commands(self.commands)

    def list_commands(self, ctx: Any) -> list[str]:
        return [*self.commands]

    def format_commands(self, ctx: Any, formatter: Any) -> None:
        """What `--help` lists, for which no group is loaded."""
        groups = {name: TyperCommand(name, help=told) for name, told in GROUPS.items()}
        shown: Any = {**self.commands.known, **groups}
        TyperGroup(name=self.name, commands=shown).format_commands(ctx, formatter)


class Commands(Mapping[str, Any]):
    """Commands by their names. known: those that are loaded; None for a group that is not."""

    def __init__(self, known: Mapping[str, Any]) -> None:
        self.known = {**known, **dict.fromkeys(GROUPS)}

    def __getitem__(self, name: str) -> Any:
        if name in GROUPS and self.known[name] is None:
            group = import_module(f"diagnose.terminal.{name}").app
            self.known[name] = typer.main.get_command(group)
        return self.known[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.known)

    def __len__(self) -> int:
        return len(self.known)
