"""After the last question: the result, page by page; then the repair, its proof, and the case."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from diagnose.casebook.proving import LOADED, RUNNING, is_loaded, judged, verdict
from diagnose.casebook.record import Verification
from diagnose.outcome import Proof, Result, conclude
from diagnose.reasoning import words
from diagnose.reasoning.evidence import measured
from diagnose.terminal.keeping import Keeper
from diagnose.terminal.layout import items
from diagnose.terminal.paging import pages
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, choice, yes_or_no
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
            "yes asks how the pump runs and for the reading that proves the repair, and closes the "
            "case if both are good; no saves an open case; list offers further tests; not ID says "
            "why it is not that failure mode; back takes the last answer back; quit leaves."
        )

    def _prove(self, proof: Proof) -> Verification | None:
        """The verification reading, or None when it cannot be taken."""
        self.talk.screen.say(RUNNING, "bold")
        runs = ask(self.talk, self._runs_prompt())
        load = self._load() if is_loaded(proof) and not isinstance(runs, Word) else ""
        answer: Verification | Word = Word.UNKNOWN
        if not isinstance(runs, Word) and not isinstance(load, Word):
            self.talk.screen.say(f"Measure now: {proof_sentence(proof)}", "bold")
            answer = ask(self.talk, self._proof_prompt(proof, runs, load))
        if isinstance(answer, Word):
            self.talk.screen.say("Without the reading the case stays open.")
            return None
        self.talk.screen.say(verdict(answer), "bold green" if answer.proves else "bold red")
        if not answer.proves:
            self.talk.screen.say("The case stays open.")
        return answer

    def _runs_prompt(self) -> Prompt[bool]:
        return Prompt(
            "yes or no",
            yes_or_no,
            help=lambda: self.talk.screen.say(
                "yes if it runs when it is called, delivers its water, and stops when it should. "
                "Try it before you answer."
            ),
            why=lambda: self.talk.screen.say(
                "A good reading beside a pump that still does not do its job proves no repair."
            ),
        )

    def _load(self) -> str | Word:
        """How the pump runs while the proof is read."""
        for number, meaning in enumerate(LOADED.values(), 1):
            self.talk.screen.say(f"{number}  {meaning}")
        return ask(self.talk, self._load_prompt())

    def _load_prompt(self) -> Prompt[str]:
        return Prompt(
            f"How is it while you read, 1 to {len(LOADED)}",
            lambda typed: choice(typed, tuple(LOADED)),
            help=lambda: self.talk.screen.say("The number of how the pump is while you read."),
            why=lambda: self.talk.screen.say(
                "A joint loses volts only while the pump's current flows through it."
            ),
        )

    def _proof_prompt(self, proof: Proof, runs: bool, load: str) -> Prompt[Verification]:
        bench, reading = self.walk.bench, proof.reading

        def read(typed: str) -> Verification:
            item = measured(bench.shop.catalogue, bench.rig, reading, typed)
            return judged(proof, item, runs, load)

        return Prompt(
            f"{reading} [{reading.unit}]",
            read,
            help=lambda: self.talk.screen.say(
                f"Type what the meter shows. Rig {reading.condition}: "
                f"{words.STATES[reading.condition]}. unknown if it cannot be read."
            ),
            why=lambda: self.talk.screen.say(proof.why),
        )
