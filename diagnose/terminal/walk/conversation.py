"""The conversation: complaint, question by question, result. It decides nothing itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field

from diagnose.errors import DiagnoseError
from diagnose.outcome import conclude
from diagnose.pages.cautions import SAFETY, Cautions
from diagnose.pages.reasons import likeliest
from diagnose.reasoning import words
from diagnose.reasoning.available_tests import means_in_words
from diagnose.reasoning.commissioning import dates_in_words
from diagnose.reasoning.stops import ActiveStop
from diagnose.terminal.layout import items, shares_view
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, choice
from diagnose.terminal.stops import (
    SAFE,
    alert_view,
    ask_if_safe,
    stop_view,
)
from diagnose.terminal.walk.closing import ClosingScreen
from diagnose.terminal.walk.complaint import ComplaintScreen
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.own_words import CAN, Remarks
from diagnose.terminal.walk.question import QuestionScreen, label
from diagnose.walkthrough import Question, Step, Walk

Stage = Callable[[], "Stage | None"]


@dataclass
class Conversation:
    """One walk in the terminal. Each stage shows, asks, and names the stage that follows.

    said: what is the matter, when it stood on the command line; _shown: stops that were shown
    """

    talk: Talk
    keeper: Keeper
    given: Cautions
    chosen: Question | None = None
    said: str = ""
    _shown: set[str] = field(default_factory=set)
    _enough: bool = False

    @classmethod
    def of(cls, talk: Talk, keeper: Keeper, said: str = "") -> Conversation:
        return cls(talk, keeper, Cautions(keeper.walk.bench.shop.catalogue.cautions), said=said)

    @property
    def walk(self) -> Walk:
        return self.keeper.walk

    @property
    def remarks(self) -> Remarks:
        return Remarks(self.talk, self.walk)

    @property
    def asking(self) -> QuestionScreen:
        return QuestionScreen(self.talk, self.walk, self.given)

    def hold(self) -> None:
        """From the title to the end. Raises EOFError or KeyboardInterrupt when broken off."""
        self._title()
        self.remarks.at_every_prompt()
        begun = (self.walk.evidence or self.walk.steps) and not self.said
        stage: Stage | None = self.begin if begun else self.complaint
        while stage is not None:
            stage = stage()

    def _title(self) -> None:
        self.talk.screen.say(words.rig_line(self.walk.bench.rig), "bold")
        if own := self.walk.bench.own:
            self.talk.screen.say(dates_in_words(own), "dim")
        for sentence in SAFETY:
            self.talk.screen.say(sentence, "yellow")
        kit = self.walk.bench.shop.catalogue.kit
        here = means_in_words(self.walk.means, kit)
        self.talk.screen.say(f"You are {here}. If not: can phone, can no meter.", "dim")

    # -- the complaint ---------------------------------------------------------------------------

    def complaint(self) -> Stage | None:
        said, self.said = self.said, ""
        answer = ComplaintScreen(self.talk, self.walk).ask(said)
        if answer is Word.QUIT:
            return self.leave
        if answer is Word.BACK:
            self.talk.screen.say("This is the beginning; there is nothing to take back.")
            return self.complaint
        if not isinstance(answer, Word):
            self.walk.tell(answer.items)
            self.keeper.complaint = answer.words
        return self.begin

    def begin(self) -> Stage | None:
        """From here on every answer is kept at once, where that is possible."""
        if not self.keeper.journal and (trouble := self.keeper.begin()):
            self.talk.screen.say(trouble, "yellow")
        if found := self.walk.contradictions():
            self.talk.screen.say("These do not go together; look at them again first:", "yellow")
            self.talk.screen.show(*items(found))
        return self.question

    # -- a question ------------------------------------------------------------------------------

    def question(self) -> Stage | None:
        """The next question, or the result when there is none."""
        self._alarms()
        stops = self.walk.stops()
        if {one.id for one in stops} - self._shown:
            return self.stopped
        self._shown &= {one.id for one in stops}
        chosen, self.chosen = self.chosen, None
        if chosen and not self.walk.may_be_asked(chosen.id):
            chosen = None
        question = chosen or self.walk.question()
        if question is None or self._enough:
            return self.waiting if stops else self.result
        self.asking.show(question)
        answer: Step | Word = ask(self.talk, self._prompt(question))
        return self._follow(question, answer)

    def stopped(self) -> Stage | None:
        """The stops that have begun to stand."""
        new = [one for one in self.walk.stops() if one.id not in self._shown]
        return self._confirm(new, "Enter goes on with what is safe meanwhile", self.question)

    def waiting(self) -> Stage | None:
        """Nothing is left to ask while a stop stands."""
        self.talk.screen.say("Nothing more can be asked before this is dealt with.", "bold")
        return self._confirm(self.walk.stops(), "Enter ends with what is known", self.result)

    def _confirm(self, stops: Iterable[ActiveStop], going_on: str, then: Stage) -> Stage | None:
        """Show stops, and ask of each whether it has been dealt with."""
        for stop in stops:
            self.talk.screen.show(*stop_view(stop))
            if stop.endless:
                return self._end_on(stop)
            self._shown.add(stop.id)
            answer = ask_if_safe(self.talk, stop, going_on)
            if isinstance(answer, Word):
                return self._back() if answer is Word.BACK else self.leave
            if answer:
                self._made_safe(stop)
                then = self.question
        return then

    def _made_safe(self, stop: ActiveStop) -> None:
        self.walk.made_safe(stop.id)
        self._shown.discard(stop.id)
        self.talk.screen.say(f"Taken as made safe: {stop.stop.title}.", "green")

    def _end_on(self, stop: ActiveStop) -> Stage | None:
        """The walk is over: nothing that is said ends this stop. The case is kept, open."""
        prompt: Prompt[Word] = Prompt(
            "Enter ends here; back if that was not so",
            lambda _: Word.QUIT,
            "Enter ends here and keeps the case, open. back takes the answer back.",
            stop.text,
            enter=Word.QUIT,
        )
        if ask(self.talk, prompt) is Word.BACK:
            return self._back()
        screen = self.talk.screen
        screen.say("What it looks like so far; it is not for now:", "dim")
        screen.show(shares_view(screen, likeliest(self.walk.bench, self.walk.belief().ranking)))
        why = self.walk.stop_reason(self.walk.belief(), ())
        self.keeper.save(self.talk, conclude(self.walk, why))
        return None

    def _safe(self, _: str) -> Word | None:
        """Ask of each stop that stands whether it has been dealt with."""
        stops = self.walk.stops()
        if not stops:
            self.talk.screen.say("No stop stands.")
            return None
        if len(stops) == 1:
            self._made_safe(stops[0])
            return Word.MOVED
        for stop in stops:
            answer = ask_if_safe(self.talk, stop, "Enter leaves it standing")
            if isinstance(answer, Word):
                return answer
            if answer:
                self._made_safe(stop)
        return Word.MOVED

    def _alarms(self) -> None:
        """The cautions that have started to hold with the last answer."""
        for alert in self.given.raised(self.walk.conclusions()):
            self.talk.screen.show(alert_view(alert))

    def _follow(self, question: Question, answer: Step | Word) -> Stage | None:
        if answer is Word.QUIT:
            return self.leave
        if answer is Word.BACK:
            return self._back()
        if isinstance(answer, Word) and answer is not Word.MOVED:
            how = "skipped" if answer is Word.SKIP else "unknown"
            self.walk.pass_over(question, how)
            self.talk.screen.say(f"Taken as {how}.", "green")
        return self.question

    def _back(self) -> Stage:
        self._enough = False
        step = self.walk.back()
        if step is None:
            self.keeper.forget()
            self.walk.told = ()
            return self.complaint
        self.talk.screen.say(f"Taken back: {words.of_test(step.test)}.")
        self._shown.clear()
        self.chosen = self.walk.ask(step.test) if step.is_question else None
        return self.question

    def _prompt(self, question: Question) -> Prompt[Step]:
        return Prompt(
            label=label(question),
            read=lambda typed: self._answer(question, typed),
            help=lambda: self.asking.help(question),
            why=lambda: self.asking.why(question),
            words={
                "not": self.asking.why_not,
                "list": lambda _: self._list(),
                SAFE: self._safe,
                CAN: self._can,
                "enough": self._no_more,
            },
        )

    def _can(self, said: str) -> Word | None:
        """What one can do; when it has changed, another question may be the next."""
        self.remarks.can(said)
        return Word.MOVED if said.strip() else None

    def _no_more(self, _: str) -> Word | None:
        """The result with what is known so far."""
        self._enough = True
        return Word.MOVED

    def _answer(self, question: Question, typed: str) -> Step | Word:
        """Take an answer, or what else was said, and say how it was taken."""
        try:
            answer = self._read(question, typed)
        except DiagnoseError as problem:
            return self.remarks.volunteered(question, typed, problem)
        step = self.walk.answer(question, answer)
        self.talk.screen.say(f"Taken as {self.asking.taken(step)}.", "green")
        return step

    def _read(self, question: Question, typed: str) -> str:
        """What was typed as an answer to the question. Raises DiagnoseError where it is none."""
        if question.reading is None:
            return choice(typed, tuple(question.entry.options))  # type: ignore[union-attr]
        self.walk.read(question, typed)
        return typed

    def _list(self) -> Word | None:
        """Other tests that can be done now; one that is picked is asked next."""
        self.chosen = self.asking.pick_another()
        return Word.MOVED if self.chosen else None

    # -- the end ---------------------------------------------------------------------------------

    def result(self) -> Stage | None:
        """The result, and what was done about it."""
        closing = ClosingScreen(self.talk, self.keeper, self.asking.why_not, self._list)
        answer = closing.hold()
        if answer is Word.BACK:
            return self._back()
        return self.question if answer is Word.MOVED else None

    def leave(self) -> Stage | None:
        """Left before the end: what there is can be saved."""
        if not self.walk.evidence:
            self.keeper.forget()
            return None
        return None if self.keeper.offer(self.talk) else self.question
