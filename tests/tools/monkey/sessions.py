"""One session of the line protocol, held with a monkey that checks all it is told."""

from __future__ import annotations

import json
import random
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from fnmatch import fnmatchcase
from itertools import compress
from pathlib import Path
from typing import Any, cast

from diagnose.bench import Bench
from diagnose.casebook.store import Casebook
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.rule_records import RuleRecord
from diagnose.reasoning.evidence import Evidence
from diagnose.refusing import symbols
from diagnose.steps import MADE_SAFE
from diagnose.terminal.json_lines import Wire
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.lines import LineConversation
from diagnose.walkthrough import Walk
from tests.plain_rules import Holding, holding
from tests.tools.monkey.manners import MOODS, act, line
from tests.tools.stops.promise import raisers, under_power

PATIENCE = 18
"""Lines that a monkey plays with; after them one of two answers "unknown" until it is let go, the
other stops."""

STOPPED = 0.3
"""Share of sessions that begin with something said that raises a stop."""

SLOW = 5.0
"""Seconds of processor time in which a line must be dealt with."""

NEVER_SAID = ("Traceback", "Error(", "<class", "object at 0x", "None")


class Wrong(AssertionError):
    """Something that must not happen in any session."""


def demand(holds: bool, what: str) -> None:
    if not holds:
        raise Wrong(what)


@dataclass
class Tally:
    """What happened in a session. off: largest distance of a sum of probabilities from 1."""

    counts: Counter[str] = field(default_factory=Counter)
    off: float = 0.0
    slowest: float = 0.0
    longest: int = 0

    def add(self, other: Tally) -> None:
        self.counts += other.counts
        self.off = max(self.off, other.off)
        self.slowest = max(self.slowest, other.slowest)
        self.longest = max(self.longest, other.longest)


