"""The debrief of a drill: score, what it was, what each act was worth, the advised path."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from diagnose.catalogue.records import FailureMode
from diagnose.circuit.reading_words import in_words
from diagnose.design.volt_plot import SOUND, volt_plot
from diagnose.drill.choices import behind, proofs
from diagnose.drill.debrief import Debrief
from diagnose.drill.marks import SKILLS
from diagnose.drill.moves import Move, needed
from diagnose.drill.offers import short_form
from diagnose.drill.path import Path, Step
from diagnose.errors import lower_first, one_line
from diagnose.pages.cautions import LOCAL_CODES
from diagnose.reasoning import words
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.evidence import Evidence, Measured
from diagnose.reasoning.explanation import title, value_words
from diagnose.terminal.layout import NARROW, blocks, heading, items, rows
from diagnose.terminal.plain import Renderable, Screen, mark, para


def debrief_view(screen: Screen, ended: Debrief, again: str) -> Iterator[Renderable]:
    """The blocks of a debrief. again: the command for the same drill."""
    found = "found" if ended.score.right else "not found"
    yield heading(screen, f"{ended.score.total} of 100: {found}")
    named = (
        ("Marks", _marks(screen, ended)),
        ("What was hidden", _hidden(ended)),
        ("Stops and cautions", _stops(ended)),
        ("What you found, and what it ruled out", _moves(ended)),
        ("What was chance", items(_strays(ended))),
        ("From when on it was provable", [para(_provable(ended), indent=2)]),
        ("Where the volts went", _volts(screen, ended)),
        ("The advised path", _path(ended)),
        ("The same drill again", [para(again, indent=2)]),
    )
    yield from blocks(named)


def _marks(screen: Screen, ended: Debrief) -> Iterator[Renderable]:
    for part in ended.score.marks:
        points = f"{part.got:.0f} of {part.of:.0f}"
        skill = SKILLS[part.skill]
        if screen.width >= NARROW:
            yield rows([(points, f"{skill}: {part.why}")], [8, None], right=[0])
        else:
            yield para(f"{points}, {skill}: {part.why}", indent=2)


def _stops(ended: Debrief) -> Iterator[Renderable]:
    """The stops that were raised, what each asks for, and what was tried against them; local codes
    in any case."""
    book = ended.scenario.bench.shop.catalogue.stops
    tried = Counter(one.name for one in ended.session.stopped)
    for name in ended.session.raised():
        against = f" Against it you tried: {tried[name]}." if tried[name] else ""
        yield from items([f"{book[name].title}: {book[name].ends}{against}"])
        yield from items(book[name].do, "1", indent=4)
    yield para(LOCAL_CODES, "yellow", indent=2)


def _titles(ended: Debrief, modes: tuple[str, ...]) -> str:
    return " and ".join(title(ended.scenario.bench.shop.catalogue, mode) for mode in modes)


def _hidden(ended: Debrief) -> Iterator[Renderable]:
    """What it was, what it does, how it is mended and proved."""
    book, scenario = ended.scenario.bench.shop.catalogue.failure_modes, ended.scenario
    for mode in scenario.truth.modes:
        yield para(f"{book[mode].title} ({mode})", "bold", indent=2)
        yield para(one_line(book[mode].about), indent=2)
    ways = ", ".join(effect.name for effect in scenario.truth.variant.effects)
    yield para(f"Here: {ways}.", indent=2)
    causes = ended.conclusion.causes
    if causes and set(causes) != set(scenario.truth.modes):
        yield para(f"You said: {_titles(ended, causes)}.", indent=2)
    for mode in scenario.truth.modes:
        yield from _behind(ended, book[mode])
    mends = ", ".join(sorted(words.spaced(repair) for repair in scenario.repairs))
    reads = ", ".join(in_words(reading) for reading in proofs(scenario))
    yield para(f"Mended by: {mends}. Proved by: {reads}.", indent=2)


def _behind(ended: Debrief, mode: FailureMode) -> Iterator[Renderable]:
    """What may have brought it about; of two faults, which of them is said."""
    alone = len(ended.scenario.truth.modes) == 1
    yield para("Behind it:" if alone else f"Behind it, {lower_first(mode.title)}:", indent=2)
    yield from items(behind(ended.scenario, mode), indent=4)


def _moves(ended: Debrief) -> Iterator[Renderable]:
    lines = [f"{_found(move)}. {_worth(ended, move)}" for move in ended.moves]
    yield from (
        items(lines, "1") if lines else [para("Nothing was looked at or measured.", indent=2)]
    )


def _strays(ended: Debrief) -> Iterator[str]:
    for one in ended.strays:
        found, most = words.spaced(one.found), words.spaced(one.usual)
        yield f"{one.test}: {found}. Most rigs with this fault show {most}."


def _found(move: Move) -> str:
    return _answer(move.found.test, move.found.item, move.found.answer)


def _answer(test: Test, item: Evidence | None, answer: str) -> str:
    """A test and what was found by it."""
    return (
        f"{test.id} = {value_words(item)}" if isinstance(item, Measured) else f"{test.id}: {answer}"
    )


def _worth(ended: Debrief, move: Move) -> str:
    """What a finding did to the ranking: the fault itself, then what it ruled out."""
    chance, book = _chance(ended, move), ended.scenario.bench.shop.catalogue
    lost = [
        f"{lower_first(title(book, name))} {_from_to(before, after)}"
        for name, before, after in move.ruled_out
    ]
    return f"{chance}; ruled out: {', '.join(lost)}." if lost else f"{chance}; ruled out nothing."


def _chance(ended: Debrief, move: Move) -> str:
    """The fault before and after; of two faults, each of them and both at once."""
    if len(ended.scenario.repairs) == 1:
        return f"The fault {_from_to(move.before, move.after, needed(ended.scenario))}"
    book = ended.scenario.bench.shop.catalogue
    each = [f"{title(book, mode)} {_from_to(was, now)}" for mode, was, now in move.each]
    both = f"both at once {_from_to(move.before, move.after, needed(ended.scenario))}"
    return ", ".join([*each, both])


def _from_to(before: float, after: float, enough: float = 0.0) -> str:
    first, last = _percent(before, enough), _percent(after, enough)
    return f"stays at {last}" if first == last else f"{first} to {last}"


def _percent(chance: float, enough: float) -> str:
    """A probability; one that is rounded up to what is enough says so."""
    said = words.per_cent(chance)
    return f"just under {said}" if chance < enough and said == words.per_cent(enough) else said


def _provable(ended: Debrief) -> str:
    enough = words.per_cent(needed(ended.scenario))
    if ended.provable is None:
        what = "it" if len(ended.scenario.repairs) == 1 else "both at once"
        said = f"Never: the ranking did not come to stand at {enough} or more on {what}."
        if ended.missing is None:
            return said
        typed = short_form(ended.missing, ended.session.words)
        return f"{said} Most would have been settled next by: {typed}."
    if ended.provable == 0:
        return f"The complaint alone put it at {enough} or more."
    move = ended.moves[ended.provable - 1]
    spent = sum(one.found.minutes for one in ended.moves[: ended.provable])
    after = len(ended.moves) - ended.provable
    more = f" The {after} after it were not needed." if after > 1 else ""
    return (
        f"From number {ended.provable} on, {_found(move)}: the ranking stood at "
        f"{words.per_cent(move.after)}, after {words.time(spent)} of looking and measuring.{more}"
    )


def _volts(screen: Screen, ended: Debrief) -> Iterator[Renderable]:
    yield para(f"Black on battery-, pump asked to run; {SOUND} is a sound rig.", "dim", indent=2)
    for bar in volt_plot(ended.volts, screen.width, not screen.drawn):
        yield mark(bar)


def _path(ended: Debrief) -> Iterator[Renderable]:
    """What the walk would have asked, what it found, why it asked, and where that led."""
    path, subject = ended.path, "The fault"
    if len(ended.scenario.repairs) > 1:
        subject = "One of the two"
    yield from items((_step(ended, step, subject) for step in path.steps), "1")
    yield para(f"It ends on: {_end(ended, path)}", indent=2)
    if path.then:
        yield para("With that mended, the pump is asked to run again:", indent=2)
        then = path.then
        yield from items((_step(ended, step, "The other fault") for step in then.steps), "1")
        yield para(f"It ends on: {_end(ended, then)}", indent=2)
    yield para(f"{words.time(path.minutes).capitalize()} in all.", indent=2)


def _end(ended: Debrief, path: Path) -> str:
    missed = "" if path.right else " It would have missed what was hidden."
    return f"{_titles(ended, (path.cause,))}.{missed}"


def _step(ended: Debrief, step: Step, subject: str) -> str:
    test = step.question.test
    typed = short_form(test, ended.session.words)
    found = _answer(test, step.item, step.answer)
    chance = _from_to(step.before, step.after)
    return f"{typed} ({words.time(step.minutes)}). {found}. {subject} {chance}. {step.why}"
