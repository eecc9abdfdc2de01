"""What a page shows of a walk: what its template needs, from the blocks that every face has."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from diagnose.bench import Bench
from diagnose.casebook.closure import LOADED, is_loaded
from diagnose.catalogue.records import Observation
from diagnose.circuit.reading_words import fits, in_words
from diagnose.circuit.rig import Rig
from diagnose.design.drawing import healthy_volts, probes_at
from diagnose.design.drawing_svg import draw_svg
from diagnose.errors import one_line
from diagnose.outcome import Result, cause_title
from diagnose.pages.blocks import Block, Points, Shares
from diagnose.pages.complaints import complaints_of, groups_of
from diagnose.pages.meanings import all_of, in_full, is_sure, name_of, told_answer
from diagnose.pages.reasons import (
    likeliest,
    why_found,
    why_leader,
    why_question,
)
from diagnose.pages.repair import proof_sentence
from diagnose.pages.result import SETTLED, headline, how_sure, reasons, sections, to_do
from diagnose.phrases import Match, Understood
from diagnose.reasoning import words
from diagnose.reasoning.available_tests import means_in_words
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.explanation import value_words
from diagnose.reasoning.outlook import settled_share
from diagnose.steps import Question, Step
from diagnose.walkthrough import Walk

Context = dict[str, Any]

OTHERS = 10
"""Other tests that are listed."""


def kind_of(block: Block) -> str:
    """Which of the blocks it is, for a template."""
    return {Points: "points", Shares: "shares"}.get(type(block), "text")


def complaint_view(bench: Bench) -> Context:
    """The groups of complaints that this rig can give rise to."""
    return {"groups": groups_of(complaints_of(bench))}


def meanings_view(bench: Bench, found: Understood) -> Context:
    """What somebody's words may mean, what is sure ticked, and what was not understood."""
    rows = [
        {
            "field": "seen" if isinstance(one, Match) else "read",
            "value": f"{name_of(one)}{'=' if isinstance(one, Match) else ' = '}{told_answer(one)}",
            "said": in_full(bench, one),
            "sure": is_sure(one),
        }
        for one in all_of(found)
    ]
    absent = dict.fromkeys(one.words for one in found.absent)
    return {"meanings": rows, "absent": [*absent], "not_understood": [*found.not_understood]}


def walk_view(walk: Walk, question: Question | None) -> Context:
    """What stands on every page of a walk: the rig, stops, cautions, the last answer, who leads."""
    conclusions = walk.conclusions()
    raised = [
        f"{one_line(one.because)} {_caution(walk, one.then.caution)}"
        for one in conclusions.cautions
    ]
    last = walk.steps[-1] if walk.steps else None
    return {
        "rig": words.rig_line(walk.bench.rig),
        "means": means_in_words(walk.means, walk.bench.shop.catalogue.kit),
        "stops": walk.stops(conclusions),
        "cautions": [*dict.fromkeys(raised)],
        "contradictions": walk.contradictions(),
        "last": _last(last) if last else "",
        "number": walk.questions + 1,
        "steps": len(walk.steps),
        "ranking": likeliest(walk.bench, walk.belief().ranking) if walk.evidence else None,
        "notes": walk.notes,
    } | (question_view(walk, question) if question else {})


def _caution(walk: Walk, name: str) -> str:
    return one_line(walk.bench.shop.catalogue.cautions[name].text)


def _last(step: Step) -> str:
    """The last step, as it was taken."""
    if step.item is None:
        how = step.how.replace("-", " ")
        return f"{words.of_test(step.test) if step.is_test else step.test}: {how}"
    if isinstance(step.item, Measured):
        return f"{in_words(step.item.reading)}: {value_words(step.item)}"
    return f"{words.spaced(step.item.observation)}: {words.spaced(step.item.option)}"


