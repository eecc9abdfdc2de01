"""Stops: which of those that the rules raise are active, and what each keeps from being asked.

A stop is active from the answer that raises it until it is made safe. What was made safe stays so
until an answer given afterwards raises the stop again.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from fnmatch import fnmatchcase

from diagnose.catalogue.records import Stop
from diagnose.catalogue.rule_records import ThenStop
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.rules.conclusions import Firing

TOLD = -1
"""When something was said before the first question."""


@dataclass(frozen=True)
class ActiveStop:
    """A stop that stands. because: why each of its rules raised it."""

    stop: Stop
    because: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        """That of the stop in knowledge/stops.yaml."""
        return self.stop.id

    @property
    def endless(self) -> bool:
        """Whether nothing that is said ends it."""
        return not self.stop.until

    def forbids(self, test: Test) -> bool:
        """Whether the test is not to be made while this stands."""
        if test.entry.way not in self.stop.may:
            return True
        return any(fnmatchcase(test.rule_name, pattern) for pattern in self.stop.keep_off)

    @property
    def ends(self) -> str:
        """How it ends, as one sentence."""
        return self.stop.ends

    @property
    def do(self) -> tuple[str, ...]:
        """What to do now, a sentence each."""
        return tuple(map(_line, self.stop.do))

    @property
    def text(self) -> str:
        """What the danger is, and what raised it."""
        return " ".join((_line(self.stop.text), *self.because))


def active_stops(
    raised: Iterable[Firing[ThenStop]],
    book: Mapping[str, Stop],
    answered: Mapping[str, int],
    made_safe: Mapping[str, int],
) -> tuple[ActiveStop, ...]:
    """The stops that stand, those that nothing ends first.

    raised: by the rules, from all that is known now; book: stops by id; answered: test to the
    number of the step that answered it last, TOLD for what was told at the start; made_safe: stop
    to the number of the step that made it safe.
    """
    groups: dict[str, list[Firing[ThenStop]]] = {}
    for one in raised:
        at = max((answered.get(test, TOLD) for test in one.raised_by), default=TOLD)
        if at >= made_safe.get(one.then.stop, TOLD - 1):
            groups.setdefault(one.then.stop, []).append(one)
    found = [_active(book[name], ones) for name, ones in groups.items()]
    return tuple(sorted(found, key=lambda one: (not one.endless, one.id)))


def _active(stop: Stop, raised: list[Firing[ThenStop]]) -> ActiveStop:
    return ActiveStop(stop, tuple(dict.fromkeys(_line(one.because) for one in raised)))


def _line(text: str) -> str:
    return " ".join(text.split())
