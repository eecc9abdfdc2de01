"""Why a question is asked, why a failure mode leads, and why another one does not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from diagnose.bench import Bench
from diagnose.catalogue.records import FailureMode, Observation, holds
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import Array
from diagnose.errors import DiagnoseError, UnknownName, nearest
from diagnose.reasoning.available_tests import Test
from diagnose.reasoning.explanation import finding_sentences, outcome_summary, reason_lines, title
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.information import BINS, entropy, information_gain, joint_probabilities
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.predictions import bin_edges, unscaled
from diagnose.reasoning.words import band as words_band
from diagnose.reasoning.words import per_cent, rough, spaced
from diagnose.walkthrough import Question, Walk


class NotHere(DiagnoseError):
    """A failure mode that this rig cannot have."""


@dataclass(frozen=True)
class Outlook:
    """What a test is expected to do. share: part of what is still open that it settles on
    average, 0 to 1; pointers: what each outcome would point to."""

    share: float
    pointers: tuple[str, ...]


def outlook(bench: Bench, belief: Posterior, test: Test) -> Outlook:
    """The expected worth of one test now, and what its outcomes would mean."""
    repairs, table = _joint(bench, belief, test)
    table = table / max(float(table.sum()), 1e-300)
    open_now = float(entropy(table.sum(axis=0)))
    share = information_gain(table) / open_now if open_now > 1e-6 else 0.0
    mended = _likeliest(bench, belief)
    names = tuple(mended[repair] for repair in (*repairs, OTHER))
    return Outlook(min(max(share, 0.0), 1.0), tuple(_pointers(bench, test, table, names)))


def _joint(bench: Bench, belief: Posterior, test: Test) -> tuple[tuple[str, ...], Array]:
    """Repairs, and the joint chance of each outcome with each of them and OTHER."""
    repair, chances = bench.shop.repair, bench.chooser.outcomes
    modes = belief.hypotheses.modes
    repairs = tuple(sorted({repair[mode] for mode in modes}))
    place = {name: index for index, name in enumerate(repairs)}
    group = np.array([place[repair[mode]] for mode in modes], dtype=np.intp)
    row = [one.id for one in chances.tests].index(test.id)
    whole = joint_probabilities(chances, belief, group)
    return repairs, whole[chances.start[row] : chances.start[row + 1]]


def _likeliest(bench: Bench, belief: Posterior) -> dict[str, str]:
    """What each repair most likely mends, and OTHER itself, in words."""
    mended: dict[str, str] = {}
    for name, _ in belief.ranking:
        words = title(bench.shop.catalogue, name)
        mended.setdefault(bench.shop.repair.get(name, name), words[0].lower() + words[1:])
    return mended


def _pointers(bench: Bench, test: Test, table: Array, names: tuple[str, ...]) -> Iterator[str]:
    """What each outcome points to on this rig: every outcome once, and every failure mode once."""
    entry, count = test.entry, len(table)
    words = outcome_summary(table, tuple(map(str, range(count))), names)
    pairs = (one.split(" points to ", 1) for one in words.split("; ") if one)
    points = {int(row): name for row, name in pairs}
    for name, rows in _by_name(points, count).items():
        if isinstance(entry, Observation):
            options = tuple(entry.options)
            outcomes = [spaced(options[row]) for row in rows]
        else:
            outcomes = [_range(bench, entry.reading, *ends, count) for ends in _runs(rows)]
        means = f"points to {name}" if name else "leaves it as open as it is"
        yield f"{' or '.join(outcomes)} {means}"


def _by_name(points: Mapping[int, str], count: int) -> dict[str, list[int]]:
    """Outcomes by what they point to; those that point to nothing come last, under ""."""
    found: dict[str, list[int]] = {}
    for row in range(count):
        found.setdefault(points.get(row, ""), []).append(row)
    rest = found.pop("", [])
    return {**found, "": rest} if rest else found


def _runs(rows: list[int]) -> Iterator[tuple[int, int]]:
    """First and last of the rows that follow each other."""
    first = rows[0]
    for row, after in zip(rows, [*rows[1:], -1], strict=True):
        if after != row + 1:
            yield first, row
            first = after


def _range(bench: Bench, reading: Reading, first: int, last: int, count: int) -> str:
    """The values of a reading in bins `first` to `last` of `count`."""
    band = bench.predictions.band(reading)
    edges = bin_edges(band, bench.predictions.hypotheses.weight, BINS)
    at = [unscaled(reading, float(edge)) for edge in edges]
    if first == 0:
        return "anything" if last == count - 1 else f"below {rough(at[last], reading)}"
    if last == count - 1:
        return f"above {rough(at[first - 1], reading)}"
    return words_band(at[first - 1], at[last], reading)


@dataclass(frozen=True)
class Told:
    """An explanation: sentences, then points under them."""

    sentences: tuple[str, ...]
    points: tuple[str, ...]


def why_question(walk: Walk, question: Question) -> Told:
    """Why this question: its use, what it would settle, what each outcome would point to."""
    found = outlook(walk.bench, walk.belief(), question.test)
    use = " ".join(question.entry.why.split())
    heads = (use, expected(found), "What each answer would mean on this rig:")
    return Told(heads if found.pointers else heads[:2], found.pointers)


def expected(found: Outlook) -> str:
    """The expected information in plain words."""
    if found.share < 0.02:
        return "It is expected to settle next to nothing of what is still open."
    return f"On average it settles about {per_cent(found.share)} of what is still open."


def why_leader(walk: Walk) -> Told:
    """Why the failure mode of the book in front is in front."""
    belief = walk.belief()
    name, probability = next(one for one in belief.ranking if one[0] != OTHER)
    head = f"In front: {title(walk.bench.shop.catalogue, name)}, {per_cent(probability)}."
    return Told((head,), _speaks(walk, belief, name))


def _speaks(walk: Walk, belief: Posterior, name: str) -> tuple[str, ...]:
    lines = reason_lines(belief, (name,), walk.bench.healthy)
    return lines or ("Nothing found so far moves it; it stands where experience puts it.",)


def why_found(walk: Walk) -> Told:
    """What the answers so far say together, and why."""
    found = finding_sentences(walk.conclusions(), walk.evidence)
    points = tuple(f"{one.text} {' '.join(one.because.split())}" for one in found)
    return Told(("Found so far:",) if points else (), points)


def why_stopped(walk: Walk) -> str:
    """Why no further question is asked, or ""."""
    belief = walk.belief()
    return walk.stop_reason(belief, walk.choices(belief))


def why_not(walk: Walk, typed: str) -> Told:
    """Where a failure mode stands and what put it there. Raises UnknownName or NotHere."""
    bench = walk.bench
    mode = mode_named(bench.shop.catalogue.failure_modes, typed)
    if mode.id not in bench.hypotheses.modes:
        raise NotHere(_needs(mode, bench.hypotheses.facts))
    belief = walk.belief()
    now = belief.ranking
    place = [name for name, _ in now].index(mode.id) + 1
    before = dict(Walk(bench).belief().ranking)[mode.id]
    head = (
        f"{mode.title}: {per_cent(dict(now)[mode.id])}, place {place} of {len(now)}; "
        f"{per_cent(before)} before anything was said."
    )
    return Told((head,), _speaks(walk, belief, mode.id))


def mode_named(modes: Mapping[str, FailureMode], typed: str) -> FailureMode:
    """The failure mode of an id, of its name on the screen, or of words that only one of them has.
    Raises UnknownName with those that it could be."""
    said = " ".join(typed.lower().split())
    known = {mode.title.lower(): mode for mode in modes.values()} | {**modes}
    name = said.replace(" ", "-")
    if mode := known.get(said) or known.get(name):
        return mode
    begun = [mode for mode in modes.values() if mode.id.startswith(name)] if name else []
    fitting = begun or [mode for mode in modes.values() if _has_words(mode, said.split())]
    if len(fitting) == 1:
        return fitting[0]
    near = None if fitting else nearest(said, known)
    raise UnknownName("failure mode", said, None, near, [mode.title for mode in fitting])


def _has_words(mode: FailureMode, words: list[str]) -> bool:
    """Whether every word begins one of the words of its title or its id."""
    there = f"{mode.title} {spaced(mode.id)}".lower().split()
    return bool(words) and all(any(one.startswith(word) for one in there) for word in words)


def _needs(mode: FailureMode, facts: Mapping[str, str]) -> str:
    """What a rig would need to have this failure mode."""
    for fact, values in mode.applies.items():
        if not holds({fact: values}, facts):
            wanted = " or ".join(spaced(value) for value in values)
            return f"{mode.title}: this rig cannot have it; it needs {spaced(fact)}: {wanted}."
    return f"{mode.title} is not considered on this rig."
