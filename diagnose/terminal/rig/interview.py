"""The interview about a rig: one question after the other, each with help, why, back and a value
that Enter stands for."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Protocol

from diagnose.circuit.form import shipped_form
from diagnose.circuit.listing import ANY
from diagnose.circuit.rig import Rig
from diagnose.design.describe import Step, so_far
from diagnose.design.draft import DONE, Said, has_relay, menu, parts
from diagnose.design.drawing import draw
from diagnose.terminal.layout import NARROW, rows
from diagnose.terminal.paging import pages
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.prompts import Prompt, Talk, Word, ask
from diagnose.terminal.rig.answers import answered, taker
from diagnose.terminal.walk.question_view import options_view

if TYPE_CHECKING:
    from rich.console import RenderableType

Following = Callable[[Said], Step | None]
"""What is asked next; None when all is told."""

SPARE = 6
"""Lines that a question needs on the screen beside a drawing and its menu."""


class Manner(Protocol):
    """What an interview does with Enter and with what nobody knows."""

    def enter(self, step: Step, said: Said) -> str:
        """What Enter stands for, as it is shown."""
        ...

    def put(
        self, talk: Talk, step: Step, said: Said, asked: Callable[[], str | Word]
    ) -> str | Word:
        """Ask, in whatever way; the answer, BACK or QUIT."""
        ...


class Interview:
    """All that was told so far, and what was told before each question, for taking back."""

    def __init__(self, talk: Talk, following: Following, manner: Manner) -> None:
        self.talk, self.following, self.manner = talk, following, manner
        self.said: dict[str, str] = {}
        self.before: list[dict[str, str]] = []

    def finished(self) -> bool:
        """Ask for all that is left; whether the person stayed to the end. Raises EOFError."""
        while (step := self.following(self.said)) is not None:
            answer = self._asked(step)
            if answer is Word.QUIT:
                return False
            if answer is Word.BACK:
                self.take_back()
                continue
            assert isinstance(answer, str)
            self.before.append(self.said)
            self.said = answered(self.said, step, answer)
        return True

    def take_back(self) -> None:
        """Forget the last answer, and all that followed from it."""
        if not self.before:
            self.talk.screen.say("This is the first question.")
            return
        self.said = self.before.pop()

    def _asked(self, step: Step) -> str | Word:
        self._show(step)
        prompt = self._prompt(step)
        return self.manner.put(self.talk, step, self.said, lambda: ask(self.talk, prompt))

    def _show(self, step: Step) -> None:
        screen = self.talk.screen
        if step.place:
            _grown(screen, self.said, step.place)
        screen.say(step.ask, "bold")
        if step.place:
            _menu(screen, step.place)
        elif step.choices:
            screen.show(options_view(screen, step.choices.items()))

    def _prompt(self, step: Step) -> Prompt[str]:
        screen = self.talk.screen

        def drawn(_: str) -> None:
            screen.show(*map(mark, _drawing(screen, self.said)))

        def helped() -> None:
            pages(self.talk, [para(step.help, indent=2), *_meanings(step.place)])

        return Prompt(
            f"{step.label}, Enter for {self.manner.enter(step, self.said)}",
            taker(step, self.said),
            help=helped,
            why=lambda: screen.say(step.field.why),
            words={"draw": drawn} if step.place else {},
            enter=Word.SKIP,
        )


def _grown(screen: Screen, said: Said, place: str) -> None:
    """The rig so far: drawn where the screen has room for it, else in a line."""
    lines = _drawing(screen, said)
    if len(lines) <= screen.height - SPARE - len(menu(place)) // 2:
        screen.show(*map(mark, lines))
    else:
        screen.say("\n".join(_way(said, place)))


def _drawing(screen: Screen, said: Said) -> list[str]:
    """The circuit as far as it can be drawn: not before anything is listed, nor with a relay of
    whose coil nothing is known."""
    if not parts(said, "feed") or (has_relay(said) and not parts(said, "control")):
        return _way(said, "feed")
    return drawing(screen, so_far(said))


def drawing(screen: Screen, rig: Rig) -> list[str]:
    """The circuit of a rig, line by line."""
    plain = not screen.console.encoding.startswith("utf")
    return [*draw(rig, screen.width, plain).split("\n"), ""]


def _way(said: Said, place: str) -> list[str]:
    """The parts so far as one line: of the feed, and of the coil's line once it is asked for."""
    feed = _names(said, "feed")
    if place == "feed":
        return [" - ".join(["battery", *feed, "?"])]
    thin = _names(said, "control")
    return [
        " - ".join(["battery", *feed, "pump"]),
        " - ".join([said.get("control.tap", ""), *thin, "?"]),
    ]


def _names(said: Said, place: str) -> list[str]:
    return [
        "/".join(one.said for one in part.inside) + "/.." if part.kind == ANY else part.said
        for part in parts(said, place)
    ]


def _menu(screen: Screen, place: str) -> None:
    """The kinds with their numbers, in columns where there is room; done beside them."""
    form = shipped_form()
    found = [f"{n:>2} {form.said(kind)}" for n, kind in enumerate(menu(place), 1)]
    found.append(f"   {DONE}")
    columns = 3 if screen.width >= NARROW else 1
    length = -(-len(found) // columns)
    cells = [[found[i] for i in range(row, len(found), length)] for row in range(length)]
    width = max(map(len, found))
    screen.show(rows([[*row, *[""] * (columns - len(row))] for row in cells], [width] * columns))


def _meanings(place: str) -> list[RenderableType]:
    """What each kind of the menu is; nothing where no part is asked for."""
    form = shipped_form()
    called = [form.kinds[kind] for kind in (menu(place) if place else ())]
    return [
        rows([(str(n), f"{said}: {what}")], [2, None], right=[0])
        for n, (said, what) in enumerate(called, 1)
    ]
