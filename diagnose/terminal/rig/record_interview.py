"""Readings of a new rig asked one by one, in the order in which they are best taken."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

from diagnose.circuit.reading_words import in_words
from diagnose.circuit.rig import Rig
from diagnose.reasoning import words
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.evidence import Measured, check_reading
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.explanation import value_words
from diagnose.reasoning.reading_selection import select_readings
from diagnose.terminal.cautions import LOCAL_CODES
from diagnose.terminal.plain import patience
from diagnose.terminal.prompts import NotUnderstood, Prompt, Talk, Word, ask, yes_or_no

SAFETY = "Keep fingers, hair and sleeves off what moves; no rings; eyes covered at a battery."

ANSWERS = (
    "The value with its unit, as the meter shows it: 82 mV. skip or unknown leaves one out, back "
    "takes the last one back, quit ends and keeps what was read."
)
WHY = (
    "What the rig reads while it is sound tells later what has changed. A rig held against its own "
    "readings shows a fault that one held against the book hides."
)


@dataclass
class Asking:
    """The readings taken so far. there: what was recorded that day already; _passed: for each test
    that was put, whether something was read; _warned: cautions that were given in full."""

    talk: Talk
    rig: Rig
    healthy: Healthy
    there: Sequence[Measured] = ()
    read: list[Measured] = field(default_factory=list)
    _passed: list[bool] = field(default_factory=list)
    _warned: set[str] = field(default_factory=set)

    def hold(self) -> None:
        """Ask to the end, or until the person has had enough. Raises EOFError."""
        tests = self._tests()
        self._title(len(tests))
        state = ""
        while len(self._passed) < len(tests):
            test = tests[len(self._passed)]
            if test.state != state:
                self.talk.screen.gap()
                self.talk.screen.say(words.STATES[test.state], "bold")
            state = test.state
            answer = self._ask(test, len(tests))
            if answer is Word.QUIT:
                return
            if answer is Word.BACK:
                self._back()
                continue
            if isinstance(answer, Measured):
                self.read.append(answer)
            self._passed.append(isinstance(answer, Measured))

    def _tests(self) -> list[Test]:
        with patience("Working out which readings say most"):
            found = select_readings(self.healthy.catalogue, self.healthy.model)
        known = {item.id for item in self.there}
        return [test for test in found if test.id not in known]

    def _title(self, count: int) -> None:
        screen = self.talk.screen
        screen.say(words.rig_line(self.rig), "bold")
        screen.say(f"{count} readings of a rig that works as it should, charger off.")
        screen.say(
            "Keep fingers, hair and sleeves off what moves; no rings; eyes covered.", "yellow"
        )
        screen.say(LOCAL_CODES, "yellow")
        for item in self.there:
            screen.say(f"Recorded today already: {item.id} = {value_words(item)}", "dim")

    def _back(self) -> None:
        if not self._passed:
            self.talk.screen.say("This is the first one.")
        elif self._passed.pop():
            self.read.pop()

    def _ask(self, test: Test, count: int) -> Measured | Word:
        """One reading; where hardly any sound rig reads so, only when that is meant."""
        self._show(test, count)
        answer = ask(self.talk, self._prompt(test))
        if isinstance(answer, Word) or not self.healthy.is_far_off(answer):
            return answer
        self.talk.screen.say("Hardly any sound rig of this description reads so.", "yellow")
        self.talk.screen.say("Recorded, it would pass as sound. Look again, or for a fault.")
        meant = ask(self.talk, self._meant())
        return answer if meant is True else Word.SKIP if meant is False else meant

    def _show(self, test: Test, count: int) -> None:
        screen, entry = self.talk.screen, test.entry
        band = self.healthy.expected(entry.reading)  # type: ignore[union-attr]
        screen.gap()
        number = len(self._passed) + 1
        screen.say(f"{number} of {count}: {in_words(entry.reading)}", "bold")  # type: ignore[union-attr]
        for name in entry.cautions:
            if name not in self._warned:
                screen.say(f"Caution: {self._caution(name)}", "yellow", indent=2)
        if before := ", ".join(words.spaced(one) for one in entry.cautions if one in self._warned):
            screen.say(f"Cautions as before: {before}.", "yellow", indent=2)
        self._warned.update(entry.cautions)
        screen.say(" ".join(entry.how.split()), indent=2)
        sound = words.band(band.low, band.high, entry.reading)  # type: ignore[union-attr]
        screen.say(f"Sound rigs of this description read {sound}.", indent=2)

    def _caution(self, name: str) -> str:
        return " ".join(self.healthy.catalogue.cautions[name].text.split())

    def _prompt(self, test: Test) -> Prompt[Measured]:
        reading = test.entry.reading  # type: ignore[union-attr]

        def read(typed: str) -> Measured:
            return check_reading(self.healthy.catalogue, self.rig, reading, typed)

        label = f"{reading.quantity}, {reading.unit}"
        return Prompt(label, read, self._saying(ANSWERS), self._saying(WHY))

    def _meant(self) -> Prompt[bool]:
        told = self._saying("yes keeps the reading; no leaves it out.")
        return Prompt("Keep it all the same, yes or no", _yes_or_no, told, told)

    def _saying(self, text: str) -> Callable[[], None]:
        return lambda: self.talk.screen.say(text)


def _yes_or_no(typed: str) -> bool:
    if not typed:
        raise NotUnderstood("Type yes or no.")
    return yes_or_no(typed)
