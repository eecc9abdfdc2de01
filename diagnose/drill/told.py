"""What the customer says: one or two plain sentences, from the state of the circuit."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Annotated

import numpy as np

from diagnose.annotations import At
from diagnose.bench import Bench
from diagnose.catalogue.records import Complaint
from diagnose.documents import load
from diagnose.drill.hidden import OWN_EYES, Level, seen_there
from diagnose.figures import knowledge_folder
from diagnose.record_reader import read
from diagnose.simulate.truth import Truth, pick

GUESSES = {1: 0.5, 2: 0.7, 3: 0.7}
"""Chance that the customer says what they think it is, by level; else they may say how it began."""


@dataclass(frozen=True)
class Guess:
    """What a customer thinks it is; after: complaints with which they say so, all when empty."""

    say: str
    after: Annotated[tuple[str, ...], At("with")] = ()


@dataclass(frozen=True)
class Trap:
    """A repair that sounds right and is not."""

    say: str
    why: str
    dangerous: bool = False


@dataclass(frozen=True)
class People:
    """knowledge/drill_people.yaml. sayings, onset: by complaint and by answer; traps: by group."""

    sayings: Mapping[str, tuple[str, ...]]
    service: tuple[str, ...]
    onset: Mapping[str, tuple[str, ...]]
    guesses: tuple[Guess, ...]
    traps: Mapping[str, tuple[Trap, ...]]


@dataclass(frozen=True)
class Told:
    """words: one or two sentences; seen: what they say of the rig, as observations."""

    words: str
    seen: Mapping[str, str]
    complaint: str = ""


def load_people(file: Path) -> People:
    """The people in a file. Raises Mistakes with every problem of it."""
    document = load(file)
    people = read(People, document)
    document.finish()
    return people


@cache
def shipped_people() -> People:
    """Those that come with the program, read once."""
    return load_people(knowledge_folder() / "drill_people.yaml")


def tell(bench: Bench, truth: Truth, level: Level) -> Told | None:
    """The complaint that the fault brings about; None when nobody would notice it."""
    book, facts = bench.shop.catalogue, bench.hypotheses.facts
    seen = truth.complaint(OWN_EYES, book, facts)
    if not seen:
        return None
    random = np.random.default_rng([*truth.seed, *b"told"])
    fitting = [one for one in book.complaints.values() if one.seen == seen and _fits(one, bench)]
    chosen = fitting[pick(random, np.ones(len(fitting)))]
    people = shipped_people()
    first = _one_of((chosen.say, *people.sayings.get(chosen.id, ())), random)
    second, more = _more(bench, truth, level, chosen.id, random)
    return Told(f"{first} {second}".strip(), {**seen, **more}, chosen.id)


def _fits(one: Complaint, bench: Bench) -> bool:
    """Of a pump that does not stop people say, where a float calls it, that the tank overflows."""
    floats = bench.rig.control == "float_switch"
    return {"tank-overflows": floats, "keeps-running": not floats}.get(one.id, True)


def _more(
    bench: Bench, truth: Truth, level: Level, after: str, random: np.random.Generator
) -> tuple[str, Mapping[str, str]]:
    """A second sentence, and what it says of the rig: a guess says nothing of it."""
    people = shipped_people()
    if random.random() < GUESSES[level.number]:
        fitting = [one.say for one in people.guesses if not one.after or after in one.after]
        return _one_of(fitting, random), {}
    book = bench.shop.catalogue
    onset = seen_there(truth, book.observations["onset"], book, level.plain)
    return _one_of(people.onset[onset], random), {"onset": onset}


def tell_of_service(bench: Bench, truth: Truth) -> Told:
    """What is said of a rig of which nobody complains: it runs, have a look."""
    book = bench.shop.catalogue
    random = np.random.default_rng([*truth.seed, *b"told"])
    action = seen_there(truth, book.observations["pump-action"], book, plain=True)
    seen = {"pump-action": action} if action == "normal" else {}
    return Told(_one_of(shipped_people().service, random), seen)


def _one_of(texts: Sequence[str], random: np.random.Generator) -> str:
    return texts[int(random.integers(len(texts)))]
