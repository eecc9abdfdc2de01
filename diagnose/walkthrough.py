"""A repair, question by question: what is known, what to ask next, what it comes to.

The walk draws and writes nothing. Its whole state is the list of steps taken; all else is computed
from them anew, so an answer taken back leaves no trace.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from diagnose.bench import Bench
from diagnose.catalogue.records import ReadingEntry
from diagnose.errors import quoted
from diagnose.reasoning.available_tests import (
    EVERYTHING,
    Means,
    Test,
    cost,
    needs_in_words,
    unfetched_readings,
    unreachable_readings,
)
from diagnose.reasoning.consistency import voltages_above_battery
from diagnose.reasoning.evidence import Evidence, Seen, check_answer, check_reading, latest
from diagnose.reasoning.information import repeat_gain
from diagnose.reasoning.next_test import ExpectedGain, reason_to_stop
from diagnose.reasoning.posterior import Posterior, by_repair, posterior
from diagnose.reasoning.rules.conclusions import Conclusions
from diagnose.reasoning.stops import TOLD, ActiveStop, active_stops
from diagnose.refusing import refusals, settled, symbols
from diagnose.steps import (
    CAN,
    MADE_SAFE,
    NOTE,
    SKIPPED,
    UNKNOWN,
    VOLUNTEERED,
    Contradiction,
    NoSuchStop,
    Question,
    Sink,
    Step,
)

__all__ = ["FIRST", "MADE_SAFE", "Contradiction", "NoSuchStop", "Question", "Step", "Walk"]

FIRST = "pump-action"
"""The complaint: what is asked first when nothing has been told."""


@dataclass
class Walk:
    """One repair in progress. able: what whoever answers can do when it begins, in words; "" for
    everything; sink: hears of each step before it counts."""

    bench: Bench
    told: tuple[Evidence, ...] = ()
    steps: list[Step] = field(default_factory=list)
    able: str = ""
    sink: Sink | None = None
    _insisted: set[Evidence] = field(default_factory=set)
    _belief: Posterior | None = None

    @property
    def evidence(self) -> tuple[Evidence, ...]:
        """All findings, each test once."""
        answers = [step.item for step in self.steps if step.item is not None]
        return latest([*self.told, *answers])

    @property
    def minutes(self) -> float:
        return sum(step.minutes for step in self.steps)

    @property
    def questions(self) -> int:
        """How many were put, whatever came of them."""
        return sum(step.is_question for step in self.steps)

    @property
    def state(self) -> str:
        """The state the rig was left in by the last test."""
        asked = (step.test for step in self.steps if step.is_question)
        states = [self.bench.tests[test].state for test in asked if test in self.bench.tests]
        return next((state for state in reversed(states) if state != "off"), "calling")

    @property
    def to_fetch(self) -> frozenset[str]:
        """The readings whose instrument nothing has been read with yet."""
        catalogue = self.bench.shop.catalogue
        return unfetched_readings(self.bench.tests, catalogue, (item.id for item in self.evidence))

    @property
    def means(self) -> Means:
        """What whoever answers can do, by all that was said of it."""
        kit, now = self.bench.shop.catalogue.kit, EVERYTHING
        for said in (self.able, *(step.test for step in self.steps if step.how == CAN)):
            now = now.updated(said, kit)
        return now

    @property
    def beyond_reach(self) -> frozenset[str]:
        """The tests that need what is not there, and the readings whose instrument nobody seems to
        have, until it is said again what there is."""
        said = [number for number, step in enumerate(self.steps) if step.how == CAN]
        since = self.steps[said[-1] :] if said else self.steps
        unknown = (step.test for step in since if step.how == UNKNOWN)
        tests, means = self.bench.tests, self.means
        missed = unreachable_readings(tests, self.bench.shop.catalogue, self.to_fetch, unknown)
        return missed | {name for name, test in tests.items() if not means.suffice_for(test.entry)}

    def _minutes(self, test: Test) -> float:
        figures = self.bench.model.figures
        return cost(test, self.state, figures, test.id in self.to_fetch, self.means)

    def belief(self) -> Posterior:
        """Probabilities after everything said so far."""
        evidence = self.evidence
        if self._belief is None or self._belief.evidence != evidence:
            self._belief = posterior(self.bench.predictions, evidence)
        return self._belief

    def conclusions(self, belief: Posterior | None = None) -> Conclusions:
        """What the rules say now."""
        return self.bench.shop.book.run(symbols(self.bench, self.evidence, belief or self.belief()))

    def stops(self, conclusions: Conclusions | None = None) -> tuple[ActiveStop, ...]:
        """The stops that stand now, those that nothing ends first."""
        answered = {item.id: TOLD for item in self.told}
        made_safe: dict[str, int] = {}
        for number, step in enumerate(self.steps):
            if step.item is not None:
                answered[step.item.id] = number
            if step.how == MADE_SAFE:
                made_safe[step.test] = number
        raised = (conclusions or self.conclusions()).stops
        return active_stops(raised, self.bench.shop.catalogue.stops, answered, made_safe)

    def made_safe(self, name: str) -> Step:
        """Take it that a stop has been dealt with. Raises NoSuchStop."""
        here = {one.id: one for one in self.stops()}
        if name not in here:
            stand = f"these do: {', '.join(here)}" if here else "none does"
            raise NoSuchStop(f"No stop called {quoted(name)} stands now; {stand}.")
        if (stop := here[name]).endless:
            raise NoSuchStop(f"{stop.stop.title}: saying so does not end it. {stop.ends}")
        return self._add(Step(name, None, 0.0, MADE_SAFE))

    @property
    def ended(self) -> bool:
        """Whether a stop stands that nothing said can end."""
        return any(one.endless for one in self.stops())

    def tell(self, items: Iterable[Evidence]) -> None:
        """Findings given at the start, before any question: what somebody reports unasked."""
        reported = (replace(one, reported=True) if isinstance(one, Seen) else one for one in items)
        self.told = (*self.told, *reported)

    def can(self, said: str) -> Step:
        """Take it that somebody can do more or less: "phone", "no meter". Raises UnknownName."""
        self.means.updated(said, self.bench.shop.catalogue.kit)
        return self._add(Step(" ".join(said.split()), None, 0.0, CAN))

    def note(self, said: str) -> Step:
        """Keep words that say nothing for the ranking."""
        return self._add(Step(" ".join(said.split()), None, 0.0, NOTE))

    @property
    def notes(self) -> tuple[str, ...]:
        """The words kept, in the order in which they were said."""
        return tuple(step.test for step in self.steps if step.how == NOTE)

    def take(self, item: Evidence, asked: Question | None = None) -> Step:
        """Take a finding: an answer where its test was asked for, else something told unasked.
        Raises Contradiction once when the rules find it impossible."""
        item = settled(self.bench, self.evidence, item)
        self._check(item)
        if asked is not None and asked.id == item.id:
            return self._add(Step(item.id, item, asked.minutes))
        return self._add(Step(item.id, item, 0.0, VOLUNTEERED))

    def allowed(self, conclusions: Conclusions) -> tuple[str, ...]:
        """Tests not yet dealt with that the rules and the stops let be asked now."""
        done = {item.id for item in self.evidence}
        done |= {step.test for step in self.steps if step.is_test}
        stops = self.stops(conclusions)
        return tuple(
            test.id
            for test in self.bench.tests.values()
            if test.id not in done and may_ask(test, conclusions, stops)
        )

    def question(self) -> Question | None:
        """The next question, or None when it is time to conclude."""
        if not self.evidence and not self.questions:
            return self.ask(FIRST)
        if self.ended:
            return None
        belief = self.belief()
        choices = self.choices(belief)
        if self.stop_reason(belief, choices):
            return None
        best, known = choices[0], {item.id for item in belief.evidence}
        return self.ask(best.test.id, best.bits, best.test.id in known)

    def worths(self, belief: Posterior, out_of_reach: bool = False) -> tuple[ExpectedGain, ...]:
        """What each allowed test is worth now, best first: of those that whoever answers can do,
        or of those that are out of reach."""
        beyond, allowed = self.beyond_reach, self.allowed(self.conclusions(belief))
        wanted = {name for name in allowed if (name in beyond) == out_of_reach}
        return self.bench.chooser.gains(belief, wanted, self.state, self.to_fetch, self.means)

    def choices(self, belief: Posterior) -> tuple[ExpectedGain, ...]:
        """The same with what may be asked a second time."""
        found = [*self.worths(belief), *self._again(belief)]
        return tuple(sorted(found, key=lambda worth: (-worth.rate, worth.test.id)))

    def _again(self, belief: Posterior) -> Iterator[ExpectedGain]:
        """What it is worth to ask once more for each finding that rests on one answer. What raised
        a stop is not asked away."""
        dealt = Counter(step.test for step in self.steps if step.is_test)
        conclusions = self.conclusions(belief)
        stops = self.stops(conclusions)
        group = self.bench.chooser.repair_numbers(belief.hypotheses)
        left = self.bench.tests.keys() - self.beyond_reach
        left -= {test for raised in conclusions.stops for test in raised.raised_by}
        for item in belief.evidence:
            if item.sure or dealt[item.id] > 1 or item.id not in left:
                continue
            test = self.bench.tests[item.id]
            if may_ask(test, conclusions, stops):
                bits = repeat_gain(self.bench.predictions, belief, group, item)
                yield ExpectedGain(test, bits, self._minutes(test))

    def stop_reason(self, belief: Posterior, worths: tuple[ExpectedGain, ...]) -> str:
        """Why no further question is asked, or ""."""
        stops, figures = self.stops(), self.bench.model.figures
        if any(one.endless for one in stops):
            return "a danger stands that no answer ends"
        repairs = by_repair(belief.ranking, self.bench.shop.repair)
        return reason_to_stop(belief, repairs, worths, figures, self.questions, waiting=bool(stops))

    def ask(self, test: str, bits: float = 0.0, again: bool = False) -> Question:
        """The question for one test, whether or not it would be chosen."""
        asked = self.bench.tests[test]
        reading = asked.entry.reading if isinstance(asked.entry, ReadingEntry) else None
        band = self.bench.healthy.expected(reading) if reading else None
        takes = needs_in_words(asked.entry.needs, self.bench.shop.catalogue.kit)
        return Question(asked, self._minutes(asked), band, bits, again, takes)

    def read(self, question: Question, text: str) -> Evidence:
        """A typed answer as a finding. Raises DiagnoseError with one clear sentence."""
        bench = self.bench
        if question.reading:
            return check_reading(bench.shop.catalogue, bench.rig, question.reading, text)
        return check_answer(bench.shop.catalogue, bench.hypotheses.facts, question.id, text.strip())

    def answer(self, question: Question, text: str) -> Step:
        """Take an answer. Raises Contradiction once when the rules find it impossible."""
        return self.take(self.read(question, text), question)

    def _check(self, item: Evidence) -> None:
        """Raises Contradiction, once for the same finding."""
        if item in self._insisted:
            return
        for said in refusals(self.bench, self.evidence, item):
            self._insisted.add(item)
            raise Contradiction(said)

    def contradictions(self) -> tuple[str, ...]:
        """What the findings say against each other, in sentences."""
        ruled = (" ".join(one.because.split()) for one in self.conclusions().rejections)
        catalogue = self.bench.shop.catalogue
        return (*ruled, *(said for *_, said in voltages_above_battery(self.evidence, catalogue)))

    def pass_over(self, question: Question, how: str) -> Step:
        """A question that was skipped or could not be answered: it is not asked again."""
        minutes = 0.0 if how == SKIPPED else question.minutes
        return self._add(Step(question.id, None, minutes, how))

    def _add(self, step: Step) -> Step:
        if self.sink:
            self.sink.keep(step)
        self.steps.append(step)
        return step

    def back(self) -> Step | None:
        """Take back the last step; None at the start."""
        if self.steps and self.sink:
            self.sink.undo()
        return self.steps.pop() if self.steps else None

    def may_be_asked(self, test: str) -> bool:
        """Whether the rules and the stops let a test be made now."""
        conclusions = self.conclusions()
        return may_ask(self.bench.tests[test], conclusions, self.stops(conclusions))

    def forked(self) -> Walk:
        """A copy that can go its own way, of which nobody hears."""
        return replace(self, steps=[*self.steps], sink=None, _insisted={*self._insisted})


def may_ask(test: Test, conclusions: Conclusions, stops: Iterable[ActiveStop]) -> bool:
    """Whether neither a rule nor a stop keeps a test from being made now."""
    return not conclusions.block_on(test.rule_name) and not any(one.forbids(test) for one in stops)
