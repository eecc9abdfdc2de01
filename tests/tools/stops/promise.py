"""What a stop promises, checked on every face: nothing under power until it ends.

What raises a stop is taken from the rules and from sentences written here, never from the mechanism
under test; whether a test is under power is read off its state and its name, not off `way`.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from itertools import combinations

from diagnose.bench import Bench
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.records import Observation
from diagnose.catalogue.rule_records import RuleRecord, ThenStop
from diagnose.circuit.reading_words import reading_of
from diagnose.drill.offers import offers, short_form
from diagnose.drill.scenario import Scenario, Ticket, scenario
from diagnose.drill.session import Found, Session
from diagnose.errors import DiagnoseError
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.terminal.walk.records import ranked_record
from diagnose.walkthrough import Walk

QUESTIONS = 8
"""Questions that are looked at after a stop was raised."""

VALUES = {"hot": 150.0, "nothing": 0.2, "reversed": -12.4, "high": 120.0}
"""A value that stands so to its sound band, in the unit of any reading that a stop looks at: 150
degC, 0.2 ohm, -12.4 V; 120 psi on a 50 psi pump, and 120 degC of a fuse holder."""

BY_HAND = ("bench-run-motor", "posts-while-charging")
"""Observations with the rig off that feed the motor or charge the battery all the same."""

NEVER = (
    Seen("battery-look", "swollen"),
    Seen("battery-look", "hot-or-hissing"),
    Seen("smell", "rotten-egg"),
    Seen("smell", "fuel"),
    Seen("smoke", "still-smoking"),
)
"""What no answer ends: a battery that may burst, its gas, fuel vapour, smoke. Common practice."""


def under_power(test: Test) -> bool:
    """Whether the rig, a charger or an engine is on meanwhile, by the test's own words."""
    return test.state in ("calling", "satisfied", "unplugged") or test.id in BY_HAND


@dataclass
class Counted:
    """How much was looked at, and what was wrong."""

    pairs: int = 0
    looked_at: int = 0
    wrong: list[str] = field(default_factory=list)

    def add(self, other: Counted) -> None:
        self.pairs += other.pairs
        self.looked_at += other.looked_at
        self.wrong += other.wrong


def raisers(bench: Bench) -> list[Evidence]:
    """Every answer and reading of this rig that raises a stop by itself."""
    found: list[Evidence] = []
    for rule in shipped_rules():
        if isinstance(rule.then, ThenStop):
            found += _raisers(rule, bench)
    return list(dict.fromkeys(found))


def _raisers(rule: RuleRecord, bench: Bench) -> Iterator[Evidence]:
    for condition in rule.when:
        if condition.name not in bench.tests:
            continue
        if condition.kind == "seen":
            yield from (Seen(condition.name, option) for option in condition.values)
        if condition.kind == "reading":
            reading = reading_of(condition.name)
            named = [value for value in condition.values if value in VALUES]
            yield from (Measured(reading, VALUES[value]) for value in named)


def told_with(bench: Bench, *items: Evidence) -> Walk:
    walk = Walk(bench)
    walk.tell(items)
    return walk


def check(bench: Bench, items: tuple[Evidence, ...], seed: int) -> Counted:
    """One set of answers that raise stops, on the walk, the ranking, the list and the drill."""
    counted, said = Counted(pairs=1), " and ".join(map(str, items))
    never = any(item in NEVER for item in items)
    walk = told_with(bench, *items)
    if not walk.stops():
        counted.wrong.append(f"{bench.rig.name}: {said} raises no stop")
        return counted
    _check_next(bench, walk, counted, said, never)
    _check_walk(walk, counted, said, never, random.Random(seed))
    _check_lifted(told_with(bench, *items), counted, said, never)
    return counted


