"""The trainee at work: acts go in, what is found comes out, and the minutes add up."""

from __future__ import annotations

from dataclasses import dataclass, field

from diagnose.catalogue.records import Observation
from diagnose.catalogue.rule_records import ThenBlock
from diagnose.drill.acts import Act, Change, Do, MakeSafe, act_of
from diagnose.drill.scenario import Scenario
from diagnose.drill.words import Words, shipped_words, words_on
from diagnose.errors import DiagnoseError
from diagnose.reasoning.available_tests import STATES_TO_SET_UP, Test, cost
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.rules.conclusions import Conclusions, Firing, symbols_of
from diagnose.reasoning.stops import ActiveStop
from diagnose.walkthrough import Contradiction, NoSuchStop, Question, Walk

STOPPED = 0.5
"""Minutes that an act costs which is stopped: somebody has to say so. A choice of the drill."""


@dataclass(frozen=True)
class Found:
    """One act done. answer: an option, or a value with its unit; meaning: the option in plain
    words, "" for a reading; item: the same as a finding, or None where it could not be taken down;
    note: what else there is to see."""

    typed: str
    test: Test
    answer: str
    meaning: str
    minutes: float
    item: Evidence | None
    note: str = ""


@dataclass(frozen=True)
class Stopped:
    """One act that was stopped, and why; caution: id of the one that goes with it, or ""."""

    typed: str
    name: str
    because: str
    dangerous: bool
    caution: str = ""
    minutes: float = STOPPED


@dataclass(frozen=True)
class Changed:
    """The rig brought into another state."""

    typed: str
    state: str
    minutes: float


@dataclass(frozen=True)
class MadeSafe:
    """Stops dealt with, by their ids."""

    typed: str
    stops: tuple[str, ...]
    minutes: float


Done = Found | Stopped | Changed | MadeSafe

UNDER_POWER = ("calling", "satisfied", "unplugged")
"""States of the rig that nobody brings it into while a stop stands."""


