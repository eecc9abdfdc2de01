"""A drill on the screen: the complaint, what the trainee does, and what the rig answers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace

from diagnose.drill.choices import Conclusion
from diagnose.drill.debrief import Debrief, debrief
from diagnose.drill.hidden import LEVELS
from diagnose.drill.offers import candidates
from diagnose.drill.record import drilled
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Found, Session
from diagnose.errors import DiagnoseError
from diagnose.reasoning import words
from diagnose.terminal.cautions import Given
from diagnose.terminal.drill import views as views
from diagnose.terminal.drill.choice import Asked, same_again
from diagnose.terminal.drill.conclusion import conclusion
from diagnose.terminal.drill.debrief import debrief_view
from diagnose.terminal.paging import pages
from diagnose.terminal.plain import BROKEN_OFF, MISTAKE, Screen, complain, patience
from diagnose.terminal.prompts import (
    Keyboard,
    Prompt,
    Talk,
    Word,
    ask,
    choice,
    menu_number,
    yes_or_no,
)
from diagnose.terminal.stops import SAFE, stop_view
from diagnose.terminal.walk.question_view import alert_view
from diagnose.walkthrough import Question

KINDS = (*(level.name for level in LEVELS), "what I get wrong", "one component group")
WRONG, GROUP = 4, 5
"""Numbers of the kinds that are no level."""


def drilled_on_screen(asked: Asked) -> int:
    """One drill from its choice to its debrief. Raises DiagnoseError."""
    talk = Talk(Screen.standard(), Keyboard())
    asked.named_rig()
    try:
        chosen = _chosen(talk, asked)
        if chosen is not None:
            return _hold(talk, chosen)
    except (KeyboardInterrupt, EOFError):
        complain("\nBroken off; nothing was written down.")
        return BROKEN_OFF
    return 0


def _chosen(talk: Talk, asked: Asked) -> Asked | None:
    """The kind of drill, asked for where it was left open; None to leave."""
    if not asked.is_open:
        return asked
    talk.screen.show(*views.kinds_view(talk.screen, KINDS))
    answer = ask(talk, _kind_prompt(talk))
    if not isinstance(answer, int):
        return None
    if answer == GROUP:
        return _of_a_group(talk, asked)
    return replace(asked, wrong=True) if answer == WRONG else replace(asked, level=answer)


def _of_a_group(talk: Talk, asked: Asked) -> Asked | None:
    """A drill of the component group that is picked; None to leave."""
    names = asked.groups()
    talk.screen.say("Which component group?", "bold")
    talk.screen.show(views.numbered([words.spaced(name) for name in names]))

    def explain() -> None:
        talk.screen.say("A number or a name. The fault is then out of that group, and a plain one.")

    prompt = Prompt(f"1 to {len(names)}", lambda typed: choice(typed, names), explain, explain)
    answer = ask(talk, prompt)
    return replace(asked, group=answer) if isinstance(answer, str) else None


def _kind_prompt(talk: Talk) -> Prompt[int]:
    def read(typed: str) -> int:
        return menu_number(typed, len(KINDS), f"Type a number from 1 to {len(KINDS)}.")

    def explain() -> None:
        talk.screen.say(
            "1 hides one plain fault. 2 hides one that looks like another. 3 hides one that comes "
            "and goes, or two at once. 4 takes what you missed before, or what is due again. 5 "
            "hides one plain fault of a component group that you pick."
        )

    return Prompt(f"1 to {len(KINDS)}, Enter for {KINDS[0]}", read, explain, explain, enter=1)


def _hold(talk: Talk, asked: Asked) -> int:
    """The drill itself; the exit status."""
    bench = asked.bench()
    with patience("Hiding a fault"):
        scenario = asked.scenario(bench)
    room = Room(talk, Session(scenario))
    with completing(lambda typed: candidates(typed, bench, room.session.words)):
        ended = room.hold()
    if ended is None:
        return 0
    with patience("Walking the advised path"):
        found = debrief(room.session, ended)
    trouble = _written_down(asked, found)
    with suppress(KeyboardInterrupt, EOFError):  # by now the drill is over and written down
        pages(talk, debrief_view(talk.screen, found, same_again(asked, scenario)))
    said = f"Written down for {asked.trainee}. See: diagnose drill progress"
    talk.screen.say(trouble or said, "bold" if trouble else "dim")
    return MISTAKE if trouble else 0


def _written_down(asked: Asked, found: Debrief) -> str:
    """Add the drill to the trainee's file; why that is not possible, or ""."""
    try:
        asked.file.add(drilled(found, asked.group))
    except DiagnoseError as problem:
        return f"This drill could not be written down: {problem}"
    return ""


