"""The commands walk and rank, from what was given to the screen or to lines."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from diagnose.bench import Bench
from diagnose.circuit.rig import Rig
from diagnose.errors import DiagnoseError
from diagnose.outcome import conclude
from diagnose.terminal import options
from diagnose.terminal.plain import BROKEN_OFF, MISTAKE, Screen, complain
from diagnose.terminal.prompts import Keyboard, Talk
from diagnose.terminal.walk.shop_cases import learned_from
from diagnose.walkthrough import Walk

if TYPE_CHECKING:
    from diagnose.reasoning.commissioning import CommissioningRecord
    from diagnose.terminal.walk.keeping import Keeper


KEPT = "Kept. Go on with: diagnose walk --resume"


class NotWithResume(DiagnoseError):
    """A walk that is gone on with already has its rig and its findings."""


@dataclass(frozen=True)
class Given:
    """What stood on the command line. complaint: what is the matter, in a person's own words;
    made_safe: stops that have been dealt with; able: what whoever answers can do, in words."""

    rig: str | None
    seen: list[str] | None = None
    read: list[str] | None = None
    answers: Path | None = None
    casebook: Path | None = None
    resume: bool = False
    learning: bool = True
    complaint: str = ""
    made_safe: list[str] | None = None
    able: str = ""

    def bench(self, rig: Rig, own: CommissioningRecord | None = None) -> Bench:
        """Everything computed for that rig, by the shop's own cases and by the rig's own readings
        too. Raises DiagnoseError."""
        learn = learned_from(self.casebook) if self.learning else None
        known = (rig, options.shop(), learn)
        return options.bench_for(*known, own) if own else options.bench_for(*known)

    def check_alone(self) -> None:
        """Raises NotWithResume where anything was given beside --resume."""
        findings = self.seen, self.read, self.answers, self.complaint, self.made_safe, self.able
        if any((self.rig, *findings)):
            raise NotWithResume(
                "--resume goes on with a walk as it was; give nothing else with it."
            )

    def walk_on(self, rig: Rig) -> Walk:
        """A walk on that rig that knows what was seen and read. Raises DiagnoseError."""
        items = options.findings(rig, options.shop(), self.seen, self.read, self.answers)
        own = options.own_readings(self.rig, rig) if self.rig else None
        walk = Walk(self.bench(rig, own), able=self.able)
        walk.tell(items)
        for stop in self.made_safe or ():
            walk.made_safe(stop)
        return walk

    def walk(self) -> Walk:
        """The same, on the rig that was named."""
        return self.walk_on(options.rig_called(self.rig or ""))


def on_screen(given: Given) -> int:
    """The conversation. Broken off, it keeps what was answered."""
    from diagnose.terminal.walk.conversation import Conversation

    talk = Talk(Screen.standard(), Keyboard())
    keeper = _keeper(talk, given)
    if keeper is None:
        return 0
    try:
        Conversation.of(talk, keeper, given.complaint).hold()
    except (KeyboardInterrupt, EOFError):
        _left(keeper)
        return BROKEN_OFF
    except DiagnoseError:  # the case could not be kept; what was answered may be
        if keeper.leave():
            complain(KEPT)
        raise
    except OSError:  # nothing can be shown any more
        _left(keeper)
        raise
    return 0


def _left(keeper: Keeper) -> None:
    """Break off, and say whether what was answered is kept."""
    kept = keeper.leave()
    complain(f"\n{KEPT}" if kept else "")


def _keeper(talk: Talk, given: Given) -> Keeper | None:
    """The walk to hold: a new one, or one broken off; None when the person would rather not."""
    from diagnose.terminal.rig.describe import describe
    from diagnose.terminal.walk.keeping import Keeper
    from diagnose.terminal.walk.resuming import resumed

    if given.resume:
        given.check_alone()
        return resumed(talk, given.casebook, given.bench)
    rig = options.rig_called(given.rig) if given.rig is not None else describe(talk)
    return Keeper(given.walk_on(rig), given.casebook) if rig else None


def by_lines(given: Given) -> int:
    """The same conversation as JSON lines."""
    from diagnose.terminal.walk.keeping import Keeper
    from diagnose.terminal.walk.lines import NoRig, Spoken, Wire, hold
    from diagnose.terminal.walk.resuming import latest

    if given.resume:
        given.check_alone()
        journal = latest(given.casebook, given.bench)
        keeper = Keeper(journal.walk, given.casebook, journal.opening.complaint, journal)
        return 0 if Spoken(keeper, Wire.standard()).hold() else MISTAKE
    if given.rig is None:
        raise NoRig("walk --json-lines begins a walk on a RIG: a rig file or a bundled rig.")
    walk = given.walk()
    return 0 if hold(walk, given.casebook, complaint=given.complaint) else MISTAKE


def ranked(given: Given, as_json: bool) -> None:
    """The ranking of what was seen and read."""
    walk = given.walk()
    if as_json:
        from diagnose.terminal.json_records import ranked_record, written

        print(written(ranked_record(walk), indent=2))
        return
    from diagnose.terminal.walk.ranking import rank_view

    screen = Screen.standard()
    screen.show(*rank_view(screen, walk, conclude(walk)))
