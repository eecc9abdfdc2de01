"""Whether a repair holds, and what it was, asked question by question."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.casebook.proving import LOADED, RUNNING, is_loaded, judged, verdict
from diagnose.casebook.record import Verification
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.reading_words import in_words
from diagnose.circuit.rig import Rig
from diagnose.errors import UnknownName
from diagnose.outcome import Proof
from diagnose.reasoning import words
from diagnose.reasoning.evidence import check_reading
from diagnose.reasoning.hypotheses import OTHER
from diagnose.terminal.prompts import NotUnderstood, Prompt, Talk, Word, ask, choice, yes_or_no
from diagnose.terminal.walk.result import proof_sentence
from diagnose.terminal.walk.why import mode_named

SWAPPED = "Did the trouble go when that was put right, with nothing else changed?"


@dataclass(frozen=True)
class Turned:
    """How a repair turned out. reading: after the repair, where it was taken; by_part: it went
    with the part that was changed; cause, words: what it was, "" where nobody knows; closes:
    whether that closes a case, with or without a proof."""

    reading: Verification | None = None
    by_part: bool = False
    cause: str = ""
    words: str = ""
    closes: bool = False


@dataclass(frozen=True)
class ProofAsked:
    """Asks how the pump runs and for the reading that proves the repair."""

    talk: Talk
    catalogue: Catalogue
    rig: Rig

    def hold(self, proof: Proof) -> Turned:
        """The reading; or, where it cannot be taken, whether the changed part cured it."""
        self.talk.screen.say(RUNNING, "bold")
        runs = ask(self.talk, self._runs_prompt())
        load = self._load() if is_loaded(proof) and not isinstance(runs, Word) else ""
        answer: Verification | Word = Word.SKIP
        if not isinstance(runs, Word) and not isinstance(load, Word):
            self.talk.screen.say(f"Measure now: {proof_sentence(proof)}", "bold")
            answer = ask(self.talk, self._proof_prompt(proof, runs, load))
        if not isinstance(answer, Word):
            return self._judged(answer)
        if answer is Word.UNKNOWN and runs is True and by_the_part(self.talk):
            return Turned(by_part=True, closes=True)
        self.talk.screen.say("Without the reading the case stays open.")
        return Turned()

    def _judged(self, answer: Verification) -> Turned:
        self.talk.screen.say(verdict(answer), "bold green" if answer.proves else "bold red")
        return Turned(answer)

    def _runs_prompt(self) -> Prompt[bool]:
        return Prompt(
            "yes or no",
            yes_or_no,
            help=lambda: self.talk.screen.say(
                "yes if it runs when it is asked to, delivers its water, and stops when it should. "
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
        reading = proof.reading

        def read(typed: str) -> Verification:
            item = check_reading(self.catalogue, self.rig, reading, typed)
            return judged(proof, item, runs, load)

        return Prompt(
            f"{in_words(reading)} [{reading.unit}], or unknown",
            read,
            help=lambda: self.talk.screen.say(
                f"Type what the meter shows. {words.STATES[reading.condition]} unknown if it "
                "cannot be read."
            ),
            why=lambda: self.talk.screen.say(proof.why),
        )


def by_the_part(talk: Talk) -> bool:
    """Whether the trouble went with the part that was changed."""
    talk.screen.say(SWAPPED, "bold")

    def explain() -> None:
        talk.screen.say(
            "yes counts as a proof by the part: where other things were changed too, or the "
            "trouble comes and goes, say no, and the case stays unproved."
        )

    return ask(talk, Prompt("yes or no", yes_or_no, explain, explain)) is True


def what_it_was(talk: Talk, catalogue: Catalogue) -> Turned:
    """What it was in the end, by its name or in a person's own words, and how that is known."""
    talk.screen.say("What was it?", "bold")
    answer = ask(talk, _cause_prompt(talk, catalogue))
    if isinstance(answer, Word):
        return Turned()
    return Turned(cause=answer.cause, words=answer.words, by_part=by_the_part(talk), closes=True)


def _cause_prompt(talk: Talk, catalogue: Catalogue) -> Prompt[Turned]:
    doubted: list[str] = []

    def read(typed: str) -> Turned:
        try:
            return Turned(cause=mode_named(catalogue.failure_modes, typed).id)
        except UnknownName as problem:
            if doubted != [typed]:
                doubted[:] = [typed]
                raise NotUnderstood(
                    f"{problem} The same again keeps it in your own words."
                ) from None
            return Turned(cause=OTHER, words=typed)

    def explain() -> None:
        talk.screen.say(
            "The name of a failure mode as the screen shows it, such as motor seized; diagnose "
            "handbook has them all. What is not in the book is kept in your own words."
        )

    return Prompt("Its name, or your own words", read, explain, explain)
