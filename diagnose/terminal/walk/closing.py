"""After the last question: the result on one page; then whether it is repaired and proved."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from diagnose.casebook.closing import close
from diagnose.casebook.proving import NEXT
from diagnose.casebook.record import Verification
from diagnose.outcome import Result, conclude
from diagnose.terminal.cases.proof import ProofAsked, Turned, what_it_was
from diagnose.terminal.layout import items
from diagnose.terminal.paging import pages
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, choice, yes_or_no
from diagnose.terminal.stops import ask_if_safe, stop_view
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.result import Part, first_page, fits, part_view, parts_of
from diagnose.terminal.walk.why import why_stopped
from diagnose.walkthrough import Walk

if TYPE_CHECKING:
    from rich.console import RenderableType

CLOSED = "The case is closed."
LATER = "Close it later with: diagnose cases close"

OPEN = {
    "not-yet": "it is not repaired yet",
    "still-there": "it is repaired, and the trouble is still there",
    "something-else": "it was something else",
}
"""Why a repair is not proved."""


@dataclass
class ClosingScreen:
    """why_not: answers `not NAME`; others: answers `list`, which may lead back to the questions."""

    talk: Talk
    keeper: Keeper
    why_not: Callable[[str], None]
    others: Callable[[], Word | None]

    @property
    def walk(self) -> Walk:
        return self.keeper.walk

    def hold(self) -> Word | None:
        """Result, repair, proof, case. A word when the questions go on instead."""
        result = conclude(self.walk, why_stopped(self.walk))
        self._show(first_page(self.talk.screen, self.walk.bench, result))
        answer = ask(self.talk, self._done_prompt(result))
        if answer is Word.BACK or answer is Word.MOVED:
            return answer
        if answer is Word.QUIT:
            return None if self.keeper.offer(self.talk) else Word.BACK
        return self._repaired(result) if answer is True else self._not_repaired(result)

    def _show(self, page: list[RenderableType]) -> None:
        """On one screen where it fits; else Enter turns it."""
        if fits(self.talk.screen, page):
            self.talk.screen.show(*page)
        else:
            pages(self.talk, page)

    def _done_prompt(self, result: Result) -> Prompt[bool]:
        return Prompt(
            "Repaired and proved? yes, no, or ?",
            yes_or_no,
            self._help,
            lambda: self.talk.screen.show(*items(result.because or ("Nothing was found.",))),
            words={
                "not": self.why_not_called,
                "list": lambda _: self.others(),
                **self._words(parts_of(self.talk.screen, self.walk.bench, result)),
            },
        )

    def _words(self, parts: tuple[Part, ...]) -> Mapping[str, Callable[[str], Word | None]]:
        """The words that show more of a result."""

        def shows(*wanted: Part) -> Callable[[str], None]:
            blocks = [block for part in wanted for block in part_view(self.talk.screen, part)]
            return lambda _: pages(self.talk, blocks)

        return {**{part.word: shows(part) for part in parts}, "more": shows(*parts)}

    def why_not_called(self, name: str) -> None:
        self.why_not(name)

    def _help(self) -> None:
        self.talk.screen.say(
            "yes asks how the pump runs and for the reading that proves the repair, and closes the "
            "case if both are good; no asks how it stands, and the case stays open unless it was "
            "something else; more shows all of the result; list offers further tests; not NAME "
            "says why it is not that failure mode; back takes the last answer back; quit leaves."
        )

    # -- repaired --------------------------------------------------------------------------------

    def _repaired(self, result: Result) -> Word | None:
        """Prove it, and close the case where that proves it."""
        safe = self._is_safe()
        if isinstance(safe, Word):
            return safe
        if not safe:
            self._save(result)
            return None
        if result.verify is None:
            return self._something_else(result)
        asked = ProofAsked(self.talk, self.walk.bench.shop.catalogue, self.walk.bench.rig)
        turned = asked.hold(result.verify)
        if turned.by_part:
            self._close(result, result.cause, "")
        else:
            self._save(result, turned.reading)
        return None

    def _is_safe(self) -> bool | Word:
        """Whether every stop has been dealt with, so that the rig may be fed for the proof; or
        Word.BACK."""
        for stop in self.walk.stops():
            self.talk.screen.show(*stop_view(stop))
            answer = ask_if_safe(self.talk, stop, "Enter leaves the case open")
            if answer is Word.BACK:
                return answer
            if answer is not True:
                self.talk.screen.say("While this stands nothing is proved; the case stays open.")
                return False
            self.keeper.made_safe(stop.id)
        return True

    # -- not repaired ----------------------------------------------------------------------------

    def _not_repaired(self, result: Result) -> Word | None:
        """Ask how it stands; the case stays open unless it was something else."""
        for number, meaning in enumerate(OPEN.values(), 1):
            self.talk.screen.say(f"{number}  {meaning}")
        answer = ask(self.talk, self._open_prompt())
        if answer is Word.BACK:
            return answer
        if answer == "something-else":
            return self._something_else(result)
        if answer == "still-there":
            self.talk.screen.say(NEXT)
            if (moved := self.others()) is not None:
                return moved
        self._save(result)
        return None

    def _open_prompt(self) -> Prompt[str]:
        def explain() -> None:
            self.talk.screen.say(
                "1 keeps the case, open; 2 offers the tests that are left, and then keeps it; 3 "
                "asks what it was, and closes it."
            )

        return Prompt(
            f"Which, 1 to {len(OPEN)}; Enter: not repaired yet",
            lambda typed: choice(typed, tuple(OPEN)),
            explain,
            explain,
            enter="not-yet",
        )

    def _something_else(self, result: Result) -> Word | None:
        """Ask what it was in the end, and close the case with it."""
        safe = self._is_safe()
        if isinstance(safe, Word):
            return safe
        turned = what_it_was(self.talk, self.walk.bench.shop.catalogue) if safe else Turned()
        if turned.cause:
            self._close(result, turned.cause, turned.words, turned.by_part)
        else:
            self._save(result)
        return None

    # -- keeping ---------------------------------------------------------------------------------

    def _save(self, result: Result, reading: Verification | None = None) -> None:
        self.keeper.save(self.talk, result, reading)
        if reading is not None and reading.proves:
            self.talk.screen.say(CLOSED, "bold green")
            return
        if reading is not None:
            self.talk.screen.say("The case stays open.")
        self.talk.screen.say(LATER, "dim")

    def _close(self, result: Result, cause: str, words: str, by_part: bool = True) -> None:
        """Save the case and close it with what it was."""
        path = self.keeper.save(self.talk, result)
        known = self.walk.bench.shop.catalogue.failure_modes
        how = "part-swapped" if by_part else "none"
        self.keeper.casebook.update(
            path.stem, lambda case: close(case, cause, how, words, known=known)
        )
        self.talk.screen.say(CLOSED, "bold green")
