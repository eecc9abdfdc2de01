"""The interview about a rig: one question after the other, each with help, why, back and a value
that Enter stands for; and from what was typed to what a rig file says."""

from __future__ import annotations

import re
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Sequence

from diagnose.circuit.bounds import NAME, bounds
from diagnose.circuit.form import COUNT, GAUGE_UNIT, NONE, Field, shipped_form
from diagnose.circuit.listing import ANY, SOLENOID
from diagnose.circuit.rig import Rig
from diagnose.design.describe import Step, completed, rig_of, so_far
from diagnose.design.draft import DONE, Said, has_relay, menu, parts
from diagnose.design.drawing import draw
from diagnose.errors import Mistakes, NotUnderstood, harmless
from diagnose.terminal.layout import NARROW, options_view, rows
from diagnose.terminal.plain import Renderable, Screen, mark, para
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, choice, pages

Reader = Callable[[str], str]
"""From what was typed to an answer."""

PART_NAMES = ("part.name", "load.name")
BARE = re.compile(r"[0-9.,]+")
"""A number without a unit."""

SPARE = 6
"""Lines that a question needs on the screen beside a drawing and its menu."""


class Interview(ABC):
    """All that was told so far, and what was told before each question, for taking back."""

    def __init__(self, talk: Talk) -> None:
        self.talk, self.said = talk, dict[str, str]()
        self.before: list[dict[str, str]] = []

    @abstractmethod
    def next_step(self) -> Step | None:
        """What is asked next; None when all is told."""

    @abstractmethod
    def enter(self, step: Step) -> str:
        """What Enter stands for, as it is shown."""

    @abstractmethod
    def put(self, step: Step, asked: Callable[[], str | Word]) -> str | Word:
        """Ask, and where nobody knows, in whatever way; the answer, BACK or QUIT."""

    def finished(self) -> bool:
        """Ask for all that is left; whether the person stayed to the end. Raises EOFError."""
        while (step := self.next_step()) is not None:
            answer = self._ask(step)
            if answer is Word.QUIT:
                return False
            if answer is Word.BACK:
                self.take_back()
                continue
            assert isinstance(answer, str)
            self.before.append(self.said)
            self.said = with_answer(self.said, step, answer)
        return True

    def take_back(self) -> None:
        """Forget the last answer, and all that followed from it."""
        if self.before:
            self.said = self.before.pop()
        else:
            self.talk.screen.say("This is the first question.")

    def _ask(self, step: Step) -> str | Word:
        screen = self.talk.screen
        if step.place:
            _grown(screen, self.said, step.place)
        screen.say(step.ask, "bold")
        if step.place:
            _menu(screen, step.place)
        elif step.choices:
            screen.show(options_view(screen, step.choices.items()))
        prompt = self._prompt(step)
        return self.put(step, lambda: ask(self.talk, prompt))

    def _prompt(self, step: Step) -> Prompt[str]:
        screen = self.talk.screen

        def draw_so_far(_: str) -> None:
            screen.show(*map(mark, _drawing(screen, self.said)))

        return Prompt(
            f"{step.label}, Enter for {self.enter(step)}",
            reader(step, self.said),
            lambda: pages(self.talk, [para(step.help, indent=2), *_meanings(step.place)]),
            step.field.why,
            words={"draw": draw_so_far} if step.place else {},
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
    return [*draw(rig, screen.width, screen.ascii_only).split("\n"), ""]


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


def _meanings(place: str) -> Iterator[Renderable]:
    """What each kind of the menu is; nothing where no part is asked for."""
    form = shipped_form()
    for number, kind in enumerate(menu(place) if place else (), 1):
        said, what = form.kinds[kind]
        yield rows([(str(number), f"{said}: {what}")], [2, None], right=[0])


def reader(step: Step, said: Said) -> Reader:
    """What reads the answer to a question. Raises DiagnoseError for what cannot be."""
    if step.place:
        return lambda typed: _next_part(step, said, typed)
    if step.field.key == NAME:
        return rig_name
    if step.field.key in PART_NAMES:
        return lambda typed: _fitting(step, said, typed)
    if step.field.many:
        return lambda typed: several(typed, tuple(step.choices))
    if step.choices:
        return lambda typed: one_of(typed, tuple(step.choices))
    return quantity(step.field)


def quantity(field: Field) -> Reader:
    """Takes a quantity within its bounds, as typed, with its unit; a bare number takes that of the
    form."""
    bound = bounds()[field.bound]

    def read(typed: str) -> str:
        if field.unit == GAUGE_UNIT:
            bound.read_gauge(typed)
            return typed
        if field.unit == COUNT:
            if bound.read(typed, "") % 1:
                raise NotUnderstood("A whole number is wanted here, such as 2.")
            return typed
        bound.read(typed, field.unit)
        return f"{typed} {field.unit}" if BARE.fullmatch(typed) else typed

    return read


def one_of(typed: str, options: Sequence[str]) -> str:
    """The option meant, by its number or its words: "pressure switch" is pressure_switch."""
    plain = {_plain(option): option for option in options}
    return plain[choice(_plain(typed), tuple(plain))]


def _plain(words: str) -> str:
    return words.strip().lower().replace("_", "-").replace(" ", "-")


def several(typed: str, options: Sequence[str]) -> str:
    """The options meant, by numbers or words, parted by blanks or commas; or none."""
    if _plain(typed) == NONE:
        return NONE
    words = typed.replace(",", " ").split()
    try:
        return " ".join(dict.fromkeys(one_of(word, options) for word in words))
    except NotUnderstood:
        return one_of(typed, options)


def rig_name(typed: str) -> str:
    """A name on one line that is no longer than a name may be."""
    longest = int(bounds()[NAME].highest)
    if len(typed) > longest or harmless(typed, longest) != typed:
        raise NotUnderstood(f"A name has one line of at most {longest} letters.")
    return typed


def _next_part(step: Step, said: Said, typed: str) -> str:
    """A kind of part, with its name behind a colon, if it has one; or that there is no more."""
    kind, _, name = (word.strip() for word in typed.partition(":"))
    kinds = menu(step.place)
    kind = SOLENOID.get(kind.lower(), kind)
    meant = one_of(kind, kinds if kind.isdigit() else (*kinds, DONE))
    if meant == DONE:
        _enough(step, said)
        return DONE
    return _fitting(step, said, f"{meant}: {name}" if name and meant != ANY else meant)


def _fitting(step: Step, said: Said, answer: str) -> str:
    """The answer, if a rig can have it beside all that was told before."""
    _possible(completed(with_answer(said, step, answer)))
    return answer


def _enough(step: Step, said: Said) -> None:
    """Raises NotUnderstood where something cannot be left out."""
    told = with_answer(said, step, DONE)
    if step.place.endswith(ANY) and len(parts(told, step.place)) < 2:
        raise NotUnderstood("Side by side are two switches at the least.")
    if step.place == "feed" and not parts(told, "feed"):
        raise NotUnderstood("Name one part at the least.")
    if step.place == "control" or (step.place == "feed" and not has_relay(told)):
        _possible(told)


def _possible(told: Said) -> None:
    try:
        rig_of(told)
    except Mistakes as mistakes:
        said = mistakes.problems[0].message
        raise NotUnderstood(f"{said[:1].upper()}{said[1:].rstrip('.')}.") from None


def with_answer(said: Said, step: Step, answer: str) -> dict[str, str]:
    """The answers with one more: that to `step`. A part's own name is an answer of its own."""
    kind, _, name = (word.strip() for word in answer.partition(":"))
    if step.place and name:
        return {**said, step.key: kind, f"{step.key}.name": name}
    return {**said, step.key: answer}
