"""Questions, cautions and results as JSON objects: the contract with other programs."""

from __future__ import annotations

from diagnose.casebook.record import Case
from diagnose.catalogue.records import Catalogue, Observation
from diagnose.errors import one_line
from diagnose.outcome import Result, conclude
from diagnose.pages.cautions import Alert
from diagnose.pages.reasons import counted_here, why_stopped
from diagnose.reasoning.available_tests import means_in_words
from diagnose.reasoning.words import band
from diagnose.terminal.json_lines import Record, reading_record, stop_record
from diagnose.walkthrough import Question, Walk


def question_record(question: Question, book: Catalogue) -> Record:
    """What is asked: an observation with its options, or a reading with its healthy band."""
    entry, expected = question.entry, question.expected
    record: Record = {"type": "question", "id": question.id, "minutes": question.minutes}
    record["again"] = question.again
    if isinstance(entry, Observation):
        record |= {"kind": "observation", "observation": entry.id, "options": [*entry.options]}
        record |= {"ask": one_line(entry.ask), "meanings": dict(entry.options)}
    else:
        assert expected is not None
        record |= {"kind": "reading", **reading_record(entry.reading)}
        record["expected"] = [expected.low, expected.high]
        if expected.book:
            record["by_the_book"] = [expected.book.low, expected.book.high]
    unsafe = entry.unsafe_when if isinstance(entry, Observation) else ()
    return record | {
        "why": one_line(entry.why),
        "how": one_line(entry.how),
        "state": entry.state,
        "needs": [*entry.needs],
        "cautions": [one_line(book.cautions[name].text) for name in entry.cautions],
        "unsafe_when": [*map(one_line, unsafe)],
    }


def caution_record(alert: Alert) -> Record:
    return {"type": "caution", "text": alert.sentence, "id": alert.id}


def contradiction_record(text: str) -> Record:
    """What was told before the first question, and cannot be together."""
    return {"type": "contradiction", "text": text}


def closed_record(case: Case, text: str) -> Record:
    """How a case stands after its proof, or after its cause was named."""
    return {"type": "closed", "case": case.id, "status": case.status, "text": text}


def result_record(walk: Walk, result: Result) -> Record:
    """The end of a walk; the ranking lists every applicable failure mode and not-in-the-book."""
    counted = counted_here(walk.bench, result.cause)
    return {
        "type": "result",
        "rig": walk.bench.rig.name,
        "ranking": [{"failure_mode": name, "probability": p} for name, p in result.ranking],
        "same_repair": [[*group] for group in result.same_repair],
        "cause": result.cause,
        "repair": result.repair,
        "repair_probability": result.repair_probability,
        "this_shop": {"cases": counted[0], "of": counted[1]} if counted else {},
        "findings": [
            {"finding": one.finding, "text": one.text, "because": one_line(one.because)}
            for one in result.findings
        ],
        "fit": {
            "fits": result.fit.fits,
            "chance": result.fit.chance,
            "odd": [item.id for item in result.fit.odd],
        },
        "behind": [{"failure_mode": name, "probability": p} for name, p in result.behind],
        "pairs": [{"failure_modes": [a, b], "probability": p} for a, b, p in result.pairs],
        "root_causes": [
            {
                "of": cause.of,
                "cause": one_line(cause.cause),
                "mend": one_line(cause.mend),
                "prevention": one_line(cause.prevention),
                "measure": cause.measure,
                "because": one_line(cause.because),
                "seen": cause.seen,
            }
            for cause in result.root_causes
        ],
        "stops": [stop_record(stop) for stop in result.stops],
        "fix": [*result.fix],
        "parts": [*result.parts],
        "verify": _proof(result),
        "prevention": [*result.prevention],
        "cautions": [*map(one_line, result.cautions)],
        "because": [*result.because],
        "contradictions": [*walk.contradictions()],
        "leaned_on": [*result.leaned_on],
        "borrow": _borrow(result),
        "can": means_in_words(walk.means, walk.bench.shop.catalogue.kit),
        "notes": [*walk.notes],
        "why_stopped": result.why_stopped,
        "minutes": result.minutes,
        "questions": result.questions,
    } | ({"held_against": [*walk.bench.own.dates]} if walk.bench.own else {})


def ranked_record(walk: Walk) -> Record:
    """The result now, with the question that would be asked next, or None."""
    question = walk.question()
    result = conclude(walk, "" if question else why_stopped(walk))
    return {
        **result_record(walk, result),
        "next": question_record(question, walk.bench.shop.catalogue) if question else None,
    }


def _borrow(result: Result) -> Record:
    """The reading out of reach that would decide most, with what each of two would read."""
    if (one := result.borrow) is None:
        return {}
    parts = [{"failure_mode": name, "reads": value} for name, value in (one.either, one.other)]
    return {**reading_record(one.reading), "needs": [*one.needs], "parts": parts}


def _proof(result: Result) -> Record:
    """The reading that proves the repair."""
    if (proof := result.verify) is None:
        return {}
    reads = band(proof.low, proof.high, proof.reading)
    return {
        **reading_record(proof.reading),
        "expected": [proof.low, proof.high],
        "text": f"{proof.reading} reads {reads}: {one_line(proof.why)}",
    }