def question_view(walk: Walk, question: Question) -> Context:
    """One question: what to do, with which probe where, and the answers there are."""
    entry, reading, given = question.entry, question.reading, _given(walk)
    shown: Context = {
        "question": question,
        "test": question.id,
        "ask": question.sentence,
        "minutes": words.time(question.minutes),
        "state": words.STATES[entry.state] if entry.state != "off" else "",
        "how": one_line(entry.how),
        "takes": question.takes,
        "again": question.again,
        "step_cautions": [_caution(walk, name) for name in entry.cautions if name not in given],
        "cautions_before": [words.spaced(name) for name in entry.cautions if name in given],
    }
    if isinstance(entry, Observation):
        options = [(name, one_line(meaning)) for name, meaning in entry.options.items()]
        return shown | {"options": options, "unsafe": [*map(one_line, entry.unsafe_when)]}
    assert reading is not None
    assert question.expected is not None
    sound = words.band(question.expected.low, question.expected.high, reading)
    quantity = walk.bench.shop.catalogue.quantities.get(reading.quantity)
    return shown | {
        "reading": in_words(reading),
        "unit": reading.unit,
        "sound": sound,
        "meter": one_line(quantity.how) if quantity else "",
        "picture": picture(walk.bench.rig, *reading.points) if len(reading.points) == 2 else "",
        "points": reading.points,
    }


def _given(walk: Walk) -> set[str]:
    """The cautions that belonged to earlier questions, and were read there in full."""
    asked = (walk.bench.tests[step.test] for step in walk.steps if step.is_question)
    return {name for test in asked for name in test.entry.cautions}


@lru_cache(maxsize=64)
def picture(rig: Rig, red: str, black: str) -> str:
    """The circuit with both probes marked, as the address of an image."""
    return address_of(draw_svg(rig, probes_at(rig, red, black)))


def address_of(svg: str) -> str:
    """A drawing as the address of an image."""
    return f"data:image/svg+xml;base64,{b64encode(svg.encode()).decode()}"


def rig_view(bench: Bench) -> Context:
    """What each reading of a rig should be, condition by condition, under its drawing."""
    book = bench.shop.catalogue
    found: dict[str, list[tuple[str, str]]] = {}
    for entry in book.readings.values():
        if fits(entry.reading, bench.rig):
            sound = bench.healthy.expected(entry.reading)
            band = words.band(sound.low, sound.high, entry.reading)
            found.setdefault(words.STATES[entry.reading.condition], []).append(
                (in_words(entry.reading), band)
            )
    svg = draw_svg(bench.rig, volts=healthy_volts(bench.rig))
    return {"rig": words.rig_line(bench.rig), "readings": found, "picture": address_of(svg)}


def why_view(walk: Walk, question: Question | None) -> Context:
    """Why this is asked, what was found, why the leader leads; and the other tests there are."""
    parts = [why_question(walk, question)] if question else []
    if walk.evidence:
        parts += [why_found(walk), why_leader(walk)]
    belief = walk.belief()
    stands = question.id if question else ""
    worths = [one for one in walk.worths(belief) if one.test.id != stands][:OTHERS]
    others = [
        {
            "test": one.test.id,
            "ask": walk.ask(one.test.id).sentence,
            "minutes": f"{one.minutes:g} min",
            "settles": words.per_cent(settled_share(one.bits, belief, walk.bench.shop.repair)),
        }
        for one in worths
    ]
    return {"explanations": parts, "others": others}


def result_view(walk: Walk, result: Result) -> Context:
    """What the walk comes to, and the fields that close it."""
    bench, proof = walk.bench, result.verify
    return {
        "headline": headline(bench, result),
        "settled": result.repair_probability >= SETTLED,
        "to_do": to_do(bench, result),
        "reasons": reasons(result),
        "sure": [*how_sure(bench, result)],
        "sections": [one for one in sections(bench, result) if one.word not in ("steps",)],
        "proof": proof_sentence(proof) if proof else "",
        "proof_unit": proof.reading.unit if proof else "",
        "loads": LOADED if proof and is_loaded(proof) else {},
        "cause": cause_title(bench, result.cause),
        "ended": result.ended,
        "causes": causes(bench),
    }


def causes(bench: Bench) -> Mapping[str, str]:
    """The failure modes that this rig can have, by their titles."""
    book = bench.shop.catalogue.failure_modes
    return {name: book[name].title for name in bench.hypotheses.modes if name in book}
