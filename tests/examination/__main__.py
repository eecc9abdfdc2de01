"""How a fitter's examination goes: python -m tests.examination [NAME]

Situations, published tables and faults made worse step by step, all written from handbooks or by
hand from Ohm's law. With a NAME: only the situations, subjects, tables (`table`) and sweeps
(`by hand`) whose name contains it, every one shown.
"""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from functools import cache

from diagnose.documents import load
from tests.examination.facts import HERE
from tests.examination.situations import IMPOSSIBLE, Mark, mark, situations
from tests.examination.steps import Sweep, by_hand
from tests.examination.sweeps import all_sweeps
from tests.examination.tables import score, tables

PARTS = ("situation", "table", "by hand")
KINDS = ("whole", "single")


@cache
def known() -> list[tuple[str, str]]:
    """Kind and failure mode of the sweeps that may break; the file says why."""
    document = load(HERE / "known.yaml")
    found = []
    for one in document.sections("known"):
        one.text("why")
        found.append((one.choice("sweep", KINDS), one.text("of")))
    document.finish()
    return found


def excused(sweep: Sweep) -> bool:
    """Whether a sweep that breaks may do so."""
    return any(sweep.name.startswith(kind) and f" {of} " in sweep.name for kind, of in known())


def of_situations(wanted: str) -> Iterator[str]:
    chosen = [s for s in situations() if wanted in f"situation {s.subject} {s.id}"]
    if not chosen:
        return
    marks = [mark(one) for one in chosen]
    decided = [one for one in marks if one.situation.decided]
    open_ones = [one for one in marks if not one.situation.decided]
    yield f"SITUATIONS: {len(marks)}, of which the facts decide {len(decided)}"
    yield from _by_subject(marks)
    yield f"  decided, right first        {_share(one.place == 1 for one in decided)}"
    yield f"  decided, right among three  {_share(one.place <= 3 for one in decided)}"
    yield f"  undecided, right first      {_share(one.place == 1 for one in open_ones)}"
    yield f"  undecided, right among three {_share(one.place <= 3 for one in open_ones)}"
    impossible = sum(len(one.excluded) for one in marks)
    named = sum(len(one.situation.excluded) for one in marks)
    yield f"  impossible causes above {IMPOSSIBLE}: {impossible} of {named}"
    for one in marks:
        if one.place > 1 or one.excluded or wanted:
            yield from _shown(one)


def _by_subject(marks: list[Mark]) -> Iterator[str]:
    for subject in dict.fromkeys(one.situation.subject for one in marks):
        here = [one for one in marks if one.situation.subject == subject]
        first = _share(one.place == 1 for one in here)
        yield f"  {subject:<17} first {first}, among three {_share(one.place <= 3 for one in here)}"


def _shown(one: Mark) -> Iterator[str]:
    word = "right" if one.place == 1 else f"WRONG (right is number {one.place})"
    yield f"  {one.situation.subject}/{one.situation.id}: {word}, right {one.right:.2f}"
    yield f"      {one.situation.told}"
    yield f"      ranking: {', '.join(f'{m} {p:.2f}' for m, p in one.verdict.modes[:4])}"
    for name, p in one.excluded:
        yield f"      IMPOSSIBLE {name} {p:.2f}: {one.situation.excluded[name]}"


def of_tables(wanted: str) -> Iterator[str]:
    chosen = [t for t in tables() if wanted in f"table {t.complaint}"]
    if not chosen:
        return
    scores = [score(one) for one in chosen]
    yield f"TABLES: {len(scores)}, causes high enough {_share(w for s in scores for w in s.within)}"
    for one in scores:
        if all(one.within) and not wanted:
            continue
        places = ", ".join(f"{cause} {place}" for cause, place in one.places)
        yield f"  {one.table.complaint} on {one.table.rig}: {_share(one.within)}: {places}"


def of_sweeps(title: str, sweeps: Iterable[Sweep], every: bool) -> Iterator[str]:
    """every: each sweep with all its steps, not only those that break."""
    chosen = list(sweeps)
    if not chosen:
        return
    broken = [one for one in chosen if one.broken]
    open_ones = [one for one in broken if not excused(one)]
    held = f"{len(chosen) - len(broken)} of {len(chosen)}"
    yield f"{title}: hold {held}, break and may {len(broken) - len(open_ones)}"
    yield from (f"  {one.name} {one.broken}" for one in open_ones)
    for one in chosen if every else ():
        steps = " ".join(f"{step.said}:{step.right:.2f}" for step in one.steps)
        yield f"    {one.name}: {steps}"


def _share(flags: Iterable[bool]) -> str:
    met = [bool(flag) for flag in flags]
    return f"{sum(met)} of {len(met)}" + (f" ({sum(met) / len(met):.3f})" if met else "")


def parts(wanted: str) -> Iterator[str]:
    """Every line, part by part; the sweeps of the book last, since they take longest."""
    every = bool(wanted)
    yield from of_situations(wanted)
    yield from of_tables(wanted)
    yield from of_sweeps("SWEEPS BY HAND", by_hand("" if wanted == "by hand" else wanted), every)
    if wanted in PARTS:
        return
    book = list(all_sweeps(wanted))
    for kind in KINDS:
        here = (one for one in book if one.name.startswith(kind))
        yield from of_sweeps(f"SWEEPS OF THE BOOK, {kind}", here, every)


def main() -> None:
    """Print the whole, or what a name chooses."""
    for line in parts(sys.argv[1].lower() if len(sys.argv) > 1 else ""):
        print(line, flush=True)


if __name__ == "__main__":
    main()
