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

import sys
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, TypeVar

from diagnose.drill.choices import Conclusion, Form, causes_of, form, verification
from diagnose.drill.debrief import Debrief, debrief
from diagnose.drill.offers import candidates, offers
from diagnose.drill.record import drilled
from diagnose.drill.session import Session
from diagnose.errors import DiagnoseError
from diagnose.terminal.drill.choice import Asked, same_again
from diagnose.terminal.drill.records import (
    debrief_record,
    done_record,
    drill_record,
    form_record,
    offer_record,
)
from diagnose.terminal.json_lines import BadLine, object_of
from diagnose.terminal.json_records import Record, error_record, not_kept_record
from diagnose.terminal.plain import complain, sentence
from diagnose.terminal.stops import SAFE
from diagnose.terminal.walk.lines import Wire

T = TypeVar("T")


def drilled_by_lines(asked: Asked, wire: Wire | None = None) -> bool:
    """One drill, to its debrief or the end of the lines; whether all was kept. Raises
    DiagnoseError."""
    wire = wire or Wire(sys.stdin.buffer, sys.stdout)
    scenario = asked.scenario(asked.bench())
    room = _Room(Session(scenario))
    wire.put(drill_record(scenario))
    for line in wire.lines():
        try:
            answer = room.take(object_of(line))
        except DiagnoseError as problem:
            answer = error_record(str(problem))
        if isinstance(answer, Conclusion):
            ended = debrief(room.session, answer)
            kept = _kept(asked, ended)
            wire.put(debrief_record(ended, same_again(asked, scenario)) | kept)
            return not kept["not_kept"]
        wire.put(answer)
    return True


def _kept(asked: Asked, ended: Debrief) -> Record:
    """Write the drill down; `not_kept`: what could not be."""
    try:
        asked.file.add(drilled(ended, asked.group))
    except DiagnoseError as problem:
        complain(f"The drill could not be written down. {sentence(problem)}")
        return {"not_kept": [not_kept_record("drill", problem)]}
    return {"not_kept": []}


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
        return {"type": "acts", "acts": [offer_record(one) for one in found]}

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
