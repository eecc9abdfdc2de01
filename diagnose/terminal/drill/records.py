"""What a drill says, as JSON objects: the contract with front ends of a class."""

from __future__ import annotations

from diagnose.circuit.network import points_on
from diagnose.drill.choices import Form, behind
from diagnose.drill.debrief import Debrief
from diagnose.drill.moves import Move
from diagnose.drill.offers import Offer, short_form
from diagnose.drill.path import Path, Step
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Changed, Done, Found, MadeSafe, Session, Stopped
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.stops import ActiveStop
from diagnose.terminal.cautions import LOCAL_CODES
from diagnose.terminal.json_records import Record, stop_record


def drill_record(scenario: Scenario) -> Record:
    """The drill before it begins; nothing in it gives the fault away."""
    bench, ticket = scenario.bench, scenario.ticket
    return {
        "type": "drill",
        "rig": bench.rig.name,
        "points": [*points_on(bench.rig)],
        "level": ticket.level,
        "seed": ticket.seed,
        "complaint": scenario.told.words,
        "failure_modes": [*bench.hypotheses.modes],
        "cautions": [LOCAL_CODES],
    }


def done_record(session: Session, done: Done) -> Record:
    """What an act came to, with the minutes so far and the state of the rig."""
    so_far: Record = {"minutes": done.minutes, "so_far": session.minutes, "state": session.state}
    so_far["stops"] = [stop_record(stop) for stop in session.stops()]
    if isinstance(done, Stopped):
        why = {"because": done.because, "dangerous": done.dangerous, "caution": done.caution}
        return {"type": "stopped", "typed": done.typed, "act": done.name} | why | so_far
    if isinstance(done, Changed):
        return {"type": "changed", "typed": done.typed} | so_far
    if isinstance(done, MadeSafe):
        return {"type": "made_safe", "typed": done.typed, "made_safe": [*done.stops]} | so_far
    return {"type": "found", "typed": done.typed} | _found(done) | so_far


def _found(done: Found) -> Record:
    record: Record = {"test": done.test.id, "answer": done.answer, "meaning": done.meaning}
    if isinstance(done.item, Measured):
        record |= {"value": done.item.value, "unit": done.item.reading.unit}
    return record | {"note": done.note, "cautions": [*done.test.entry.cautions]}


def offer_record(offer: Offer) -> Record:
    return {"typed": offer.typed, "asks": offer.asks, "minutes": offer.minutes}


def form_record(offered: Form) -> Record:
    """What can be chosen for the causes that were named; numbers count from 1."""
    return {
        "type": "form",
        "causes": [*offered.causes],
        "root_causes": [one.say for one in offered.root_causes],
        "fixes": [one.say for one in offered.fixes],
    }


def debrief_record(ended: Debrief, again: str) -> Record:
    """Score, what was hidden, what each act was worth, the advised path, the volts."""
    scenario, catalogue = ended.scenario, ended.scenario.bench.shop.catalogue
    book, stops = catalogue.failure_modes, catalogue.stops
    return {
        "type": "debrief",
        "score": ended.score.total,
        "found": ended.score.right,
        "marks": [
            {"skill": one.skill, "got": one.got, "of": one.of, "why": one.why}
            for one in ended.score.marks
        ],
        "hidden": [*scenario.truth.modes],
        "repairs": sorted(scenario.repairs),
        "root_causes": {mode: [*behind(scenario, book[mode])] for mode in scenario.truth.modes},
        "named": [*ended.conclusion.causes],
        "minutes": ended.session.minutes,
        "acts": [_move(move) for move in ended.moves],
        "strays": [
            {"test": one.test, "answer": one.found, "usual": one.usual} for one in ended.strays
        ],
        "provable_from": ended.provable,
        "path": _path(ended.path, ended),
        "volts": [{"point": v.point, "sound": v.sound, "faulty": v.faulty} for v in ended.volts],
        "stops": [stop_record(ActiveStop(stops[name])) for name in ended.session.raised()],
        "cautions": [LOCAL_CODES],
        "again": again,
    }


def _move(move: Move) -> Record:
    return {
        "typed": move.found.typed,
        "test": move.found.test.id,
        "answer": move.found.answer,
        "before": move.before,
        "after": move.after,
        "each": [
            {"failure_mode": name, "before": before, "after": after}
            for name, before, after in move.each
        ],
        "ruled_out": [
            {"failure_mode": name, "before": before, "after": after}
            for name, before, after in move.ruled_out
        ],
    }


def _path(path: Path, ended: Debrief) -> Record:
    steps = [_step(step, ended) for step in path.steps]
    told = {"minutes": path.minutes, "cause": path.cause, "right": path.right, "steps": steps}
    return told | {"then": _path(path.then, ended) if path.then else None}


def _step(step: Step, ended: Debrief) -> Record:
    return {
        "typed": short_form(step.question.test, ended.session.words),
        "answer": step.answer,
        "minutes": step.minutes,
        "before": step.before,
        "after": step.after,
        "why": step.why,
    }
