"""The command rig record: readings of a rig that is known to be sound, kept beside its file, asked
for one by one in the order in which they are best taken."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import partial
from pathlib import Path

from diagnose.casebook.disk import given_path
from diagnose.casebook.rig_record import (
    add_readings,
    copied,
    own_file,
    read_record,
    record_path,
    rig_file_for,
)
from diagnose.catalogue.records import ReadingEntry
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.model import Model
from diagnose.circuit.reading_words import in_words
from diagnose.circuit.rig import Rig, open_rig, rig_called
from diagnose.documents import load
from diagnose.errors import BadDocument, DiagnoseError, Place, every, one_line
from diagnose.pages.cautions import LOCAL_CODES
from diagnose.reasoning import words
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.calibration import CalibratedRig
from diagnose.reasoning.commissioning import CommissioningRecord, parse_date
from diagnose.reasoning.evidence import Measured, check_reading, latest, parse_reading
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.explanation import evidence_in_words, value_words
from diagnose.reasoning.reading_selection import select_readings
from diagnose.terminal import options
from diagnose.terminal.layout import NARROW, block, rows
from diagnose.terminal.plain import BROKEN_OFF, Renderable, Screen, complain, para, patience
from diagnose.terminal.prompts import Keyboard, Prompt, Talk, Word, ask, yes_or_no

SAFETY = "Keep fingers, hair and sleeves off what moves; no rings; eyes covered."

ANSWERS = (
    "The value with its unit, as the meter shows it: 82 mV. skip or unknown leaves one out, back "
    "takes the last one back, quit ends and keeps what was read."
)
WHY = (
    "What the rig reads while it is sound tells later what has changed. A rig held against its own "
    "readings shows a fault that one held against the book hides."
)


class FarOff(DiagnoseError):
    """Readings that hardly any sound rig shows: recorded, the fault would pass as sound."""


def record(
    rig: str, read: list[str] | None, file: Path | None, into: Path | None, on: str, anyway: bool
) -> int:
    """Take the readings, keep them, and show what they say of the rig; the exit status.

    Raises DiagnoseError.
    """
    rig_file = rig_file_for(rig, given_path(into) if into else None)
    here = open_rig(str(rig_file)) if rig_file.is_file() else rig_called(rig)
    taken = parse_date(on, Place("--on")) if on else date.today()
    healthy = Healthy(for_rig(options.shop().catalogue, here), Model.of(here))

    def keep(found: Sequence[Measured]) -> None:
        """Add the readings to the record, and show what it says now. Raises DiagnoseError."""
        screen = Screen.standard()
        if not found:
            screen.say("Nothing was read, and nothing was written.")
            return
        if own_file(rig) is None:
            copied(rig, rig_file.parent)
        path, whole = add_readings(rig_file, here, taken, found)
        with patience("Working out what this rig reads when it is well"):
            known = CalibratedRig(healthy.catalogue, healthy.model, whole)
            own = Healthy(healthy.catalogue, healthy.model, known)
            _ = own.circuits
        screen.show(*view(screen, path, rig_file, whole, own))

    if read or file:
        keep(_check_plausible(_readings(file, read or [], healthy, here), healthy, anyway))
        return 0
    path = record_path(rig_file)
    there = read_record(path, here).on(taken) if path.exists() else ()
    interview = RecordInterview(Talk(Screen.standard(), Keyboard()), here, healthy, there)
    try:
        interview.hold()
    except (EOFError, KeyboardInterrupt):  # what was read before one leaves is kept
        complain("")
        keep(interview.read)
        return BROKEN_OFF
    keep(interview.read)
    return 0


def _readings(
    file: Path | None, texts: Sequence[str], healthy: Healthy, rig: Rig
) -> list[Measured]:
    """The readings of the file, then those of the options, which replace them. Raises Mistakes with
    all that is wrong."""
    book = healthy.catalogue
    of_file, *of_options = every(
        (
            lambda: _of_file(file, healthy, rig) if file else [],
            *(partial(parse_reading, text, book, rig, Place("--read")) for text in texts),
        )
    )
    found = latest([*of_file, *of_options])
    return [item for item in found if isinstance(item, Measured)]


def _of_file(file: Path, healthy: Healthy, rig: Rig) -> list[Measured]:
    """The readings of a file with a list `read:`. Raises Mistakes."""
    document, found = load(file), []
    for line, place in document.placed("read"):
        try:
            found.append(parse_reading(line, healthy.catalogue, rig, place))
        except DiagnoseError as problem:
            document.problem(problem)
    if not document.has("read"):
        missing = "this key is needed here and is missing; under it a list of readings"
        document.problem(BadDocument(missing, document.place_of("read")))
    document.finish()
    return found


def _check_plausible(read: list[Measured], healthy: Healthy, anyway: bool) -> list[Measured]:
    """The readings, unless hardly any sound rig would show one. Raises FarOff."""
    far = [item for item in read if healthy.is_far_off(item)]
    if far and not anyway:
        told = "; ".join(evidence_in_words(item, healthy) for item in far)
        raise FarOff(
            f"Hardly any sound rig of this description reads so: {told}. Nothing was written. Look "
            "for the fault first, or say --anyway if the rig is sound and this is how it reads."
        )
    return read


def view(
    screen: Screen, path: Path, rig_file: Path, whole: CommissioningRecord, own: Healthy
) -> Iterator[Renderable]:
    """Where it stands, and each reading beside what a sound rig and this one should show."""
    days = len(whole.days)
    over = "one day" if days == 1 else f"{days} days"
    yield para(f"Recorded: {path}, {whole.count} readings of {over}.")
    found = {item.id: item for day in whole.days for item in day.read}
    cells = [(item.id, value_words(item), *_bands(item, own)) for item in found.values()]
    table = rows(
        [("", "read", "by the book", "this rig"), *cells], [28, 11, 16, 16], indent=0, right=[1]
    )
    if screen.width < NARROW:
        stacked = [(f"{a} = {b}\n  by the book {c}\n  this rig {d}",) for a, b, c, d in cells]
        table = rows(stacked, [None], indent=0)
    yield from block("What was read, and what is to be read while the rig is well", table)
    yield para("")
    yield para(f"diagnose walk, rank and expect {rig_file} hold the rig against it from now on.")


def _bands(item: Measured, own: Healthy) -> tuple[str, str]:
    """By the book, and of this rig."""
    found = own.expected(item.reading)
    book = found.book or found
    by_the_book = words.band(book.low, book.high, item.reading)
    return by_the_book, words.band(found.low, found.high, item.reading)


@dataclass
class RecordInterview:
    """The readings taken so far. there: what was recorded that day already; _passed: for each test
    that was put, whether something was read; _warned: cautions that were given in full."""

    talk: Talk
    rig: Rig
    healthy: Healthy
    there: Sequence[Measured] = ()
    read: list[Measured] = field(default_factory=list)
    _passed: list[bool] = field(default_factory=list)
    _warned: set[str] = field(default_factory=set)

    def hold(self) -> None:
        """Ask to the end, or until the person has had enough. Raises EOFError."""
        tests = self._tests()
        self._title(len(tests))
        state = ""
        while len(self._passed) < len(tests):
            test = tests[len(self._passed)]
            if test.state != state:
                self.talk.screen.say("")
                self.talk.screen.say(words.STATES[test.state], "bold")
            state = test.state
            answer = self._ask(test, len(tests))
            if answer is Word.QUIT:
                return
            if answer is Word.BACK:
                self._back()
                continue
            if isinstance(answer, Measured):
                self.read.append(answer)
            self._passed.append(isinstance(answer, Measured))

    def _tests(self) -> list[Test]:
        with patience("Working out which readings say most"):
            found = select_readings(self.healthy.catalogue, self.healthy.model)
        known = {item.id for item in self.there}
        return [test for test in found if test.id not in known]

    def _title(self, count: int) -> None:
        screen = self.talk.screen
        screen.say(words.rig_line(self.rig), "bold")
        screen.say(f"{count} readings of a rig that works as it should, charger off.")
        screen.say(SAFETY, "yellow")
        screen.say(LOCAL_CODES, "yellow")
        for item in self.there:
            screen.say(f"Recorded today already: {item.id} = {value_words(item)}", "dim")

    def _back(self) -> None:
        if not self._passed:
            self.talk.screen.say("This is the first one.")
        elif self._passed.pop():
            self.read.pop()

    def _ask(self, test: Test, count: int) -> Measured | Word:
        """One reading; where hardly any sound rig reads so, only when that is meant."""
        self._show(test, count)
        answer = ask(self.talk, self._prompt(test))
        if isinstance(answer, Word) or not self.healthy.is_far_off(answer):
            return answer
        self.talk.screen.say("Hardly any sound rig of this description reads so.", "yellow")
        self.talk.screen.say("Recorded, it would pass as sound. Look again, or for a fault.")
        keep = Prompt(
            "Keep it all the same, yes or no",
            yes_or_no,
            "yes keeps the reading; no leaves it out.",
        )
        meant = ask(self.talk, keep)
        return answer if meant is True else Word.SKIP if meant is False else meant

    def _show(self, test: Test, count: int) -> None:
        screen, entry = self.talk.screen, test.entry
        assert isinstance(entry, ReadingEntry)
        band, number = self.healthy.expected(entry.reading), len(self._passed) + 1
        screen.say("")
        screen.say(f"{number} of {count}: {in_words(entry.reading)}", "bold")
        for name in entry.cautions:
            if name not in self._warned:
                text = one_line(self.healthy.catalogue.cautions[name].text)
                screen.say(f"Caution: {text}", "yellow", indent=2)
        if before := ", ".join(words.spaced(one) for one in entry.cautions if one in self._warned):
            screen.say(f"Cautions as before: {before}.", "yellow", indent=2)
        self._warned.update(entry.cautions)
        screen.say(one_line(entry.how), indent=2)
        sound = words.band(band.low, band.high, entry.reading)
        screen.say(f"Sound rigs of this description read {sound}.", indent=2)

    def _prompt(self, test: Test) -> Prompt[Measured]:
        assert isinstance(test.entry, ReadingEntry)
        reading, book = test.entry.reading, self.healthy.catalogue
        return Prompt(
            f"{reading.quantity}, {reading.unit}",
            lambda typed: check_reading(book, self.rig, reading, typed),
            ANSWERS,
            WHY,
        )
