"""After the last question: the result, whether it is repaired and proved, and the case closed.

By lines a client that said {"closing": true} in its walk closes the case with these:

in  {"proof": "0.08 V", "runs": true, "load": "in-use"}   the reading of `verify`, taken after it
in  {"made_safe": "melted-part"}                          a stop that stands has been dealt with
in  {"cause": "fuse-holder-corroded", "words": "..."}       what it was in the end
out {"type": "closed", "status": "closed", "text": "..."}   or an error, and another line
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from diagnose.casebook.closure import NEXT, close, judged, made_safe, verdict, with_verification
from diagnose.casebook.record import Case, Verification
from diagnose.outcome import Result, conclude
from diagnose.pages.blocks import Section
from diagnose.pages.reasons import why_stopped
from diagnose.pages.repair import check_load
from diagnose.pages.result import sections
from diagnose.reasoning.evidence import check_reading
from diagnose.terminal.cases.proof import NOT_SAFE, ask_cause, ask_proof, ask_safe
from diagnose.terminal.json_lines import BadLine, Record, Wire, text_of
from diagnose.terminal.layout import items, section_view
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, choice, pages, yes_or_no
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.records import closed_record
from diagnose.terminal.walk.result import first_page, fits
from diagnose.walkthrough import Walk

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
        screen = self.talk.screen
        result = conclude(self.walk, why_stopped(self.walk))
        page = first_page(screen, self.walk.bench, result)
        if fits(screen, page):
            screen.show(*page)
        else:
            pages(self.talk, page)
        answer = ask(self.talk, self._prompt(result))
        if answer is Word.BACK or answer is Word.MOVED:
            return answer
        if answer is Word.QUIT:
            return None if self.keeper.offer(self.talk) else Word.BACK
        return self._repaired(result) if answer is True else self._not_repaired(result)

    def _prompt(self, result: Result) -> Prompt[bool]:
        screen, parts = self.talk.screen, sections(self.walk.bench, result)

        def shows(*wanted: Section) -> Callable[[str], None]:
            return lambda _: pages(
                self.talk, [one for part in wanted for one in section_view(screen, part)]
            )

        return Prompt(
            "Repaired and proved? yes, no, or ?",
            yes_or_no,
            "yes asks how the pump runs and for the reading that proves the repair, and closes the "
            "case if both are good; no asks how it stands, and the case stays open unless it was "
            "something else; more shows all of the result; list offers further tests; not NAME "
            "says why it is not that failure mode; back takes the last answer back; quit leaves.",
            lambda: screen.show(*items(result.because or ("Nothing was found.",))),
            words={
                "not": self.why_not,
                "list": lambda _: self.others(),
                **{part.word: shows(part) for part in parts},
                "more": shows(*parts),
            },
        )

    # -- repaired --------------------------------------------------------------------------------

    def _repaired(self, result: Result) -> Word | None:
        """Prove it, and close the case where that proves it."""
        if (safe := self._is_safe()) is Word.BACK:
            return safe
        if not safe:
            self._save(result)
            return None
        if result.verify is None:
            return self._something_else(result)
        bench = self.walk.bench
        outcome = ask_proof(self.talk, bench.shop.catalogue, bench.rig, result.verify)
        if outcome.by_part:
            self._close(result, result.cause, "")
        else:
            self._save(result, outcome.reading)
        return None

    def _is_safe(self) -> bool | Word:
        """Whether every stop has been dealt with, so that the rig may be fed for the proof; or
        Word.BACK."""
        for stop in self.walk.stops():
            answer = ask_safe(self.talk, stop)
            if answer is Word.BACK:
                return Word.BACK
            if answer is not True:
                self.talk.screen.say(NOT_SAFE)
                return False
            self.walk.made_safe(stop.id)
        return True

    # -- not repaired ----------------------------------------------------------------------------

    def _not_repaired(self, result: Result) -> Word | None:
        """Ask how it stands; the case stays open unless it was something else."""
        for number, meaning in enumerate(OPEN.values(), 1):
            self.talk.screen.say(f"{number}  {meaning}")
        prompt = Prompt(
            f"Which, 1 to {len(OPEN)}; Enter: not repaired yet",
            lambda typed: choice(typed, tuple(OPEN)),
            "1 keeps the case, open; 2 offers the tests that are left, and then keeps it; 3 asks "
            "what it was, and closes it.",
            enter="not-yet",
        )
        answer = ask(self.talk, prompt)
        if answer is Word.BACK:
            return Word.BACK
        if answer == "something-else":
            return self._something_else(result)
        if answer == "still-there":
            self.talk.screen.say(NEXT)
            if (moved := self.others()) is not None:
                return moved
        self._save(result)
        return None

    def _something_else(self, result: Result) -> Word | None:
        """Ask what it was in the end, and close the case with it."""
        if (safe := self._is_safe()) is Word.BACK:
            return safe
        outcome = ask_cause(self.talk, self.walk.bench.shop.catalogue) if safe else None
        if outcome and outcome.cause:
            self._close(result, outcome.cause, outcome.words, outcome.by_part)
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


def close_by_lines(keeper: Keeper, result: Result, file: str, wire: Wire) -> None:
    """Take lines until the case is closed, or there are no more. file: of the case."""
    casebook, name = keeper.casebook, Path(file).stem

    def do(record: Record) -> bool | None:
        if record.get("answer") == "stop":
            return True
        known = casebook.load(name)
        changed, said = _change(keeper.walk, result, known, record)
        case = casebook.update(name, lambda _: changed, known)
        wire.put(closed_record(case, said))
        return True if case.status == "closed" else None

    wire.exchange(do)


def _change(walk: Walk, result: Result, case: Case, record: Record) -> tuple[Case, str]:
    """The case as a line leaves it, and what is to be said of it. Raises DiagnoseError."""
    book = walk.bench.shop.catalogue
    if "made_safe" in record:
        return made_safe(case, [text_of(record, "made_safe")]), "Taken as made safe."
    if "cause" in record:
        cause, words = text_of(record, "cause"), str(record.get("words", ""))
        return close(case, cause, words=words, known=book.failure_modes), "Closed."
    if (proof := result.verify) is None:
        raise BadLine('Nothing here can be proved by a reading; close it with {"cause": "..."}.')
    item = check_reading(book, walk.bench.rig, proof.reading, text_of(record, "proof"))
    if not isinstance(runs := record.get("runs"), bool):
        raise BadLine("runs says whether the pump does its job again: true or false.")
    found = judged(proof, item, runs, check_load(str(record.get("load", ""))))
    return with_verification(case, found), verdict(found)