@dataclass
class Monkey:
    """Both ends of the wire: reads what comes, and gives the next line."""

    walk: Walk
    rules: Sequence[RuleRecord]
    mood: str
    draw: random.Random
    patience: int = PATIENCE
    tally: Tally = field(default_factory=Tally)
    said: list[dict[str, Any]] = field(default_factory=list)
    heard: set[str] = field(default_factory=set)
    held: set[str] = field(default_factory=set)
    fresh: list[dict[str, Any]] = field(default_factory=list)
    stood: set[str] = field(default_factory=set)
    stays: bool = True
    sent: int = 0
    did: str = ""
    refused: bool = False
    busy: float = 0.0

    # --- the sink

    def write(self, text: str) -> int:
        demand(text.endswith("\n") and text.count("\n") == 1, f"not one line: {text[:80]!r}")
        demand(text.isascii(), "not plain ASCII")
        record = json.loads(text, parse_constant=lambda word: demand(False, word))
        self.said.append(record)
        self.tally.counts[record["type"]] += 1
        {
            "question": self._question,
            "contradiction": lambda _: None,
            "caution": self._caution,
            "stop": self._stop,
            "error": self._error,
            "result": self._result,
            "confirm": self._confirm,
        }[record["type"]](record)
        return len(text)

    def flush(self) -> None:
        """Nothing is held back."""

    # --- the source

    def readline(self, most: int) -> bytes:
        """The next line; none at all when a monkey has run away."""
        self._timed()
        self.sent += 1
        question = self.said[-1]
        demand(question["type"] == "question", "a line is awaited, and no question was asked")
        if self.sent > self.patience:
            tests = len(self.walk.bench.tests)
            demand(self.sent < self.patience + 2 * tests, "the questions do not end")
            name = "unknown" if self.stays else "stop"
            said = line(name)
        else:
            name, said = act(self.mood, question, sorted(self.stood), self.draw)
        if self.draw.random() < 0.003:
            name, said = "run away", b""
        self.tally.counts[f"sent: {name}"] += 1
        self.did = name
        self.refused = False
        self.busy = time.process_time()
        return said[:most]

    def _timed(self) -> None:
        if self.sent:
            spent = time.process_time() - self.busy
            self.tally.slowest = max(self.tally.slowest, spent)
            demand(spent < SLOW, f"a line took {spent:.1f} s")

    # --- what comes

    def _question(self, record: dict[str, Any]) -> None:
        if self.refused:
            demand(record == self._asked_last(), "refused, and then asked something else")
            return
        again = [step.test for step in self.walk.steps if step.is_question].count(record["id"])
        demand(again <= record["again"], f"{record['id']} is asked again and again")
        self._heed(record)

    def _asked_last(self) -> dict[str, Any]:
        return next(one for one in reversed(self.said[:-1]) if one["type"] == "question")

    def _heed(self, record: dict[str, Any]) -> None:
        """Every caution and stop whose condition has begun to hold was said; nothing barred is
        asked, and nothing under power while a stop stands."""
        belief = self.walk.belief()
        self._sums_to_one(float(belief.mode.sum()) + belief.other)
        now = self._said_what_holds()
        test = self.walk.bench.tests[record["id"]]
        for name in test.entry.cautions:
            demand(name in self.heard, f"{record['id']} was asked without its caution {name}")
        demand(len(record["cautions"]) == len(test.entry.cautions), "it misses its own cautions")
        barred = [one for one in now.blocked if fnmatchcase(test.rule_name, one)]
        demand(not barred or record["again"], f"{record['id']} is asked though barred by {barred}")
        demand(not self.stood or not under_power(test), f"{record['id']} is asked under power")
        endless = [one for one in self.stood if not self._book.stops[one].until]
        demand(not endless, f"{record['id']} is asked though nothing ends {endless}")

    def _said_what_holds(self) -> Holding:
        """What holds now, once it was said as soon as it began to."""
        now = holding(self.rules, symbols(self.walk.bench, self.walk.evidence, self.walk.belief()))
        for rule in set(now.cautions) - self.held:
            said = (one["id"] for one in self.fresh if one["type"] == "caution")
            demand(now.cautions[rule].caution in said, f"{rule} holds and was not said")
        done = [(step.test, step.how == MADE_SAFE) for step in self.walk.steps]
        said = [bool(step.item) or step.how == MADE_SAFE for step in self.walk.steps]
        stops = now.standing([*compress(done, said)])
        told = {one["id"] for one in self.fresh if one["type"] == "stop"}
        demand(told == stops - self.stood, f"stops: {told} said, {stops - self.stood} began")
        self.held, self.stood, self.fresh = set(now.cautions), stops, []
        return now

    @property
    def _book(self) -> Catalogue:
        return self.walk.bench.shop.catalogue

    def _caution(self, record: dict[str, Any]) -> None:
        known = record["id"] in self.heard
        demand(bool(record["text"].strip()) and (known or len(record["text"]) > 40), "no words")
        self.heard.add(record["id"])
        self.fresh.append(record)

    def _stop(self, record: dict[str, Any]) -> None:
        demand(bool(record["title"] and record["text"] and record["do"]), "a stop without words")
        demand(bool(record["until"]) != bool(record["leave_to"]), "nobody knows how it ends")
        self.fresh.append(record)

    def _confirm(self, record: dict[str, Any]) -> None:
        """Nothing is bent: what was taken was said."""
        said = record["text"]
        pieces = [one["words"] for one in record["taken"]] + record["not_understood"]
        for piece in pieces:
            demand(
                all(part.strip() in said for part in piece.split("\u2026")), f"not said: {piece!r}"
            )

    def _error(self, record: dict[str, Any]) -> None:
        text = record["text"]
        demand(0 < len(text) < 400 and text.isprintable(), f"not one plain sentence: {text!r}")
        demand(not any(word in text for word in NEVER_SAID), f"an inside shows: {text!r}")
        self.tally.counts["contradictions"] += "the same answer will stand" in text
        self.refused = True

    def _result(self, record: dict[str, Any]) -> None:
        self._timed()
        self._said_what_holds()
        self._ends_safely(record)
        chances = [one["probability"] for one in record["ranking"]]
        demand(all(0 <= chance <= 1 for chance in chances), "no probability")
        self._sums_to_one(sum(chances))
        demand(sorted(chances, reverse=True) == chances, "not in order")
        for key in ("cause", "repair", "fix", "cautions"):
            demand(bool(record[key]) or not self.walk.evidence, f"the result has no {key}")
        left = self.did in ("stop", "run away")
        demand(bool(record["why_stopped"]) or left, "nobody knows why it stopped")
        local = self._book.cautions["local-codes"].text
        demand(" ".join(local.split()) in record["cautions"], "local codes are not named")

    def _ends_safely(self, record: dict[str, Any]) -> None:
        """The fix begins with the stops that stand; where nothing ends one, that is all of it."""
        stops, fix = record["stops"], record["fix"]
        demand({one["id"] for one in stops} == self.stood, "the result forgets a stop")
        for one in stops:
            size = len(one["do"]) + 1
            *first, ends = fix[:size]
            demand(first == one["do"], f"the fix does not begin with {one['id']}")
            demand((one["until"] or one["leave_to"]) in ends, f"no word how {one['id']} ends")
            fix = fix[size:]
        if any(one["until"] is None for one in stops):
            demand(not (fix or record["parts"] or record["verify"]), "a repair all the same")

    def _sums_to_one(self, total: float) -> None:
        self.tally.off = max(self.tally.off, abs(total - 1))
        demand(abs(total - 1) < 1e-9, f"probabilities sum to {total!r}")


def session(
    bench: Bench,
    rules: Sequence[RuleRecord],
    seed: str,
    casebook: Path | None = None,
    patience: int = PATIENCE,
    told: tuple[Evidence, ...] = (),
) -> Tally:
    """One session to its end. Raises Wrong, or whatever the program itself raises.

    told: at the start; without it, in some sessions something that raises a stop
    """
    draw = random.Random(seed)
    if not told and draw.random() < STOPPED:
        told = (draw.choice(raisers(bench)),)
    monkey = Monkey(Walk(bench, told), rules, draw.choice([*MOODS]), draw, patience)
    monkey.stays = draw.random() < 0.5
    wire = cast(Any, monkey)
    LineConversation(Keeper(monkey.walk, casebook), Wire(wire, wire)).hold()
    demand([one["type"] for one in monkey.said].count("result") == 1, "not one result")
    demand(monkey.said[-1]["type"] == "result", "the result is not the end")
    if casebook is not None:
        kept = Casebook.open(casebook).cases()
        demand(not kept.problems and len(kept.good) == 1, f"the case is not kept: {kept.problems}")
        demand({*kept.good[0].standing} == monkey.stood, "the case forgets a stop")
    monkey.tally.longest = monkey.sent
    monkey.tally.counts["made safe"] += sum(step.how == MADE_SAFE for step in monkey.walk.steps)
    monkey.tally.counts[f"mood: {monkey.mood}"] += 1
    return monkey.tally
