"""What a drill shows while the trainee works, and the conclusion that it asks for: the cause, what
is behind it, repair and proof, one by one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import TypeVar

from diagnose.design.drawing import draw
from diagnose.drill.choices import Conclusion, Form, causes_of, form, verification
from diagnose.drill.offers import offers
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Changed, Done, Found, MadeSafe, Session, Stopped
from diagnose.errors import UnknownName, nearest
from diagnose.pages.cautions import LOCAL_CODES
from diagnose.reasoning import words
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.explanation import title, value_words
from diagnose.terminal.layout import NARROW, heading, items, numbered, rows
from diagnose.terminal.plain import Renderable, Screen, mark, para
from diagnose.terminal.prompts import Prompt, Talk, Word, ask, pages, pick

T = TypeVar("T")


def opening_view(screen: Screen, scenario: Scenario) -> Iterator[Renderable]:
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


def help_view(screen: Screen) -> Iterator[Renderable]:
    """What can be typed."""
    yield para("Each act takes its minutes. What could hurt somebody is stopped, and counted.")
    yield para(LOCAL_CODES, "yellow")
    if screen.width >= NARROW:
        yield rows(HELP, [13, None], styles=["bold", ""])
        return
    for typed, meaning in HELP:
        yield mark(typed, "bold")
        yield para(meaning, indent=2)


def done_view(done: Done, beside: Scenario | None = None) -> Iterator[Renderable]:
    """What an act came to. beside: what a sound rig of it reads is said too; None for not."""
    if isinstance(done, Stopped):
        style = "bold red" if done.dangerous else "yellow"
        yield mark(f"{'STOP' if done.dangerous else 'No'}: {done.because}", style)
    elif isinstance(done, Changed):
        yield para(f"Now: {words.STATES[done.state]}")
    elif isinstance(done, MadeSafe):
        yield para("Made safe, as it says. Go on.")
    else:
        yield mark(answer_line(done), "bold")
        if done.note:
            yield para(done.note)
        if beside and isinstance(done.item, Measured):
            sound = beside.bench.healthy.expected(done.item.reading)
            reads = words.band(sound.low, sound.high, done.item.reading)
            yield para(f"A sound rig reads {reads}.", "dim")


def answer_line(done: Found) -> str:
    """The test and what was found, on one line."""
    named = words.of_test(done.test.id)
    if isinstance(done.item, Measured):
        return f"{named} = {value_words(done.item)}"
    if done.meaning:
        return f"{named}: {words.spaced(done.answer)} ({done.meaning})"
    return f"{named}: the meter shows nothing that can be used."


def offers_view(session: Session, about: str) -> Iterator[Renderable]:
    """What can be done: all of it by its first word, or with what it asks where a word is given."""
    found = offers(session, about)
    if not found and session.stops():
        yield para("Nothing of that is done while a stop stands.")
    elif not found:
        yield para(f"Nothing here has to do with {about}.")
    elif about:
        for offer in found:
            yield mark(f"{offer.typed}  ({words.time(offer.minutes)})", "bold")
            yield para(offer.asks, indent=2)
    else:
        ordered = sorted(found, key=lambda offer: offer.typed.split()[0])
        for first, same in groupby(ordered, key=lambda offer: offer.typed.split()[0]):
            rest = [offer.typed[len(first) :].strip() for offer in same]
            yield rows([(first, ", ".join(filter(None, rest)))], [10, None], 0, styles=["bold"])
        yield para("list WORD says what each asks and how long it takes.", "dim")


def notes_view(session: Session) -> Iterator[Renderable]:
    """What was told and found so far."""
    yield para(f'Told: "{session.scenario.told.words}"')
    lines = [answer_line(one) for one in session.found]
    yield from items(lines or ["Nothing was looked at or measured yet."])
    stopped = [f"{one.typed}: {one.because}" for one in session.stopped]
    if stopped:
        yield para("Stopped:", "bold")
        yield from items(stopped)
    yield para(f"{words.time(session.minutes)} so far; {words.in_state(session.state)}.")


def circuit(screen: Screen, scenario: Scenario) -> str:
    """The circuit of the rig, drawn."""
    return draw(scenario.bench.rig, screen.width, not screen.drawn)


def ask_conclusion(talk: Talk, session: Session) -> Conclusion | None:
    """What the trainee concludes; None to go back to the rig."""
    causes = _ask_causes(talk, session.scenario)
    if causes is None:
        return None
    conclusion = Conclusion(causes)
    asking = _Asking(talk, session, form(session.scenario, causes))
    for step in (asking.root_cause, asking.fix, asking.verify):
        after = step(conclusion)
        if after is None:
            return None
        conclusion = after
    return conclusion


def _ask_causes(talk: Talk, scenario: Scenario) -> tuple[str, ...] | None:
    talk.screen.say("What is wrong with it?", "bold")
    prompt = Prompt(
        "failure mode, list, or ?",
        lambda typed: causes_of(typed, scenario),
        "Name the failure mode by its id, by words of its title, or by how it begins; two at once "
        "with and between. list shows those of this rig, list GROUP those of one group. back "
        "returns to the rig.",
        words={"list": lambda about: pages(talk, modes_view(talk.screen, scenario, about))},
    )
    answer = ask(talk, prompt)
    if isinstance(answer, Word):
        return None
    titles = " and ".join(title(scenario.bench.shop.catalogue, cause) for cause in answer)
    talk.screen.say(f"You say: {titles}.")
    return answer


def modes_view(screen: Screen, scenario: Scenario, about: str) -> Iterator[Renderable]:
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


@dataclass(frozen=True)
class _Asking:
    """The questions that follow from the cause that was named."""

    talk: Talk
    session: Session
    form: Form

    def root_cause(self, so_far: Conclusion) -> Conclusion | None:
        alone, of_two = "Why did it come about?", "why did that come about?"
        found, said = self.form.root_causes, [one.say for one in self.form.root_causes]
        chosen = self._choose(self._asked(alone, of_two), said, found)
        return _with(chosen, lambda one: replace(so_far, root_cause=one), so_far)

    def fix(self, so_far: Conclusion) -> Conclusion | None:
        alone, of_two = "What do you do?", "what do you do about that?"
        found, said = self.form.fixes, [one.say for one in self.form.fixes]
        chosen = self._choose(self._asked(alone, of_two), said, found)
        return _with(chosen, lambda one: replace(so_far, fix=one), so_far)

    def _asked(self, alone: str, of_two: str) -> str:
        """A question; where two causes were named, of the first."""
        causes, book = self.form.causes, self.session.scenario.bench.shop.catalogue
        return alone if len(causes) == 1 else f"{title(book, causes[0])}: {of_two}"

    def _choose(self, asked: str, said: Sequence[str], found: Sequence[T]) -> T | Word:
        self.talk.screen.say(asked, "bold")
        self.talk.screen.show(numbered((one,) for one in said))
        told = "One number. unknown if you cannot say; back returns to the rig."
        prompt = Prompt(f"1 to {len(found)}", lambda typed: pick(typed, found), told)
        return ask(self.talk, prompt)

    def verify(self, so_far: Conclusion) -> Conclusion | None:
        self.talk.screen.say("Which reading proves that it is mended?", "bold")
        prompt = Prompt(
            "reading, such as volts 30 87 asked to run",
            lambda typed: verification(self.session, typed),
            "A reading that is wrong now and will be right after the repair. It is only named, not "
            "taken. unknown if you cannot say; back returns to the rig.",
        )
        chosen = ask(self.talk, prompt)
        return _with(chosen, lambda one: replace(so_far, verify=one), so_far)


def _with(
    chosen: T | Word, changed: Callable[[T], Conclusion], so_far: Conclusion
) -> Conclusion | None:
    """The conclusion with what was chosen; as it was when that is not known; None for back."""
    if not isinstance(chosen, Word):
        return changed(chosen)
    return so_far if chosen in (Word.UNKNOWN, Word.SKIP) else None
