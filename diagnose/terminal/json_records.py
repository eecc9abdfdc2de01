"""Questions, cautions and results as JSON objects: the contract with other programs."""

from __future__ import annotations

import json
from typing import Any

from diagnose.borrowing import Borrow
from diagnose.casebook.record import Case
from diagnose.catalogue.records import Catalogue, Observation
from diagnose.errors import DiagnoseError
from diagnose.outcome import Cause, Proof, Result, conclude
from diagnose.reasoning.available_tests import means_in_words
from diagnose.reasoning.explanation import FindingSentence
from diagnose.reasoning.stops import ActiveStop
from diagnose.reasoning.words import band
from diagnose.terminal.cautions import Alert
from diagnose.terminal.walk.shop_cases import counted_here
from diagnose.terminal.walk.why import why_stopped
from diagnose.walkthrough import Question, Walk

Record = dict[str, Any]


def written(record: Record, indent: int | None = None) -> str:
    """A record as JSON in plain ASCII, so that nothing in it can reach a terminal as a command."""
    return json.dumps(record, allow_nan=False, indent=indent)


def question_record(question: Question, book: Catalogue) -> Record:
    """What is asked: an observation with its options, or a reading with its healthy band."""
    entry = question.entry
    record: Record = {"type": "question", "id": question.id, "minutes": question.minutes}
    record["again"] = question.again
    if isinstance(entry, Observation):
        record |= {"kind": "observation", "observation": entry.id, "options": [*entry.options]}
        record |= {"ask": _line(entry.ask), "meanings": dict(entry.options)}
    else:
        record |= {"kind": "reading", **_reading(question)}
    unsafe = entry.unsafe_when if isinstance(entry, Observation) else ()
    return record | {
        "why": _line(entry.why),
        "how": _line(entry.how),
        "state": entry.state,
        "needs": [*entry.needs],
        "cautions": [_line(book.cautions[name].text) for name in entry.cautions],
        "unsafe_when": [_line(text) for text in unsafe],
    }


def _reading(question: Question) -> Record:
    reading, expected = question.reading, question.expected
    assert reading is not None
    assert expected is not None
    return {
        "quantity": reading.quantity,
        "points": [*reading.points],
        "condition": reading.condition,
        "unit": reading.unit,
        "expected": [expected.low, expected.high],
    } | ({"by_the_book": [expected.book.low, expected.book.high]} if expected.book else {})


def caution_record(alert: Alert) -> Record:
    return {"type": "caution", "text": alert.sentence, "id": alert.id}


def stop_record(stop: ActiveStop) -> Record:
    """A stop that stands; until: what has to be done first, None where nothing said ends it."""
    until = _line(stop.stop.until) or None
    record = {"type": "stop", "id": stop.id, "title": stop.stop.title, "text": stop.text}
    return record | {"do": [*stop.do], "until": until, "leave_to": _line(stop.stop.leave_to)}


def contradiction_record(text: str) -> Record:
    """What was told before the first question, and cannot be together."""
    return {"type": "contradiction", "text": text}


def error_record(text: str) -> Record:
    return {"type": "error", "text": text}


def closed_record(case: Case, text: str) -> Record:
    """How a case stands after its proof, or after its cause was named."""
    return {"type": "closed", "case": case.id, "status": case.status, "text": text}


def not_kept_record(what: str, problem: DiagnoseError) -> Record:
    """What could not be kept: a case, a drill; where it was to be, and why not."""
    where = problem.place.file if problem.place else ""
    return {"what": what, "where": where, "why": problem.message}


def result_record(walk: Walk, result: Result) -> Record:
    """The end of a walk; the ranking lists every applicable failure mode and not-in-the-book."""
    return {
        "type": "result",
        "rig": walk.bench.rig.name,
        "ranking": [{"failure_mode": name, "probability": p} for name, p in result.ranking],
        "same_repair": [[*group] for group in result.same_repair],
        "cause": result.cause,
        "repair": result.repair,
        "repair_probability": result.repair_probability,
        "this_shop": _this_shop(walk, result),
        "findings": [_finding(one) for one in result.findings],
        "fit": {
            "fits": result.fit.fits,
            "chance": result.fit.chance,
            "odd": [item.id for item in result.fit.odd],
        },
        "behind": [{"failure_mode": name, "probability": p} for name, p in result.behind],
        "pairs": [{"failure_modes": [a, b], "probability": p} for a, b, p in result.pairs],
        "root_causes": [_cause(cause) for cause in result.root_causes],
        "stops": [stop_record(stop) for stop in result.stops],
        "fix": [*result.fix],
        "parts": [*result.parts],
        "verify": _proof(result.verify) if result.verify else {},
        "prevention": [*result.prevention],
        "cautions": [_line(text) for text in result.cautions],
        "because": [*result.because],
        "contradictions": [*walk.contradictions()],
        "leaned_on": [*result.leaned_on],
        "borrow": _borrow(result.borrow) if result.borrow else {},
        "can": means_in_words(walk.means, walk.bench.shop.catalogue.kit),
        "notes": [*walk.notes],
        "why_stopped": result.why_stopped,
        "minutes": result.minutes,
        "questions": result.questions,
    } | ({"held_against": [*walk.bench.own.dates]} if walk.bench.own else {})


def _this_shop(walk: Walk, result: Result) -> Record:
    """Confirmed cases of the cause, of all that this rig can have; empty where none has taught."""
    counted = counted_here(walk.bench, result.cause)
    return {"cases": counted[0], "of": counted[1]} if counted else {}


def ranked_record(walk: Walk) -> Record:
    """The result now, with the question that would be asked next, or None."""
    question = walk.question()
    result = conclude(walk, "" if question else why_stopped(walk))
    return {
        **result_record(walk, result),
        "next": question_record(question, walk.bench.shop.catalogue) if question else None,
    }


def _cause(cause: Cause) -> Record:
    return {
        "of": cause.of,
        "cause": _line(cause.cause),
        "mend": _line(cause.mend),
        "prevention": _line(cause.prevention),
        "measure": cause.measure,
        "because": _line(cause.because),
        "seen": cause.seen,
    }


def _borrow(one: Borrow) -> Record:
    """The reading out of reach that would decide most, with what each of two would read."""
    reading, two = one.reading, (one.either, one.other)
    return {
        "quantity": reading.quantity,
        "points": [*reading.points],
        "condition": reading.condition,
        "unit": reading.unit,
        "needs": [*one.needs],
        "parts": [{"failure_mode": name, "reads": value} for name, value in two],
    }


def _finding(one: FindingSentence) -> Record:
    return {"finding": one.finding, "text": one.text, "because": _line(one.because)}


def _proof(proof: Proof) -> Record:
    reading = proof.reading
    said = f"{reading} reads {band(proof.low, proof.high, reading)}: {_line(proof.why)}"
    return {
        "quantity": reading.quantity,
        "points": [*reading.points],
        "condition": reading.condition,
        "unit": reading.unit,
        "expected": [proof.low, proof.high],
        "text": said,
    }


def _line(text: str) -> str:
    return " ".join(text.split())
