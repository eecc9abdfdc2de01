"""The command drill, on the screen: the complaint, what the trainee does, what the rig answers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field, replace
from typing import Any

from diagnose.drill.choices import Conclusion
from diagnose.drill.debrief import debrief
from diagnose.drill.hidden import LEVELS
from diagnose.drill.offers import candidates
from diagnose.drill.record import drilled
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Found, Session
from diagnose.errors import DiagnoseError
from diagnose.pages.cautions import Cautions
from diagnose.reasoning import words
from diagnose.terminal.drill import views
from diagnose.terminal.drill.choice import DrillChoice
from diagnose.terminal.drill.debrief import debrief_view
from diagnose.terminal.drill.lines import drill_by_lines
from diagnose.terminal.layout import heading, numbered
from diagnose.terminal.plain import BROKEN_OFF, MISTAKE, Screen, complain, patience
from diagnose.terminal.prompts import (
    Keyboard,
    Prompt,
    Talk,
    Word,
    ask,
    ask_yes_no,
    choice,
    pages,
    pick,
)
from diagnose.terminal.stops import SAFE, alert_view, stop_view
from diagnose.walkthrough import Question

KINDS = (*(level.name for level in LEVELS), "what I get wrong", "one component group")
WRONG, GROUP = 4, 5
"""Numbers of the kinds that are no level."""


def drill(json_lines: bool, level: int | None, **said: Any) -> int:
    """One drill; its exit status. Raises DiagnoseError."""
    chosen = DrillChoice(level=level or 0, **said)
    if json_lines:
        return 0 if drill_by_lines(chosen) else MISTAKE
    return _on_screen(chosen)


def _on_screen(chosen: DrillChoice) -> int:
    """One drill from its choice to its debrief; the exit status. Raises DiagnoseError."""
    talk = Talk(Screen.standard(), Keyboard())
    chosen.named_rig()
    try:
        kind = _ask_kind(talk, chosen) if chosen.is_open else chosen
        return _hold(talk, kind) if kind else 0
    except (KeyboardInterrupt, EOFError):
        complain("\nBroken off; nothing was written down.")
        return BROKEN_OFF


def _ask_kind(talk: Talk, chosen: DrillChoice) -> DrillChoice | None:
    """The kind of drill, where it was left open; None to leave."""
    talk.screen.show(heading(talk.screen, "Which drill?"), numbered((kind,) for kind in KINDS))
    answer = ask(talk, _kind_prompt())
    if isinstance(answer, Word):
        return None
    number = KINDS.index(answer) + 1
    if number == GROUP:
        return _ask_group(talk, chosen)
    return replace(chosen, wrong=True) if number == WRONG else replace(chosen, level=number)


def _kind_prompt() -> Prompt[str]:
    return Prompt(
        f"1 to {len(KINDS)}, Enter for {KINDS[0]}",
        lambda typed: pick(typed, KINDS),
        "1 hides one plain fault. 2 hides one that looks like another. 3 hides one that comes and "
        "goes, or two at once. 4 takes what you missed before, or what is due again. 5 hides one "
        "plain fault of a component group that you pick.",
        enter=KINDS[0],
    )


def _ask_group(talk: Talk, chosen: DrillChoice) -> DrillChoice | None:
    """A drill of the component group that is picked; None to leave."""
    names = chosen.groups()
    talk.screen.say("Which component group?", "bold")
    talk.screen.show(numbered((words.spaced(name),) for name in names))
    told = "A number or a name. The fault is then out of that group, and a plain one."
    answer = ask(talk, Prompt(f"1 to {len(names)}", lambda typed: choice(typed, names), told))
    return None if isinstance(answer, Word) else replace(chosen, group=answer)


def _hold(talk: Talk, chosen: DrillChoice) -> int:
    """The drill itself; the exit status."""
    bench = chosen.bench()
    with patience("Hiding a fault"):
        scenario = chosen.scenario(bench)
    room = Room(talk, Session(scenario))
    with completion(lambda typed: candidates(typed, bench, room.session.words)):
        ended = room.hold()
    if ended is None:
        return 0
    with patience("Walking the advised path"):
        found = debrief(room.session, ended)
    said, style, status = (
        f"Written down for {chosen.trainee}. See: diagnose drill progress",
        "dim",
        0,
    )
    try:
        chosen.file.add(drilled(found, chosen.group))
    except DiagnoseError as problem:
        said, style, status = f"This drill could not be written down: {problem}", "bold", MISTAKE
    with suppress(KeyboardInterrupt, EOFError):  # by now the drill is over and written down
        pages(talk, debrief_view(talk.screen, found, chosen.same_again(scenario)))
    talk.screen.say(said, style)
    return status


@contextmanager
def completion(offered: Callable[[str], tuple[str, ...]]) -> Iterator[None]:
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
    given: Cautions = field(init=False)
    _shown: set[str] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.given = Cautions(self.scenario.bench.shop.catalogue.cautions)

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
                ended = views.ask_conclusion(self.talk, self.session)
                if ended is not None:
                    return ended
            elif answer is Word.QUIT:
                if self._gives_up():
                    return Conclusion()
            elif isinstance(answer, Word):
                self.talk.screen.say("What is done is done; go on, or type done to conclude.")

    def _prompt(self) -> Prompt[str]:
        screen = self.talk.screen
        return Prompt(
            label=f"{self.session.minutes:g} min, {words.in_state(self.session.state)}, act or ?",
            read=self._do,
            help=lambda: screen.show(*views.help_view(screen)),
            why=self.scenario.told.words,
            words={
                "list": lambda about: pages(self.talk, views.offers_view(self.session, about)),
                "notes": lambda _: pages(self.talk, views.notes_view(self.session)),
                "draw": lambda _: screen.drawing(views.circuit(screen, self.scenario)),
                "done": lambda _: Word.MOVED,
            },
        )

    def _do(self, typed: str) -> str:
        done = self.session.do(typed)
        screen = self.talk.screen
        if isinstance(done, Found):
            question = Question(done.test, done.minutes, None, 0.0)
            screen.show(*map(alert_view, self.given.of_step(question)))
        level_1 = self.scenario.ticket.level == 1
        screen.show(*views.done_view(done, self.scenario if level_1 else None))
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

    def _gives_up(self) -> bool:
        asked = "Give up, and see what it was? It counts as missed."
        told = "yes ends the drill with its debrief; no goes on with it."
        return ask_yes_no(self.talk, asked, told) is True
