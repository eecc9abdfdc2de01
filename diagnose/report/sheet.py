"""What a build sheet says: the parts of one rig, what it should read, what was checked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

from diagnose.catalogue.checklist import checklist_for
from diagnose.catalogue.records import Catalogue
from diagnose.circuit.model import Model
from diagnose.circuit.network import points_on
from diagnose.circuit.reading_words import in_words
from diagnose.circuit.rig import Rig
from diagnose.design.check import check, leaned_on
from diagnose.design.facts import rig_facts
from diagnose.design.finding import Finding, Severity
from diagnose.design.plan import Plan
from diagnose.design.site import site
from diagnose.reasoning.calibration import CalibratedRig
from diagnose.reasoning.commissioning import CommissioningRecord, dates_in_words
from diagnose.reasoning.expectations import Healthy, predicted_readings, volts_along_the_circuit
from diagnose.reasoning.reading_selection import select_readings
from diagnose.reasoning.words import band, rig_line, spaced
from diagnose.report.markup import line
from diagnose.report.sheet_parts import Item, Run, crimps, fuses, parts_of, runs_of, to_cut

CAUTIONS = ("battery-short", "never-larger-fuse", "hot-part", "water-and-mains", "local-codes")
"""What to mind while a rig is built: ids of cautions."""

LITHIUM = "lithium-battery"
"""The caution of a battery of that kind."""

CHIEF = (
    "voltage battery+ battery- rest",
    "voltage fuse.in fuse.out calling",
    "voltage relay.30 relay.87 calling",
    "voltage pswitch.in pswitch.out calling",
    "voltage float.in float.out calling",
    "voltage motor+ motor- calling",
    "voltage motor- lug- calling",
    "current motor-feed calling",
    "pressure outlet calling",
    "pressure outlet satisfied",
)
"""The readings of a sheet beside the volts of every point."""


@dataclass(frozen=True)
class Change:
    """A check that the rig does not pass. unsafe: it is not to be used so; usual: keys of the rig
    file that were taken as usual, so that the rig is looked at first."""

    name: str
    what: str
    do: str
    unsafe: bool
    usual: tuple[str, ...]


@dataclass(frozen=True)
class Sheet:
    """One rig for the bench; book: the knowledge, its parts called by their names; own: what the
    rig itself read when it was new, if that was recorded."""

    rig: Rig
    book: Catalogue
    own: CommissioningRecord | None = None

    @cached_property
    def plan(self) -> Plan:
        return Plan(Model.of(self.rig), site())

    @cached_property
    def healthy(self) -> Healthy:
        model = self.plan.model
        known = CalibratedRig(self.book, model, self.own) if self.own else None
        return Healthy(self.book, model, known)

    @property
    def about(self) -> str:
        """What kind of rig it is, its name left out."""
        return rig_line(self.rig).removeprefix(f"{self.rig.name}: ")

    @property
    def parts(self) -> tuple[Item, ...]:
        return tuple(parts_of(self.rig))

    @property
    def runs(self) -> tuple[Run, ...]:
        return tuple(runs_of(self.plan))

    @property
    def wire(self) -> tuple[str, ...]:
        """What to cut and to crimp, in sentences."""
        return (*to_cut(self.plan), crimps(self.runs), fuses(self.rig))

    @cached_property
    def points(self) -> tuple[tuple[str, str], ...]:
        """Volts of every test point against battery-, asked to run: name and band."""
        volts = volts_along_the_circuit(self.rig, self.healthy, None)
        assert len(volts) == len(points_on(self.rig)) - 1
        return tuple(
            (one.reading.points[0], band(one.sound.low, one.sound.high, one.reading))
            for one in volts
        )

    @cached_property
    def readings(self) -> tuple[tuple[str, str], ...]:
        """The chief readings, and those that a record is best made of: name and band."""
        best = {test.id for test in select_readings(self.book, self.plan.model)}
        lines = predicted_readings(self.rig, self.plan.model, self.healthy, None)
        return tuple(
            (in_words(one.reading), band(one.sound.low, one.sound.high, one.reading))
            for one in lines
            if str(one.reading) in (*CHIEF, *best)
        )

    @property
    def held(self) -> str:
        """Whose readings these are."""
        if self.own:
            return dates_in_words(self.own)
        return "By the book: a sound rig so built reads between these."

    @cached_property
    def findings(self) -> tuple[Finding, ...]:
        return check(self.plan)

    @property
    def passed(self) -> tuple[str, ...]:
        """Names of the checks that the rig passes."""
        return tuple(spaced(one.id) for one in self.findings if one.severity is Severity.FINE)

    @property
    def notes(self) -> tuple[str, ...]:
        """What is in order within limits that the builder has to judge."""
        return tuple(line(one.what) for one in self.findings if one.severity is Severity.NOTE)

    @property
    def changes(self) -> tuple[Change, ...]:
        return tuple(self._changes(self.findings))

    def _changes(self, findings: Sequence[Finding]) -> Iterator[Change]:
        for one in findings:
            if one.severity in (Severity.UNSAFE, Severity.SHOULD_CHANGE):
                unsafe, usual = one.severity is Severity.UNSAFE, leaned_on(self.rig, one)
                yield Change(spaced(one.id), line(one.what), line(one.change), unsafe, usual)

    @property
    def verdict(self) -> str:
        """How the checks went, in a sentence."""
        unsafe = sum(one.unsafe for one in self.changes)
        left = len(self.changes) - unsafe
        if unsafe:
            return f"NOT TO BE USED AS IT IS: {unsafe} unsafe, {left} to change."
        return f"{left} to change before it is built." if left else "Nothing to change."

    @property
    def look(self) -> tuple[str, ...]:
        """What only a look at the finished rig shows."""
        return tuple(line(item.ask) for item in checklist_for(self.plan.model))

    @property
    def cautions(self) -> tuple[str, ...]:
        lithium = rig_facts(self.plan.model).get("battery-kind") == "lithium"
        names = (*((LITHIUM,) if lithium else ()), *CAUTIONS)
        return tuple(line(self.book.cautions[name].text) for name in names)

    @property
    def usual(self) -> tuple[str, ...]:
        """Keys of the rig file that were taken as usual."""
        return self.rig.assumed
