"""Closing a case over the line protocol, for a client that said {"closing": true} in its walk.

in  {"proof": "0.08 V", "runs": true, "load": "in-use"}   the reading of `verify`, taken after it
in  {"made_safe": "melted-part"}                          a stop that stands has been dealt with
in  {"cause": "fuse-holder-corroded", "words": "..."}       what it was in the end
out {"type": "closed", "status": "closed", "text": "..."}   or an error, and another line
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from diagnose.casebook.closing import close, made_safe, with_verification
from diagnose.casebook.proving import judged, verdict
from diagnose.casebook.record import LOADS, Case
from diagnose.errors import DiagnoseError, UnknownName, nearest
from diagnose.outcome import Proof, Result
from diagnose.reasoning.evidence import check_reading
from diagnose.terminal.json_lines import BadLine, object_of, text_of
from diagnose.terminal.json_records import Record, closed_record, error_record
from diagnose.terminal.walk.keeping import Keeper


def close_by_lines(
    keeper: Keeper, result: Result, file: str, put: Callable[[Record], None], lines: Iterator[bytes]
) -> None:
    """Take lines until the case is closed, or there are no more. file: of the case."""
    casebook, name = keeper.casebook, Path(file).stem
    for line in lines:
        try:
            record = object_of(line, as_written=True)
            if record.get("answer") == "stop":
                return
            known = casebook.load(name)
            changed, said = _closed(keeper, result, known, record)
            case = casebook.update(name, _becomes(changed), known)
            put(closed_record(case, said))
            if case.status == "closed":
                return
        except DiagnoseError as problem:
            put(error_record(str(problem)))


def _becomes(changed: Case) -> Callable[[Case], Case]:
    """A change that was worked out on the case as it is known."""
    return lambda _: changed


def _closed(keeper: Keeper, result: Result, case: Case, record: Record) -> tuple[Case, str]:
    """The case as a line leaves it, and what is to be said of it. Raises DiagnoseError."""
    if "made_safe" in record:
        return made_safe(case, [text_of(record, "made_safe")]), "Taken as made safe."
    if "cause" in record:
        words = str(record.get("words", ""))
        known = keeper.walk.bench.shop.catalogue.failure_modes
        return close(case, text_of(record, "cause"), words=words, known=known), "Closed."
    if result.verify is None:
        raise BadLine('Nothing here can be proved by a reading; close it with {"cause": "..."}.')
    item = check_reading(
        keeper.walk.bench.shop.catalogue,
        keeper.walk.bench.rig,
        result.verify.reading,
        text_of(record, "proof"),
    )
    found = judged(result.verify, item, _runs(record), _load(record, result.verify))
    return with_verification(case, found), verdict(found)


def _runs(record: Record) -> bool:
    runs: Any = record.get("runs")
    if not isinstance(runs, bool):
        raise BadLine("runs says whether the pump does its job again: true or false.")
    return runs


def _load(record: Record, proof: Proof) -> str:
    load = str(record.get("load", ""))
    if load and load not in LOADS:
        raise UnknownName("load", load, None, nearest(load, LOADS), LOADS)
    return load
