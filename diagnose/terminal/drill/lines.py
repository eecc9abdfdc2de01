"""A drill as one JSON object a line, so that another front end can run a class.

out {"type": "drill", ...}                       the rig, the level and the complaint
in  {"do": "volts 30 87 calling"}                out {"type": "found" | "stopped" | "changed"}
in  {"made_safe": true}                          out {"type": "made_safe"}: every stop that stands
in  {"list": "relay"}                            out {"type": "acts"}
in  {"complete": "volts 3"}                      out {"type": "completions"}
in  {"cause": "fuse-holder-corroded"}            out {"type": "form"}: what can be chosen
in  {"root_cause": 2, "fix": 1, "verify": "volts fuse holder"}
                                                 out {"type": "debrief"}, the end
in  {"give_up": true}                            out {"type": "debrief"}, the end

"not_kept" in the debrief is empty, or says what could not be written down, where and why.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from diagnose.circuit.network import points_on
from diagnose.drill.choices import Conclusion, Form, behind, causes_of, form, verification
from diagnose.drill.debrief import Debrief, debrief
from diagnose.drill.moves import Move
from diagnose.drill.offers import candidates, offers, short_form
from diagnose.drill.path import Path, Step
from diagnose.drill.record import drilled
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Changed, Done, MadeSafe, Session, Stopped
from diagnose.errors import DiagnoseError
from diagnose.pages.cautions import LOCAL_CODES
from diagnose.reasoning.evidence import Measured
from diagnose.reasoning.stops import ActiveStop
from diagnose.terminal.drill.choice import DrillChoice
from diagnose.terminal.json_lines import BadLine, Record, Wire, failure_record, stop_record
from diagnose.terminal.stops import SAFE

T = TypeVar("T")


def drill_by_lines(chosen: DrillChoice, wire: Wire | None = None) -> bool:
    """One drill, to its debrief or the end of the lines; whether all was kept. Raises
    DiagnoseError."""
    wire = wire or Wire.standard()
    scenario = chosen.scenario(chosen.bench())
    room = _Room(Session(scenario))
    wire.put(drill_record(scenario))

    def do(record: Record) -> Conclusion | None:
        answer = room.take(record)
        if isinstance(answer, Conclusion):
            return answer
        wire.put(answer)
        return None

    conclusion = wire.exchange(do, as_written=False)
    if conclusion is None:
        return True
    ended = debrief(room.session, conclusion)
    lost = []
    try:
        chosen.file.add(drilled(ended, chosen.group))
    except DiagnoseError as problem:
        lost = [failure_record("drill", problem, "written down")]
    wire.put(debrief_record(ended, chosen.same_again(scenario)) | {"not_kept": lost})
    return not lost


@dataclass
class _Room:
    """The trainee at the rig. form: what was offered for the causes named last."""

    session: Session
    form: Form | None = None
    words: Mapping[str, Callable[[Any], Record | Conclusion]] = field(init=False)

    def __post_init__(self) -> None:
        self.words = {
            "do": self._do,
            "made_safe": lambda _: self._do(SAFE),
            "list": self._list,
            "complete": self._complete,
            "cause": self._cause,
            "give_up": lambda _: Conclusion(),
        }

    def take(self, record: Record) -> Record | Conclusion:
        """Do what a line says. Raises DiagnoseError."""
        for word, act in self.words.items():
            if word in record:
                return act(record[word])
        if {"root_cause", "fix", "verify"} & set(record):
            return self._conclude(record)
        example = '{"do": "volts 30 87 asked to run"}'
        raise BadLine(f"There is nothing to do in this line; write {example}.")

    def _do(self, typed: Any) -> Record:
        return done_record(self.session, self.session.do(_text(typed)))

    def _list(self, about: Any) -> Record:
        found = offers(self.session, _text(about))
        acts = [{"typed": one.typed, "asks": one.asks, "minutes": one.minutes} for one in found]
        return {"type": "acts", "acts": acts}

    def _complete(self, typed: Any) -> Record:
        found = candidates(_text(typed), self.session.scenario.bench, self.session.words)
        return {"type": "completions", "lines": [*found]}

    def _cause(self, typed: Any) -> Record:
        scenario = self.session.scenario
        self.form = form(scenario, causes_of(_text(typed), scenario))
        return form_record(self.form)

    def _conclude(self, record: Record) -> Conclusion:
        if self.form is None:
            raise BadLine('Name the cause first: {"cause": "fuse-holder-corroded"}.')
        reading = record.get("verify")
        return Conclusion(
            self.form.causes,
            _chosen(record.get("root_cause"), self.form.root_causes),
            _chosen(record.get("fix"), self.form.fixes),
            verification(self.session, _text(reading)) if reading is not None else None,
        )


def _text(value: Any) -> str:
    if not isinstance(value, str):
        raise BadLine("A text is wanted here.")
    return value


def _chosen(number: Any, items: Sequence[T]) -> T | None:
    if number is None:
        return None
    if isinstance(number, bool) or not isinstance(number, int) or not 1 <= number <= len(items):
        raise BadLine(f"A number from 1 to {len(items)} is wanted here.")
    return items[number - 1]


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
    record: Record = {"type": "found", "typed": done.typed, "test": done.test.id}
    record |= {"answer": done.answer, "meaning": done.meaning}
    if isinstance(done.item, Measured):
        record |= {"value": done.item.value, "unit": done.item.reading.unit}
    return record | {"note": done.note, "cautions": [*done.test.entry.cautions]} | so_far


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
        "each": [*map(_shift, move.each)],
        "ruled_out": [*map(_shift, move.ruled_out)],
    }


def _shift(of: tuple[str, float, float]) -> Record:
    """A failure mode, with its probability before and after."""
    return dict(zip(("failure_mode", "before", "after"), of, strict=True))


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
