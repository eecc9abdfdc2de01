"""The command rig record: readings of a rig that is known to be sound, kept beside its file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
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
from diagnose.catalogue.expanding import for_rig
from diagnose.circuit.operate import Model
from diagnose.circuit.rig import Rig, open_rig
from diagnose.documents import load
from diagnose.errors import BadDocument, DiagnoseError, Mistakes, Place
from diagnose.reasoning.calibration import CalibratedRig
from diagnose.reasoning.commissioning import CommissioningRecord, parse_date
from diagnose.reasoning.evidence import Measured, latest, parse_reading
from diagnose.reasoning.expectations import Healthy
from diagnose.reasoning.explanation import evidence_in_words
from diagnose.terminal import options
from diagnose.terminal.plain import BROKEN_OFF, Screen, complain, patience
from diagnose.terminal.prompts import Keyboard, Talk
from diagnose.terminal.rig.record_interview import Asking
from diagnose.terminal.rig.record_view import recorded_view


class FarOff(DiagnoseError):
    """Readings that hardly any sound rig shows: recorded, the fault would pass as sound."""


@dataclass(frozen=True)
class Given:
    """What stood on the command line. anyway: keep readings that hardly any sound rig shows."""

    rig: str
    read: Sequence[str] = ()
    file: Path | None = None
    into: Path | None = None
    on: str = ""
    anyway: bool = False


def record(given: Given) -> int:
    """Take the readings, keep them, and show what they say of the rig; the exit status.

    Raises DiagnoseError.
    """
    into = given_path(given.into) if given.into else None
    rig_file = rig_file_for(given.rig, into)
    rig = open_rig(str(rig_file)) if rig_file.is_file() else options.rig_called(given.rig)
    taken = parse_date(given.on, Place("--on")) if given.on else date.today()
    book = options.shop().catalogue
    healthy = Healthy(for_rig(book, rig), Model.of(rig))
    keep = _Keeping(given, rig_file, rig, healthy, taken)
    if given.read or given.file:
        keep.keep(_checked(_given(given, healthy, rig), healthy, given.anyway))
        return 0
    return keep.asked()


@dataclass(frozen=True)
class _Keeping:
    """Where the readings of one day go."""

    given: Given
    rig_file: Path
    rig: Rig
    healthy: Healthy
    taken: date

    def asked(self) -> int:
        """Ask one by one; what was read before one leaves is kept."""
        talk = Talk(Screen.standard(), Keyboard())
        asking = Asking(talk, self.rig, self.healthy, self._there())
        try:
            asking.hold()
        except (EOFError, KeyboardInterrupt):
            complain("")
            self.keep(asking.read)
            return BROKEN_OFF
        self.keep(asking.read)
        return 0

    def _there(self) -> tuple[Measured, ...]:
        """What was recorded that day already. Raises DiagnoseError: the record cannot be read."""
        path = record_path(self.rig_file)
        return read_record(path, self.rig).on(self.taken) if path.exists() else ()

    def keep(self, read: Sequence[Measured]) -> None:
        """Add the readings to the record, and show what it says now. Raises DiagnoseError."""
        screen = Screen.standard()
        if not read:
            screen.say("Nothing was read, and nothing was written.")
            return
        if own_file(self.given.rig) is None:
            copied(self.given.rig, self.rig_file.parent)
        path, whole = add_readings(self.rig_file, self.rig, self.taken, read)
        screen.show(*recorded_view(screen, path, self.rig_file, whole, self._own(whole)))

    def _own(self, whole: CommissioningRecord) -> Healthy:
        """What this rig reads when it is well, by all that was recorded."""
        with patience("Working out what this rig reads when it is well"):
            book, model = self.healthy.catalogue, self.healthy.model
            own = Healthy(book, model, CalibratedRig(book, model, whole))
            _ = own.circuits
        return own


def _given(given: Given, healthy: Healthy, rig: Rig) -> list[Measured]:
    """The readings of the file, then those of the options, which replace them. Raises Mistakes with
    all that is wrong."""
    found: list[Measured] = []
    problems: list[DiagnoseError] = []
    try:
        found += _of_file(given.file, healthy, rig) if given.file else []
    except DiagnoseError as problem:
        problems.append(problem)
    for text in given.read:
        try:
            found.append(parse_reading(text, healthy.catalogue, rig, Place("--read")))
        except DiagnoseError as problem:
            problems.append(problem)
    if problems:
        raise Mistakes(problems)
    return [item for item in latest([*found]) if isinstance(item, Measured)]


def _of_file(file: Path, healthy: Healthy, rig: Rig) -> list[Measured]:
    """The readings of a file with a list `read:`. Raises Mistakes."""
    document, found = load(file), []
    for line, place in document.placed("read"):
        try:
            found.append(parse_reading(line, healthy.catalogue, rig, place))
        except DiagnoseError as problem:
            document.problem(problem)
    if not document.has("read"):
        said = "this key is needed here and is missing; under it a list of readings"
        document.problem(BadDocument(said, document.place_of("read")))
    document.finish()
    return found


def _checked(read: list[Measured], healthy: Healthy, anyway: bool) -> list[Measured]:
    """The readings, unless hardly any sound rig would show one. Raises FarOff."""
    far = [item for item in read if healthy.is_far_off(item)]
    if far and not anyway:
        told = "; ".join(evidence_in_words(item, healthy) for item in far)
        raise FarOff(
            f"Hardly any sound rig of this description reads so: {told}. Nothing was written. Look "
            "for the fault first, or say --anyway if the rig is sound and this is how it reads."
        )
    return read
