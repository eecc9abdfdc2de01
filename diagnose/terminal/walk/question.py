"""One question on the screen: how it is put, what it takes, why, and how an answer was taken."""

from __future__ import annotations

from dataclasses import dataclass

from diagnose.design.drawing import draw_reading
from diagnose.reasoning import words
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.explanation import value_words
from diagnose.terminal.cautions import Given
from diagnose.terminal.layout import items
from diagnose.terminal.prompts import Talk
from diagnose.terminal.walk.question_view import help_view, question_view, ranking_view
from diagnose.terminal.walk.why import Told, why_found, why_leader, why_not, why_question
from diagnose.walkthrough import Question, Step, Walk

LEAST_FOR_A_DRAWING = 40
"""Columns below which the circuit cannot be drawn."""


@dataclass(frozen=True)
class QuestionScreen:
    """Puts the questions of one walk."""

    talk: Talk
    walk: Walk
    given: Given

    def show(self, question: Question) -> None:
        screen, walk = self.talk.screen, self.walk
        if walk.evidence:
            screen.say("So far:", "dim")
            screen.show(ranking_view(screen, walk.bench, walk.belief().ranking))
        before = self.given.before(question)
        alerts = self.given.of_step(question)
        number = walk.questions + 1
        screen.show(*question_view(screen, question, number, alerts, before, walk.stops()))

    def taken(self, step: Step) -> str:
        item = step.item
        if not isinstance(item, Measured):
            return words.spaced(item.option) if item else ""
        healthy = self.walk.bench.healthy
        band = healthy.expected(item.reading)
        sound = words.band(band.low, band.high, item.reading)
        verdict = VERDICTS[healthy.verdict(item)]
        if healthy.has_drifted(item):
            verdict = f"{verdict}, it has drifted"
        whose = "a sound rig" if band.book is None else "this rig when it is well"
        return f"{value_words(item)}: {verdict} ({whose}: {sound})"

    def help(self, question: Question) -> None:
        book = self.walk.bench.shop.catalogue.quantities
        quantity = book.get(question.reading.quantity) if question.reading else None
        screen = self.talk.screen
        screen.show(*help_view(screen, question, quantity))
        drawable = question.reading and len(question.reading.points) == 2
        if question.reading and drawable and screen.width >= LEAST_FOR_A_DRAWING:
            ascii_only = not screen.console.encoding.startswith("utf")
            red, black = question.reading.points
            drawing = draw_reading(self.walk.bench.rig, red, black, screen.width, ascii_only)
            for line in drawing.split("\n"):
                screen.line(line)

    def why(self, question: Question) -> None:
        walk = self.walk
        self._tell(why_question(walk, question), why_found(walk), why_leader(walk))

    def _tell(self, *told: Told) -> None:
        for one in told:
            for sentence in one.sentences:
                self.talk.screen.say(sentence)
            self.talk.screen.show(*items(one.points))

    def why_not(self, name: str) -> None:
        self._tell(why_not(self.walk, name))


VERDICTS = {
    "nothing": "next to nothing",
    "low": "low",
    "within": "as it should be",
    "high": "high",
    "hot": "too hot to hold",
    "reversed": "reversed, check the probes",
    "open": "open",
}
"""Verdicts on a reading, in words."""
