"""What other programs may use: open a rig, rank what was found, ask what to test next, expect.

The names are given on by `diagnose` itself, where the first use of one loads what it needs. What a
function takes is what stands on the command line; what it gives is frozen records of plain values.
Whatever a caller can put right is raised as one of the family in diagnose.errors.

Source of every figure: the rig's own circuit, solved, and the files under knowledge/ (README.md,
"What it rests on").
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache, partial
from os import PathLike, fspath

from diagnose.api_records import (
    ExpectedReading,
    NextTest,
    OpenedRig,
    RaisedDanger,
    Ranked,
    RankedCause,
)
from diagnose.bench import Bench, Shop
from diagnose.casebook.rig_record import readings_beside
from diagnose.catalogue.records import Observation
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig, rig_called
from diagnose.design.facts import rig_facts
from diagnose.errors import Place, every
from diagnose.outcome import Result, cause_title, conclude
from diagnose.reasoning.commissioning import CommissioningRecord
from diagnose.reasoning.evidence import Evidence, parse_answer, parse_reading
from diagnose.reasoning.expectations import PredictedReading, fault_in, predicted_readings
from diagnose.reasoning.stops import ActiveStop
from diagnose.reasoning.words import rig_line
from diagnose.walkthrough import Question, Walk

RIGS_KEPT = 2
"""Rigs whose circuits are kept for the next call: each took seconds to work out."""


def open_rig(name: str | PathLike[str]) -> OpenedRig:
    """A rig from its file, or one that comes with the program by its name.

    A record of its own readings beside the file is taken along (`diagnose rig record`). Raises
    DiagnoseError: there is no such rig, or Mistakes with every problem of the file.

    >>> rig = open_rig("mist-bench")
    >>> rig.in_a_line
    'propagation mist bench: direct, pressure switch, 7.5 A pump, 10 A fuse, 4 mm2'
    >>> rig.described.pump_current      # [A]
    7.5
    >>> open_rig("mistbench")
    Traceback (most recent call last):
    diagnose.errors.UnknownName: there is no rig called 'mistbench'. Did you mean 'mist-bench'?
    """
    rig = rig_called(fspath(name))
    own = readings_beside(fspath(name), rig)
    return OpenedRig(rig.name, rig_line(rig), rig.assumed, rig, own)


def rank(
    rig: OpenedRig,
    seen: Iterable[str] = (),
    read: Iterable[str] = (),
    made_safe: Iterable[str] = (),
) -> Ranked:
    """The causes, likeliest first, and the next test, from what was seen and read.

    seen: "observation=answer"; read: "reading = value with its unit"; made_safe: stops that have
    been dealt with. Of two results of one test the later counts. By the book and the rig's own
    record, without the shop's cases. The first call for a rig takes seconds. Raises Mistakes with
    every finding that cannot be taken, or NoSuchStop.

    >>> rig = open_rig("mist-bench")
    >>> rank(rig).next_test.name        # with nothing known: the complaint
    'pump-action'
    >>> found = rank(
    ...     rig,
    ...     seen=["pump-action=slow"],
    ...     read=["voltage pswitch.in pswitch.out calling = 2.9 V"],
    ... )
    >>> found.causes[0].failure_mode
    'pressure-switch-burnt'
    >>> round(sum(cause.probability for cause in found.causes), 6)
    1.0
    >>> rank(rig, seen=["pump-action=slwo"])
    Traceback (most recent call last):
    diagnose.errors.Mistakes: seen: there is no answer to pump-action called 'slwo'. ...
    """
    findings = _findings(rig.described, seen, read)
    walk = Walk(_bench(rig.described, rig._own))
    walk.tell(findings)
    for stop in _each(made_safe):
        walk.made_safe(stop)
    question = walk.question()
    return _ranked(walk, question, conclude(walk))


def expect(
    rig: OpenedRig, fault: str = "", severity: str = "middling"
) -> tuple[ExpectedReading, ...]:
    """What every reading that fits the rig should be, sound and with one fault.

    fault: the id of a failure mode, "" for none; severity: mild, middling, severe or total. Raises
    UnknownName, or NotOnThisRig where the rig cannot have the fault.

    >>> volts = {one.read: one for one in expect(open_rig("mist-bench"), "pressure-switch-burnt")}
    >>> across = volts["voltage pswitch.in pswitch.out calling"]
    >>> across.unit, across.high < 0.2, across.faulty > 1, across.differs
    ('V', True, True, True)
    """
    bench = _bench(rig.described, rig._own)
    healthy = bench.healthy
    well = healthy.own.well if healthy.own else None
    book = bench.shop.catalogue
    met = fault_in(book, bench.model, fault, severity, well) if fault else None
    return tuple(map(_expected, predicted_readings(bench.rig, bench.model, healthy, met)))


@lru_cache(maxsize=RIGS_KEPT)
def _bench(rig: Rig, own: CommissioningRecord | None) -> Bench:
    return Bench.for_rig(rig, Shop.shipped(), own=own)


def _findings(rig: Rig, seen: Iterable[str], read: Iterable[str]) -> list[Evidence]:
    """Raises Mistakes with every one that cannot be taken."""
    book, facts = Shop.shipped().catalogue, rig_facts(Model.of(rig))
    takers: list[Callable[[], Evidence]] = [
        *(partial(parse_answer, text, book, facts, Place("seen")) for text in _each(seen)),
        *(partial(parse_reading, text, book, rig, Place("read")) for text in _each(read)),
    ]
    return every(takers)


def _each(texts: Iterable[str]) -> Iterable[str]:
    """One text alone is meant as one, not as its letters."""
    return (texts,) if isinstance(texts, str) else texts


def _ranked(walk: Walk, question: Question | None, result: Result) -> Ranked:
    repair = walk.bench.shop.repair
    causes = (
        RankedCause(name, cause_title(walk.bench, name), p, repair.get(name, ""))
        for name, p in result.ranking
    )
    belief = walk.belief()
    return Ranked(
        causes=tuple(causes),
        because=result.because,
        contradictions=walk.contradictions(),
        fits=result.fit.fits,
        fix=result.fix,
        cautions=tuple(map(_line, result.cautions)),
        dangers=tuple(map(_danger, result.stops)),
        next_test=_next_test(walk, question) if question else None,
        why_none="" if question else walk.stop_reason(belief, walk.choices(belief)),
    )


def _next_test(walk: Walk, question: Question) -> NextTest:
    entry, band = question.entry, question.expected
    told = entry if isinstance(entry, Observation) else None
    book = walk.bench.shop.catalogue.cautions
    return NextTest(
        name=question.id,
        kind="seen" if told else "read",
        ask=question.sentence,
        how=_line(entry.how),
        why=_line(entry.why),
        minutes=question.minutes,
        bits=question.bits,
        answers=dict(told.options) if told else {},
        unit=question.reading.unit if question.reading else "",
        expected=(band.low, band.high) if band else None,
        cautions=tuple(_line(book[name].text) for name in entry.cautions),
        unsafe_when=tuple(map(_line, told.unsafe_when)) if told else (),
    )


def _danger(stop: ActiveStop) -> RaisedDanger:
    return RaisedDanger(
        stop.id, stop.text, stop.do, _line(stop.stop.until), _line(stop.stop.leave_to)
    )


def _expected(line: PredictedReading) -> ExpectedReading:
    sound, unit = line.sound, line.reading.unit
    return ExpectedReading(
        str(line.reading), unit, sound.value, sound.low, sound.high, line.faulty, line.differs
    )


def _line(text: str) -> str:
    return " ".join(text.split())
