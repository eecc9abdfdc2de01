"""What a drill shows before and while the trainee works."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby
from typing import TYPE_CHECKING

from diagnose.design.drawing import draw as drawing
from diagnose.drill.offers import Offer, offers
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Changed, Done, Found, MadeSafe, Session, Stopped
from diagnose.errors import UnknownName, nearest
from diagnose.reasoning import words
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.explanation import title, value_words
from diagnose.terminal.cautions import LOCAL_CODES
from diagnose.terminal.layout import NARROW, heading, items, rows
from diagnose.terminal.plain import Screen, mark, para

if TYPE_CHECKING:
    from rich.console import RenderableType


def kinds_view(screen: Screen, kinds: Sequence[str]) -> Iterator[RenderableType]:
    """What can be drilled."""
    yield heading(screen, "Which drill?")
    yield numbered(kinds)


def numbered(texts: Sequence[str]) -> RenderableType:
    """Texts with their numbers."""
    cells = [(str(n), text) for n, text in enumerate(texts, 1)]
    return rows(cells, [2, None], indent=0, styles=["bold", ""], right=[0])


def opening_view(screen: Screen, scenario: Scenario) -> Iterator[RenderableType]:
    """The rig, the complaint, and how to go on."""
    ticket = scenario.ticket
    yield heading(screen, f"Drill {ticket.seed}, level {ticket.level}: {scenario.level.name}")
    yield para(words.rig_line(scenario.bench.rig))
    yield para("")
    yield para(f'The customer says: "{scenario.told.words}"', "bold")
    yield para("")
    yield para("Find what is wrong. Type what you do, as in: listen relay, look fuse holder,")
    yield para("volts 30 87 asked (to run). list shows all of it, ? explains, done concludes.")
    yield para(LOCAL_CODES, "yellow")


HELP = (
    ("volts 30 87", "the meter on volts, red then black; asked, not asked or rest may follow"),
    ("volts fuse", "across a part; volts 87 alone has black on the negative lug"),
    ("ohms coil", "with the battery off only: isolate first"),
    ("amps motor", "a clamp round the lead; peak motor for the surge; temp, psi, bucket"),
    ("look, feel", "and listen, smell, ask, pull, turn, tap, move, swap, lamp, bench motor"),
    ("jumper 30 87", "say which fuse is in it: 15 A, or fused"),
    ("isolate", "and asked, not asked (to run), rest, unplug: the state the rig is in"),
    ("safe", "deal with the stop that stands as it says"),
    ("list WORD", "what can be done, with that word in it; Tab completes"),
    ("notes", "what you have found so far"),
    ("draw", "the circuit with its test points"),
    ("why", "the complaint once more"),
    ("done", "conclude"),
    ("quit", "give up"),
)


def help_view(screen: Screen) -> Iterator[RenderableType]:
    """What can be typed."""
    yield para("Each act takes its minutes. What could hurt somebody is stopped, and counted.")
    yield para(LOCAL_CODES, "yellow")
    if screen.width >= NARROW:
        yield rows(HELP, [13, None], styles=["bold", ""])
        return
    for typed, meaning in HELP:
        yield mark(typed, "bold")
        yield para(meaning, indent=2)


def done_view(screen: Screen, done: Done, band: str) -> Iterator[RenderableType]:
    """What an act came to. band: what a sound rig reads, or ""."""
    if isinstance(done, Stopped):
        yield mark(f"{'STOP' if done.dangerous else 'No'}: {done.because}", _colour(done))
    elif isinstance(done, Changed):
        yield para(f"Now: {words.STATES[done.state]}")
    elif isinstance(done, MadeSafe):
        yield para("Made safe, as it says. Go on.")
    else:
        yield mark(answer_line(done), "bold")
        if done.note:
            yield para(done.note)
        if band:
            yield para(band, "dim")


def _colour(done: Stopped) -> str:
    return "bold red" if done.dangerous else "yellow"


def answer_line(done: Found) -> str:
    """The test and what was found, on one line."""
    if isinstance(done.item, Measured):
        return f"{words.of_test(done.test.id)} = {value_words(done.item)}"
    if done.meaning:
        return f"{words.of_test(done.test.id)}: {words.spaced(done.answer)} ({done.meaning})"
    return f"{words.of_test(done.test.id)}: the meter shows nothing that can be used."


def sound_band(scenario: Scenario, done: Found) -> str:
    """What a sound rig reads there, for a reading; else ""."""
    if not isinstance(done.item, Measured):
        return ""
    reading = done.item.reading
    expected = scenario.bench.healthy.expected(reading)
    return f"A sound rig reads {words.band(expected.low, expected.high, reading)}."


def offers_view(screen: Screen, session: Session, about: str) -> Iterator[RenderableType]:
    """What can be done: all of it by its first word, or with what it asks where a word is given."""
    found = offers(session, about)
    if not found and session.stops():
        yield para("Nothing of that is done while a stop stands.")
    elif not found:
        yield para(f"Nothing here has to do with {about}.")
    elif about:
        yield from _explained(screen, found)
    else:
        yield from _in_short(found)


def _explained(screen: Screen, found: Sequence[Offer]) -> Iterator[RenderableType]:
    for offer in found:
        yield mark(f"{offer.typed}  ({words.time(offer.minutes)})", "bold")
        yield para(offer.asks, indent=2)


def _in_short(found: Sequence[Offer]) -> Iterator[RenderableType]:
    """One paragraph for each first word."""
    ordered = sorted(found, key=lambda offer: offer.typed.split()[0])
    for first, same in groupby(ordered, key=lambda offer: offer.typed.split()[0]):
        rest = [offer.typed[len(first) :].strip() for offer in same]
        yield rows([(first, ", ".join(filter(None, rest)))], [10, None], 0, styles=["bold"])
    yield para("list WORD says what each asks and how long it takes.", "dim")


def notes_view(screen: Screen, session: Session) -> Iterator[RenderableType]:
    """What was told and found so far."""
    yield para(f'Told: "{session.scenario.told.words}"')
    lines = [answer_line(one) for one in session.found]
    yield from items(lines or ["Nothing was looked at or measured yet."])
    stopped = [f"{one.typed}: {one.because}" for one in session.stopped]
    if stopped:
        yield para("Stopped:", "bold")
        yield from items(stopped)
    yield para(f"{words.time(session.minutes)} so far; {words.in_state(session.state)}.")


def modes_view(screen: Screen, scenario: Scenario, about: str) -> Iterator[RenderableType]:
    """The failure modes of the rig, by group. Raises UnknownName."""
    book = scenario.bench.shop.catalogue.failure_modes
    modes = [book[name] for name in scenario.bench.hypotheses.modes]
    groups = list(dict.fromkeys(mode.group for mode in modes))
    wanted = about.strip().lower().replace(" ", "-")
    if wanted and wanted not in groups:
        raise UnknownName("component group", about, None, nearest(wanted, groups), groups)
    for group in [wanted] if wanted else groups:
        yield mark(words.spaced(group), "bold")
        names = [(mode.id, mode.title) for mode in modes if mode.group == group]
        if screen.width >= NARROW:
            yield rows(names, [max(len(name) for name, _ in names), None])
        else:
            yield from items(name for name, _ in names)


def named_view(scenario: Scenario, causes: Sequence[str]) -> Iterator[RenderableType]:
    """What has just been named."""
    titles = " and ".join(title(scenario.bench.shop.catalogue, cause) for cause in causes)
    yield para(f"You say: {titles}.")


def draw(screen: Screen, scenario: Scenario) -> None:
    """The circuit of the rig."""
    for row in drawing(scenario.bench.rig, screen.width, not screen.drawn).split("\n"):
        screen.line(row)
