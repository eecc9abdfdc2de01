"""What a check of the design says."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum


class Severity(Enum):
    """How a finding stands, the worst first.

    UNSAFE: can start a fire, burn or hurt somebody; not to be used as it is
    SHOULD_CHANGE: will disappoint, wear out early or blow its fuse
    NOTE: in order within limits that the reader has to judge
    FINE: within the limit
    """

    UNSAFE = "unsafe"
    SHOULD_CHANGE = "should-change"
    NOTE = "note"
    FINE = "fine"


UNSAFE, SHOULD, NOTE, FINE = Severity


@dataclass(frozen=True)
class Finding:
    """One rule held against one rig.

    id: name of the rule; what: the verdict in a sentence; figure, limit: what is, and what it is
    held against, with units; source: key in knowledge/sources.yaml of where the limit comes from;
    change: what to do about it, empty when nothing; working: the sums, each "left = right" with
    the units, so that a reader can do them again.
    """

    id: str
    severity: Severity
    what: str
    figure: str
    limit: str
    source: str
    change: str = ""
    working: tuple[str, ...] = ()


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """By severity; within one severity in the order given."""
    order = list(Severity)
    return tuple(sorted(findings, key=lambda finding: order.index(finding.severity)))


def step(value: float, *ladder: tuple[float, Severity], above: Severity) -> Severity:
    """The severity of the first limit that `value` does not pass; `above` when it passes all."""
    return next((severity for limit, severity in ladder if value <= limit * (1 + 1e-9)), above)