def _check_next(bench: Bench, walk: Walk, counted: Counted, said: str, never: bool) -> None:
    """The ranking as JSON: the next question, the cautions beside it, and the steps first."""
    record = json.loads(json.dumps(ranked_record(walk)))
    following = record["next"]
    counted.looked_at += 1
    if never and following is not None:
        counted.wrong.append(f"{said}: rank asks {following['id']} although nothing ends the stop")
    if following is not None and under_power(bench.tests[following["id"]]):
        counted.wrong.append(f"{said}: rank asks {following['id']} under power")
    stops = [stop["id"] for stop in record["stops"]]
    steps = record["stops"][0]["do"] if stops else []
    if record["fix"][: len(steps)] != steps or not steps:
        counted.wrong.append(f"{said}: the fix does not begin with what the stop asks for")
    if never and (record["verify"] or record["parts"]):
        counted.wrong.append(f"{said}: a proof or a part is named although nothing ends the stop")
    for cause in record["root_causes"]:
        if cause["measure"] and under_power(bench.tests[cause["measure"]]):
            counted.wrong.append(f"{said}: {cause['measure']} is to be measured before the repair")


def _check_walk(
    walk: Walk, counted: Counted, said: str, never: bool, by_chance: random.Random
) -> None:
    for _ in range(QUESTIONS):
        for worth in walk.worths(walk.belief()):
            counted.looked_at += 1
            if under_power(worth.test):
                counted.wrong.append(f"{said}: list offers {worth.test.id} under power")
        question = walk.question()
        if never and question is not None:
            counted.wrong.append(f"{said}: the walk goes on with {question.id}")
        if question is None:
            return
        counted.looked_at += 1
        if under_power(question.test):
            counted.wrong.append(f"{said}: the walk asks {question.id} under power")
        entry = question.entry
        if isinstance(entry, Observation) and by_chance.random() < 0.5:
            typed = by_chance.choice([*entry.options])
            try:
                walk.answer(question, typed)
            except DiagnoseError:
                walk.pass_over(question, "unknown")
        else:
            walk.pass_over(question, "unknown")
        never = walk.ended


def _check_lifted(walk: Walk, counted: Counted, said: str, never: bool) -> None:
    """Made safe, a stop that ends is gone, and is there again when it is seen again."""
    for stop in walk.stops():
        if stop.endless:
            try:
                walk.made_safe(stop.id)
                counted.wrong.append(f"{said}: {stop.id} was talked away")
            except DiagnoseError:
                counted.looked_at += 1
        else:
            walk.made_safe(stop.id)
    if walk.ended != never or (not never and walk.stops()):
        counted.wrong.append(f"{said}: after all was made safe, these stand: {walk.stops()}")


def drill_check(bench: Bench, items: tuple[Evidence, ...], hidden: Scenario) -> Counted:
    """In a drill: what is offered, and what is tried all the same."""
    counted, said = Counted(pairs=1), " and ".join(map(str, items))
    session = Session(hidden)
    session.walk.tell(items)
    if not session.stops():
        counted.wrong.append(f"{said} raises no stop in a drill")
    typed = {offer.typed for offer in offers(session)}
    for test in bench.tests.values():
        if under_power(test):
            counted.looked_at += 2
            form = short_form(test, session.words)
            if form in typed:
                counted.wrong.append(f"{said}: the drill offers {form}")
            if isinstance(session.do(form), Found):
                counted.wrong.append(f"{said}: the drill lets {form} be done")
    return counted


def a_drill(bench: Bench) -> Scenario:
    """A drill of a fault that blocks little by itself."""
    return scenario(bench, Ticket(1, ("suction-strainer-clogged",), 3))


def sets_of(bench: Bench) -> Iterator[tuple[Evidence, ...]]:
    """Every answer that raises a stop, alone and in pairs of different tests."""
    found = raisers(bench)
    yield from ((item,) for item in found)
    yield from (pair for pair in combinations(found, 2) if pair[0].id != pair[1].id)


def checked(bench: Bench, sets: Iterable[tuple[Evidence, ...]]) -> Counted:
    """All of it for some sets of answers on one rig."""
    total, hidden = Counted(), a_drill(bench)
    for number, items in enumerate(sets):
        total.add(check(bench, items, number))
        total.add(drill_check(bench, items, hidden))
    return total
