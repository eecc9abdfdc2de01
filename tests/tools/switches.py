"""How often control passes between modules: python -m tests.tools switches [RIG] [--pairs N]

On a walk whose complaint is that the pump is silent, the first advised question is answered with
its most likely answer, and then the next one. A switch is a call from a function of one `diagnose`
module into a function of another, whatever libraries lie between; the way back is not counted
again. --pairs: the pairs of modules between which control passes most.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from types import FrameType

import numpy as np

from diagnose.bench import Bench, Shop
from diagnose.catalogue.records import Observation
from diagnose.circuit.rig import open_rig
from diagnose.reasoning.predictions import unscaled
from diagnose.walkthrough import Question, Walk

COMPLAINT = ("pump-action", "silent")
ROUNDS = 2
"""Questions that are answered."""


@dataclass
class Switches:
    """Calls from module to module, counted by pair, and the modules that did anything."""

    pairs: Counter[tuple[str, str]] = field(default_factory=Counter)
    modules: set[str] = field(default_factory=set)

    @property
    def count(self) -> int:
        return self.pairs.total()


def counted(work: Callable[[], object], package: str = "diagnose") -> Switches:
    """Do the work, and count the switches between modules of a package."""
    found, inside = Switches(), [""]

    def note(frame: FrameType, event: str, _: object) -> None:
        if event == "call":
            module, before = str(frame.f_globals.get("__name__")), inside[-1]
            if module != package and not module.startswith(f"{package}."):
                inside.append(before)  # a library: what it calls is called from where it was called
                return
            found.modules.add(module)
            if before not in ("", module):
                found.pairs[before, module] += 1
            inside.append(module)
        elif event == "return" and len(inside) > 1:
            inside.pop()

    sys.setprofile(note)
    try:
        work()
    finally:
        sys.setprofile(None)
    return found


def likeliest(walk: Walk, question: Question) -> str:
    """The most likely answer: an option, or the reading under the likeliest hypothesis."""
    column, predictions, entry = walk.belief().column, walk.bench.predictions, question.entry
    if isinstance(entry, Observation):
        return tuple(entry.options)[int(np.argmax(predictions.plain(entry.id) @ column))]
    mean = predictions.band(entry.reading).mean[int(np.argmax(column))]
    return f"{unscaled(entry.reading, float(mean)):.3g} {entry.reading.unit}"


def measured(bench: Bench) -> Iterator[tuple[str, Switches]]:
    """Each answer and each next question of a walk."""
    walk = Walk(bench)
    test, option = COMPLAINT
    walk.answer(walk.ask(test), option)
    question = walk.question()
    for _ in range(ROUNDS):
        assert question is not None
        asked, text = question, likeliest(walk, question)
        yield f"one answer ({asked.id}: {text})", counted(lambda: walk.answer(asked, text))  # noqa: B023
        yield "next question", counted(walk.question)
        question = walk.question()


def main() -> None:
    ask = argparse.ArgumentParser(prog="python -m tests.tools switches")
    ask.add_argument("rig", nargs="?", default="bowser")
    ask.add_argument("--pairs", type=int, default=0, help="show so many pairs of modules")
    given = ask.parse_args()
    bench = Bench.for_rig(open_rig(given.rig), Shop.shipped())
    print(f"{'':<60}{'switches':>9}{'modules':>9}")
    for what, found in measured(bench):
        print(f"{what:<60}{found.count:>9}{len(found.modules):>9}")
        for (caller, called), times in found.pairs.most_common(given.pairs):
            print(f"  {times:>7}  {caller} -> {called}")


if __name__ == "__main__":
    main()