@contextmanager
def completing(offered: Callable[[str], tuple[str, ...]]) -> Iterator[None]:
    """Lets Tab complete a line, where the system has line editing."""
    try:
        import readline
    except ImportError:
        yield
        return

    def complete(typed: str, number: int) -> str | None:
        found = offered(typed)
        return found[number] if number < len(found) else None

    before, delimiters = readline.get_completer(), readline.get_completer_delims()
    readline.set_completer(complete)
    readline.set_completer_delims("")
    readline.parse_and_bind("tab: complete")
    readline.parse_and_bind("set show-all-if-ambiguous on")
    try:
        yield
    finally:
        readline.set_completer(before)
        readline.set_completer_delims(delimiters)


@dataclass
class Room:
    """The trainee at the rig."""

    talk: Talk
    session: Session
    given: Given = field(init=False)
    _shown: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.given = Given(self.scenario.bench.shop.catalogue.cautions)

    @property
    def scenario(self) -> Scenario:
        return self.session.scenario

    def hold(self) -> Conclusion | None:
        """What the trainee concludes; None when they leave for good."""
        self.talk.screen.show(*views.opening_view(self.talk.screen, self.scenario))
        self._warn()
        while True:
            answer = ask(self.talk, self._prompt())
            if answer is Word.MOVED:
                ended = conclusion(self.talk, self.session)
                if ended is not None:
                    return ended
            elif answer is Word.QUIT:
                if self._gives_up():
                    return Conclusion()
            elif isinstance(answer, Word):
                self.talk.screen.say("What is done is done; go on, or type done to conclude.")

    def _prompt(self) -> Prompt[str]:
        return Prompt(
            label=f"{self.session.minutes:g} min, {words.in_state(self.session.state)}, act or ?",
            read=self._do,
            help=lambda: self.talk.screen.show(*views.help_view(self.talk.screen)),
            why=lambda: self.talk.screen.say(self.scenario.told.words),
            words={
                "list": self._list,
                "notes": self._notes,
                "draw": self._draw,
                "done": lambda _: Word.MOVED,
            },
        )

    def _do(self, typed: str) -> str:
        done = self.session.do(typed)
        screen = self.talk.screen
        if isinstance(done, Found):
            question = Question(done.test, done.minutes, None, 0.0)
            screen.show(*map(alert_view, self.given.of_step(question)))
        screen.show(*views.done_view(screen, done, self._band(done)))
        self._warn()
        return typed

    def _warn(self) -> None:
        """The cautions and stops that what is known raises now."""
        screen, stops = self.talk.screen, self.session.stops()
        for alert in self.given.raised(self.session.rules()):
            screen.show(alert_view(alert))
        for stop in stops:
            if stop.id not in self._shown:
                screen.show(*stop_view(stop))
                screen.say("done concludes." if stop.endless else f"Type {SAFE} when that is so.")
        self._shown = {stop.id for stop in stops}

    def _band(self, done: object) -> str:
        """What a sound rig reads, on the level for beginners."""
        if not isinstance(done, Found) or self.scenario.ticket.level > 1:
            return ""
        return views.sound_band(self.scenario, done)

    def _list(self, about: str) -> None:
        pages(self.talk, views.offers_view(self.talk.screen, self.session, about))

    def _notes(self, _: str) -> None:
        pages(self.talk, views.notes_view(self.talk.screen, self.session))

    def _draw(self, _: str) -> None:
        views.draw(self.talk.screen, self.scenario)

    def _gives_up(self) -> bool:
        self.talk.screen.say("Give up, and see what it was? It counts as missed.", "bold")

        def explain() -> None:
            self.talk.screen.say("yes ends the drill with its debrief; no goes on with it.")

        yes = Prompt("yes or no", yes_or_no, explain, explain)
        return ask(self.talk, yes) is True
