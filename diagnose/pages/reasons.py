"""Why a question is asked, why one failure mode leads and another does not, how the book fits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import islice

from diagnose.bench import Bench
from diagnose.casebook.learning import Learning
from diagnose.catalogue.records import FailureMode, ReadingEntry, holds
from diagnose.circuit.meter import Reading
from diagnose.errors import DiagnoseError, UnknownName, nearest, one_line
from diagnose.pages.blocks import Share, Shares
from diagnose.reasoning.consistency import Fit
from diagnose.reasoning.explanation import evidence_name, finding_sentences, reason_lines, title
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.outlook import Outlook, Pointer, Span, outlook
from diagnose.reasoning.posterior import Posterior
from diagnose.reasoning.words import band, per_cent, rough, spaced
from diagnose.walkthrough import Question, Walk


class NotHere(DiagnoseError):
    """A failure mode that this rig cannot have."""


IN_FRONT = 4
"""Failure modes shown while the walk goes on."""


def likeliest(bench: Bench, ranking: Iterable[tuple[str, float]], most: int = IN_FRONT) -> Shares:
    """The likeliest failure modes of the book; how well the book fits stands apart."""
    book = bench.shop.catalogue
    found = (Share(per_cent(p), p, title(book, name)) for name, p in ranking if name != OTHER)
    return Shares(tuple(islice(found, most)))


def fit_line(unknown: float, fit: Fit) -> str:
    """How well the book fits what was found, as its own line."""
    share = f"{per_cent(unknown)} that it is nothing of the book."
    if fit.fits:
        return share
    odd = "; ".join(map(evidence_name, fit.odd)) or "all of it together"
    return (
        f"{share} What was found fits the book badly: {odd}. Check that first; if it stands, think "
        "of something that is not in the book."
    )


def counted_here(bench: Bench, mode: str) -> tuple[int, int] | None:
    """Confirmed cases of a failure mode, and of all that this rig can have; None without any."""
    modes = bench.hypotheses.modes
    if mode == OTHER or not isinstance(bench.learn, Learning) or not bench.learn.total(modes):
        return None
    return bench.learn.counts.get(mode, 0), bench.learn.total(modes)


def said_here(bench: Bench, mode: str) -> str:
    """ "this shop: 7 of 31", or "" where nothing was learned."""
    counted = counted_here(bench, mode)
    return f"this shop: {counted[0]} of {counted[1]}" if counted else ""


@dataclass(frozen=True)
class Explanation:
    """Sentences, then points under them."""

    sentences: tuple[str, ...]
    points: tuple[str, ...]


def why_question(walk: Walk, question: Question) -> Explanation:
    """Why this question: its use, what it would settle, what each outcome would point to."""
    found = outlook(walk.bench.chooser, walk.belief(), question.test)
    heads = (one_line(question.entry.why), _expected(found))
    points = tuple(_means(walk.bench, question, one) for one in found.pointers)
    return Explanation((*heads, "What each answer would mean on this rig:"), points)


def _expected(found: Outlook) -> str:
    """The expected information in plain words."""
    if found.share < 0.02:
        return "It is expected to settle next to nothing of what is still open."
    return f"On average it settles about {per_cent(found.share)} of what is still open."


def _means(bench: Bench, question: Question, one: Pointer) -> str:
    """What some outcomes would point to, in words."""
    outcomes = [*map(spaced, one.answers)]
    if isinstance(question.entry, ReadingEntry):
        outcomes = [_span(question.entry.reading, span) for span in one.spans]
    name = title(bench.shop.catalogue, one.mode) if one.mode else ""
    means = f"points to {name[0].lower()}{name[1:]}" if name else "leaves it as open as it is"
    return f"{' or '.join(outcomes)} {means}"


def _span(reading: Reading, span: Span) -> str:
    low, high = span
    if low is None:
        return "anything" if high is None else f"below {rough(high, reading)}"
    return f"above {rough(low, reading)}" if high is None else band(low, high, reading)


def why_leader(walk: Walk) -> Explanation:
    """Why the failure mode of the book in front is in front."""
    belief = walk.belief()
    name, probability = next(one for one in belief.ranking if one[0] != OTHER)
    head = f"In front: {title(walk.bench.shop.catalogue, name)}, {per_cent(probability)}."
    return Explanation((head,), _speaks(walk, belief, name))


def _speaks(walk: Walk, belief: Posterior, name: str) -> tuple[str, ...]:
    lines = reason_lines(belief, (name,), walk.bench.healthy)
    return lines or ("Nothing found so far moves it; it stands where experience puts it.",)


def why_found(walk: Walk) -> Explanation:
    """What the answers so far say together, and why."""
    found = finding_sentences(walk.conclusions(), walk.evidence)
    points = tuple(f"{one.text} {one_line(one.because)}" for one in found)
    return Explanation(("Found so far:",) if points else (), points)


def why_stopped(walk: Walk) -> str:
    """Why no further question is asked, or ""."""
    belief = walk.belief()
    return walk.stop_reason(belief, walk.choices(belief))


def why_not(walk: Walk, typed: str) -> Explanation:
    """Where a failure mode stands and what put it there. Raises UnknownName or NotHere."""
    bench = walk.bench
    mode = mode_named(bench.shop.catalogue.failure_modes, typed)
    if mode.id not in bench.hypotheses.modes:
        raise NotHere(_needs(mode, bench.hypotheses.facts))
    belief = walk.belief()
    now = dict(belief.ranking)
    place = [*now].index(mode.id) + 1
    before = dict(Walk(bench).belief().ranking)[mode.id]
    head = (
        f"{mode.title}: {per_cent(now[mode.id])}, place {place} of {len(now)}; "
        f"{per_cent(before)} before anything was said."
    )
    return Explanation((head,), _speaks(walk, belief, mode.id))


def mode_named(modes: Mapping[str, FailureMode], typed: str) -> FailureMode:
    """The failure mode of an id, of its name on the screen, or of words that only one of them has.
    Raises UnknownName with those that it could be."""
    said = one_line(typed.lower())
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
            wanted = " or ".join(map(spaced, values))
            return f"{mode.title}: this rig cannot have it; it needs {spaced(fact)}: {wanted}."
    return f"{mode.title} is not considered on this rig."
