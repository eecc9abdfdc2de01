"""Keeping what was found: a walk as a case in the casebook."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path

from diagnose.casebook.closing import case_of, new_id
from diagnose.casebook.record import Verification
from diagnose.casebook.store import Casebook
from diagnose.outcome import Result, conclude
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, yes_or_no
from diagnose.walkthrough import Walk


def _now() -> datetime:
    return datetime.now(UTC).replace(microsecond=0)


@dataclass
class Keeper:
    """Where one walk is kept. folder: None for the usual casebook; complaint: ids of the book."""

    folder: Path | None = None
    complaint: tuple[str, ...] = ()
    opened: datetime = field(default_factory=_now)
    saved: bool = False
    _name: str = ""

    def save(
        self, walk: Walk, result: Result | None = None, verification: Verification | None = None
    ) -> Path:
        """Write the case; a second time it replaces the first. Raises DiagnoseError."""
        self._name = self._name or new_id(walk.bench.rig, self.opened)
        case = case_of(
            walk,
            result or conclude(walk),
            complaint=self.complaint,
            verification=verification,
            opened=self.opened,
            name=self._name,
        )
        path = Casebook.open(self.folder).save(case)
        self.saved = True
        return path

    def rescue(self, walk: Walk) -> Path | None:
        """Keep what was answered when the walk is broken off; None if there is nothing new."""
        return self.save(walk) if walk.evidence and not self.saved else None

    def offer(self, talk: Talk, walk: Walk) -> bool:
        """Ask whether to save an unfinished walk. False: go on with it instead."""
        talk.screen.say("Save what there is, as an open case?", "bold")
        answer = ask(talk, _save_prompt(talk))
        if answer is Word.BACK:
            return False
        if answer is True:
            talk.screen.say(f"Saved: {self.save(walk)}")
        return True


def _save_prompt(talk: Talk) -> Prompt[bool]:
    def explain() -> None:
        talk.screen.say(
            "yes keeps the answers and the ranking as an open case, which can be closed later; "
            "no forgets them; back goes on with the walk."
        )

    return Prompt("yes, no or back", yes_or_no, explain, explain, enter=True)
