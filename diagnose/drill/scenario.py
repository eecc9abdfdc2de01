"""A rig with a hidden fault and the complaint about it: the same again for the same ticket."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import cached_property
from zlib import crc32

from diagnose.bench import Bench
from diagnose.catalogue.records import ReadingEntry
from diagnose.drill.hidden import (
    LEVELS,
    Level,
    hide,
    may_stray,
    read_there,
    seen_there,
    usual,
    ways,
)
from diagnose.drill.told import Told, tell, tell_of_service
from diagnose.errors import DiagnoseError
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.evidence import Evidence, check_answer
from diagnose.reasoning.hypotheses import Variant, variants_of
from diagnose.reasoning.posterior import Posterior, by_repair
from diagnose.simulate.truth import Truth
from diagnose.walkthrough import Walk

TRIES = 40
"""Severities drawn until somebody would complain of the fault."""


class NothingToDrill(DiagnoseError):
    """No fault of that kind can be hidden in this rig."""


@dataclass(frozen=True)
class Ticket:
    """What makes a drill on a rig: its level, the failure modes that are hidden, and a number."""

    level: int
    modes: tuple[str, ...]
    seed: int


@dataclass(frozen=True)
class Scenario:
    """One drill before it begins."""

    bench: Bench
    ticket: Ticket
    truth: Truth
    told: Told

    @property
    def level(self) -> Level:
        return LEVELS[self.ticket.level - 1]

    @cached_property
    def repairs(self) -> frozenset[str]:
        """The repairs that mend what is hidden."""
        return frozenset(self.bench.shop.repair[mode] for mode in self.truth.modes)

    def findings(self) -> tuple[Evidence, ...]:
        """What the customer said, as findings."""
        book, facts = self.bench.shop.catalogue, self.bench.hypotheses.facts
        told = (check_answer(book, facts, name, option) for name, option in self.told.seen.items())
        return tuple(replace(one, reported=True) for one in told)

    def walk(self) -> Walk:
        """A walk that has been told what the customer said."""
        walk = Walk(self.bench)
        walk.tell(self.findings())
        return walk

    def answer(self, test: Test, attempt: int = 0) -> str:
        """What is found: an option, or a reading with its unit; attempt: how often before."""
        book = self.bench.shop.catalogue
        if isinstance(test.entry, ReadingEntry):
            return read_there(self.truth, test.entry.reading, book, attempt)
        told = self.told.seen.get(test.id)
        return told or seen_there(self.truth, test.entry, book, self.level.plain)

    def strayed(self, test: Test, answer: str) -> str:
        """What most rigs with this fault would show, where an answer was chance; else ""."""
        book = self.bench.shop.catalogue
        complaint = book.complaints.get(self.told.complaint)
        if isinstance(test.entry, ReadingEntry) or (complaint and test.id in complaint.seen):
            return ""
        most = usual(self.truth, test.entry, book)
        return most if may_stray(test.entry) and answer != most else ""

    def everything(self) -> Iterator[Evidence]:
        """All that could be found at this rig, were every test of the book made."""
        walk = Walk(self.bench)
        for test in self.bench.tests.values():
            with suppress(DiagnoseError):
                yield walk.read(walk.ask(test.id), self.answer(test))


def chance_of(belief: Posterior, scenario: Scenario) -> float:
    """Probability that the ranking gives to the repairs of what is hidden, together."""
    repairs = by_repair(belief.ranking, scenario.bench.shop.repair)
    return sum(repairs.get(name, 0.0) for name in scenario.repairs)


def scenario(bench: Bench, ticket: Ticket) -> Scenario:
    """The drill of a ticket. Of a fault that nobody would notice at any severity the customer
    does not complain: the rig is brought to be looked over. Raises NothingToDrill."""
    found = next(noticed(bench, ticket), None)
    if found is not None:
        return found
    truth = next(_truths(bench, ticket), None)
    if truth is None:
        names = " and ".join(ticket.modes)
        raise NothingToDrill(f"{names} cannot be hidden in this rig; take another rig or fault.")
    return Scenario(bench, ticket, truth, tell_of_service(bench, truth))


def noticed(bench: Bench, ticket: Ticket) -> Iterator[Scenario]:
    """Drills of a ticket in which somebody complains, in their order."""
    for truth in _truths(bench, ticket):
        told = tell(bench, truth, LEVELS[ticket.level - 1])
        if told:
            yield Scenario(bench, ticket, truth, told)


def mended(found: Scenario, repair: str) -> Scenario | None:
    """The same rig once a repair has been made and it is called again; None where nothing that was
    hidden is left in it, or nothing was mended."""
    bench, modes = found.bench, found.truth.modes
    done = [mode for mode in modes if bench.shop.repair[mode] == repair]
    if not done or len(done) == len(modes):
        return None
    truth = hide(bench, _sets(bench, found.ticket), found.level, found.truth.seed, done)
    told = tell(bench, truth, found.level) or tell_of_service(bench, truth)
    return Scenario(bench, found.ticket, truth, told)


def _truths(bench: Bench, ticket: Ticket) -> Iterator[Truth]:
    level = LEVELS[ticket.level - 1]
    if not set(ticket.modes) <= set(bench.hypotheses.modes):
        return
    rig, names = crc32(repr(bench.rig).encode()), " ".join(ticket.modes).encode()
    sets = _sets(bench, ticket)
    for attempt in range(TRIES):
        yield hide(bench, sets, level, (ticket.seed, rig, crc32(names), level.number, attempt))


def _sets(bench: Bench, ticket: Ticket) -> list[tuple[Variant, ...]]:
    """The ways in which each failure mode may be hidden. One that has none of the kind that the
    level asks for is drilled as it is."""
    book, level = bench.shop.catalogue.failure_modes, LEVELS[ticket.level - 1]
    alone = len(ticket.modes) == 1
    return [ways(bench, m, level, alone) or variants_of(book[m], bench.rig) for m in ticket.modes]
