"""The commands walk and rank, from what was given to the screen or to lines."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from diagnose.circuit.rig import Rig
from diagnose.outcome import conclude
from diagnose.terminal import options
from diagnose.terminal.plain import BROKEN_OFF, Screen, complain
from diagnose.terminal.prompts import Keyboard, Talk
from diagnose.walkthrough import Walk


@dataclass(frozen=True)
class Given:
    """What stood on the command line."""

    rig: str | None
    seen: list[str] | None = None
    read: list[str] | None = None
    answers: Path | None = None
    casebook: Path | None = None

    def walk_on(self, rig: Rig) -> Walk:
        """A walk on that rig that knows what was seen and read. Raises DiagnoseError."""
        shop = options.shop()
        items = options.findings(rig, shop, self.seen, self.read, self.answers)
        walk = Walk(options.bench_for(rig, shop))
        walk.tell(items)
        return walk

    def walk(self) -> Walk:
        """The same, on the rig that was named."""
        return self.walk_on(options.rig_called(self.rig or ""))


def on_screen(given: Given) -> int:
    """The conversation. Broken off, it keeps what was answered."""
    from diagnose.terminal.describe_screen import describe
    from diagnose.terminal.keeping import Keeper
    from diagnose.terminal.walk_screen import Conversation

    talk = Talk(Screen.standard(), Keyboard())
    rig = options.rig_called(given.rig) if given.rig is not None else describe(talk)
    if rig is None:
        return 0
    conversation = Conversation.of(talk, given.walk_on(rig), Keeper(given.casebook))
    try:
        conversation.hold()
    except (KeyboardInterrupt, EOFError):
        path = conversation.keeper.rescue(conversation.walk)
        complain(f"\nKept: {path}" if path else "")
        return BROKEN_OFF
    return 0


def by_lines(given: Given) -> int:
    """The same conversation as JSON lines."""
    from diagnose.terminal.json_lines import NoRig, hold

    if given.rig is None:
        raise NoRig("walk --json-lines needs a RIG: a rig file or the name of a bundled rig.")
    hold(given.walk(), given.casebook)
    return 0


def ranked(given: Given, as_json: bool) -> None:
    """The ranking of what was seen and read."""
    walk = given.walk()
    if as_json:
        from diagnose.terminal.json_records import ranked_record, written

        print(written(ranked_record(walk), indent=2))
        return
    from diagnose.terminal.views_rank import rank_view

    screen = Screen.standard()
    screen.show(*rank_view(screen, walk, conclude(walk)))
