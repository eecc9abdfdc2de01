"""After the last question: the result, page by page; then the repair, its proof, and the case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagnose.casebook.closing import verified
from diagnose.casebook.record import Verification
from diagnose.outcome import Proof, Result, conclude
from diagnose.reasoning import words
from diagnose.reasoning.evidence import measured
from diagnose.terminal.keeping import Keeper
from diagnose.terminal.layout import items
from diagnose.terminal.paging import pages
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, yes_or_no
from diagnose.terminal.stop_screen import ask_if_safe, stop_view
from diagnose.terminal.views_result import proof_sentence, result_view
from diagnose.terminal.why import why_stopped
from diagnose.walkthrough import Walk


@dataclass
class ClosingScreen:
    """why_not: answers `not ID`; others: answers `list`, which may lead back to the questions."""

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
        pages(self.talk, result_view(self.talk.screen, self.walk.bench, result))
        self.talk.screen.gap()
        self.talk.screen.say("Has the repair been done now?", "bold")
        answer = ask(self.talk, self._done_prompt(result))
        if answer is Word.BACK or answer is Word.MOVED:
            return answer
        if answer is Word.QUIT:
            return None if self.keeper.offer(self.talk) else Word.BACK
        ready = answer is True and result.verify is not None and self._is_safe()
        if isinstance(ready, Word):
            return ready
        proof = self._prove(result.verify) if ready and result.verify else None
        self.keeper.save(self.talk, result, proof)
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

    def _done_prompt(self, result: Result) -> Prompt[bool]:
        return Prompt(
            "yes, no, or list for more tests",
            yes_or_no,
            self._help,
            lambda: self.talk.screen.show(*items(result.because or ("Nothing was found.",))),
            words={"not": self._why_not, "list": lambda _: self.others()},
        )

    def _why_not(self, name: str) -> None:
        self.why_not(name)

    def _help(self) -> None:
        self.talk.screen.say(
            "yes asks for the reading that proves the repair, and closes the case if it is in its "
            "band; no saves an open case; list offers further tests; not ID says why it is not "
            "that failure mode; back takes the last answer back; quit leaves."
        )

    def _prove(self, proof: Proof) -> Verification | None:
        """The verification reading, or None when it cannot be taken."""
        self.talk.screen.say(f"Measure now: {proof_sentence(proof)}", "bold")
        answer = ask(self.talk, self._proof_prompt(proof))
        if not isinstance(answer, Verification):
            self.talk.screen.say("Without the reading the case stays open.")
            return None
        self._judge(answer)
        return answer

    def _proof_prompt(self, proof: Proof) -> Prompt[Verification]:
        bench, reading = self.walk.bench, proof.reading

        def read(typed: str) -> Verification:
            return verified(proof, measured(bench.shop.catalogue, bench.rig, reading, typed).value)

        return Prompt(
            f"{reading} [{reading.unit}]",
            read,
            help=lambda: self.talk.screen.say(
                f"Type what the meter shows. Rig {reading.condition}: "
                f"{words.STATES[reading.condition]}. unknown if it cannot be read."
            ),
            why=lambda: self.talk.screen.say(proof.why),
        )

    def _judge(self, found: Verification) -> None:
        shown = words.value(found.value, found.reading)
        band = words.band(found.low, found.high, found.reading)
        if found.within:
            self.talk.screen.say(f"{shown} is within {band}: the repair holds.", "bold green")
            return
        self.talk.screen.say(
            f"{shown} is outside {band}: not mended yet, or something else is wrong too. Look at "
            "the joints just made, then at what came next in the ranking.",
            "bold red",
        )