@dataclass
class Session:
    """One drill in progress. walk: holds the findings; it asks nothing here."""

    scenario: Scenario
    words: Words = field(default_factory=shipped_words)
    done: list[Done] = field(default_factory=list)
    state: str = "calling"
    walk: Walk = field(init=False)

    def __post_init__(self) -> None:
        self.walk = self.scenario.walk()
        bench = self.scenario.bench
        self.words = words_on(self.words, bench.shop.catalogue, bench.rig)

    @property
    def minutes(self) -> float:
        return sum(one.minutes for one in self.done)

    @property
    def found(self) -> tuple[Found, ...]:
        return tuple(one for one in self.done if isinstance(one, Found))

    @property
    def stopped(self) -> tuple[Stopped, ...]:
        return tuple(one for one in self.done if isinstance(one, Stopped))

    def act(self, typed: str) -> Act:
        """What a line asks for, without doing it. Raises DiagnoseError."""
        return act_of(typed, self.scenario.bench, self.words, self.state)

    def do(self, typed: str) -> Done:
        """Do what a line says. Raises DiagnoseError, and costs nothing, when it says nothing that
        can be done here."""
        act = self.act(typed)
        line = " ".join(typed.split())
        if isinstance(act, MakeSafe):
            done: Done = self._make_safe(line)
        elif isinstance(act, Change):
            done = self._change(line, act.state)
        elif isinstance(act, Do):
            done = self._try(line, act)
        else:
            done = self._stop(line, act.name, act.dangerous)
        self.done.append(done)
        return done

    def _stop(self, line: str, name: str, dangerous: bool) -> Stopped:
        if not dangerous:
            return Stopped(line, name, _line(self.words.senseless[name]), dangerous=False)
        danger = self.words.dangers[name]
        return Stopped(line, name, _line(danger.say), True, danger.caution)

    def stops(self) -> tuple[ActiveStop, ...]:
        """The stops that stand, by what was found."""
        return self.walk.stops(self.rules())

    def raised(self) -> tuple[str, ...]:
        """Every stop that was raised so far, whether or not it was made safe."""
        made = [one for done in self.done if isinstance(done, MadeSafe) for one in done.stops]
        return tuple(dict.fromkeys([*made, *(one.then.stop for one in self.rules().stops)]))

    def _make_safe(self, line: str) -> MadeSafe:
        """Raises NoSuchStop where nothing stands, or nothing that is done here ends it."""
        stops = self.stops()
        if not stops:
            raise NoSuchStop("No stop stands; there is nothing to make safe.")
        for stop in stops:
            self.walk.made_safe(stop.id)
        return MadeSafe(line, tuple(stop.id for stop in stops), self._setting_up())

    def _held_back(self, line: str, stop: ActiveStop) -> Stopped:
        because = f"{stop.stop.title}. {stop.ends}"
        return Stopped(line, stop.id, because, dangerous=True)

    def _change(self, line: str, state: str) -> Done:
        stops = self.stops()
        if stops and (state in UNDER_POWER or stops[0].endless):
            return self._held_back(line, stops[0])
        minutes = self._setting_up() if state != self.state else 0.0
        self.state = state
        return Changed(line, state, minutes)

    def _setting_up(self) -> float:
        figures = self.scenario.bench.model.figures
        return figures.get("state-change-time", "min")

    def _try(self, line: str, act: Do) -> Done:
        stop = next((one for one in self.stops() if one.forbids(act.test)), None)
        if stop:
            return self._held_back(line, stop)
        block = self.rules().block_on(act.test.rule_name)
        if block:
            return self._blocked(line, block)
        minutes = self._cost(act.test)
        if act.test.state in (*STATES_TO_SET_UP, "calling"):
            self.state = act.test.state
        return self._find(line, act.test, minutes)

    def _cost(self, test: Test) -> float:
        """Minutes as the walk counts them; a battery that is off has to go back on, too."""
        figures = self.scenario.bench.model.figures
        reconnect = test.state == "calling" and self.state == "isolated"
        fetch = test.id in self.walk.to_fetch
        return cost(test, self.state, figures, fetch) + (self._setting_up() if reconnect else 0.0)

    def _blocked(self, line: str, block: Firing[ThenBlock]) -> Stopped:
        rule = block.rule.id
        return Stopped(line, rule, _line(block.because), rule in self.words.dangerous_rules)

    def _find(self, line: str, test: Test, minutes: float) -> Found:
        attempt = sum(one.test.id == test.id for one in self.found)
        answer = self.scenario.answer(test, attempt)
        item = take_down(self.walk, Question(test, minutes, None, 0.0), answer)
        meaning = test.entry.options[answer] if isinstance(test.entry, Observation) else ""
        return Found(line, test, answer, meaning, minutes, item, self._note(test))

    def _note(self, test: Test) -> str:
        """What is printed on the fuse that is looked at."""
        if test.id != "main-fuse-element":
            return ""
        batch = self.scenario.truth.scene.batch
        if batch["main_fuse.bridged"][0] > 0:
            return "There is no fuse in it: a strip of metal takes its place."
        return f"It is marked {printed_rating(float(batch['main_fuse.rating'][0])):g} A."

    def rules(self) -> Conclusions:
        """What the rules say of what was found. No suspects: what the ranking thinks is not told
        to a trainee by what is stopped."""
        bench = self.scenario.bench
        facts = bench.hypotheses.facts
        return bench.shop.book.run(symbols_of(self.walk.evidence, bench.healthy, facts, {}))


def take_down(walk: Walk, question: Question, answer: str) -> Evidence | None:
    """Give a walk an answer; an odd one is given again, and then stands. None: not taken."""
    for _ in range(2):
        try:
            return walk.answer(question, answer).item
        except Contradiction:
            continue
        except DiagnoseError:
            break
    walk.pass_over(question, "unknown")
    return None


RATINGS = (3, 5, 7.5, 10, 15, 20, 25, 30, 35, 40, 50, 60, 80, 100)
"""What is printed on blade and bolt-down fuses [A]; common practice."""


def printed_rating(rating: float) -> float:
    """The usual rating next to a value [A]."""
    return min(RATINGS, key=lambda usual: abs(usual - rating))


def _line(text: str) -> str:
    return " ".join(text.split())
