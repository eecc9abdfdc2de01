"""Simulated faults through the trees of a page, beside the walk itself.

python -m tests.handout [--rig bowser] [--faults 200] [--seed 1] [--wrong 0.05] [--workers 2]

Prints the size of the trees, how many faults were asked, stopped and ranked by the page as by the
walk along the same answers, and how often the right repair stands first and among three: at the end
of the page, after a walk that goes on from what the page sent, and after a walk from the beginning.
"""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Iterator

from rich.progress import track

from diagnose.bench import Bench, Shop
from diagnose.circuit.rig import rig_called
from diagnose.handout.code import Code, opening, read, written
from diagnose.handout.growing import DEPTH, Grove, grow
from diagnose.handout.page import page_html
from diagnose.handout.taking import take_over
from diagnose.handout.tree import Node
from diagnose.simulate.policies import own
from diagnose.simulate.truth import Person
from diagnose.study.play import Verdict, _Player, make_safe, play, verdict
from diagnose.study.scores import share as scored
from diagnose.walkthrough import Walk
from tests.handout.playing import Fault, Played, drawn, through

KINDS = ("with a meter", "without a meter")


def nodes(node: Node) -> Iterator[Node]:
    yield node
    for way in getattr(node, "ways", ()):
        yield from nodes(way.to)


def gone_on(bench: Bench, able: str, fault: Fault, played: Played) -> Verdict:
    """What a walk names that goes on from the answers of the page as they were typed."""
    _, rig, book, _ = opening(bench.rig).split(":")
    code = Code(rig, book, able, fault.complaint.id, tuple(played.typed))
    walk = Walk(bench, able=able)
    take_over(walk, read(written(code)))
    player = _Player(walk, fault.truth, fault.person)
    make_safe(walk)
    while question := own(walk):
        player.step(question)
        make_safe(walk)
    return verdict(walk, walk.belief(), fault.truth.modes)


def line(name: str, found: list[Verdict], asked: list[int]) -> str:
    """First, among three, and the median of the questions."""
    parts = []
    for most in (1, 3):
        part = scored(sum(one.repair_rank <= most for one in found), len(found))
        parts.append(f"{part.value:.3f} ({part.low:.3f} to {part.high:.3f})")
    questions = f"{sorted(asked)[len(asked) // 2]} questions" if asked else ""
    return f"  {name:<34}{'  '.join(parts)}  {questions}".rstrip()


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.handout", description=__doc__)
    parser.add_argument("--rig", default="bowser")
    parser.add_argument("--at", default="phone")
    parser.add_argument("--faults", type=int, default=200)
    parser.add_argument("--depth", type=int, default=DEPTH)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--wrong", type=float, default=0.05)
    parser.add_argument("--workers", type=int)
    given = parser.parse_args()
    bench = Bench.for_rig(rig_called(given.rig), Shop.shipped())
    begun = time.perf_counter()
    grove = grow(bench, given.at, given.depth, workers=given.workers)
    seconds = time.perf_counter() - begun
    count = Counter(type(n).__name__ for kind in grove.trees for tree in kind for n in nodes(tree))
    size = len(page_html(bench, grove).encode())
    print(f"{given.rig}: {dict(count)}, {size / 1000:,.0f} kB, {seconds:.0f} s to grow")
    person = Person(wrong=given.wrong)
    seeds = track(range(given.faults), "playing", transient=True)
    faults = [fault for n in seeds if (fault := drawn(bench, (given.seed, n), person))]
    for kind, name in enumerate(KINDS):
        compared(bench, name, grove, kind, faults)


def compared(bench: Bench, name: str, grove: Grove, kind: int, faults: list[Fault]) -> None:
    """Print how the page stands beside the walk, for one kind of person."""
    page, after, walks = list[Verdict](), list[Verdict](), list[Verdict]()
    on_page, in_walk, unlike = list[int](), list[int](), list[str]()
    for fault in track(faults, name, transient=True):
        played = through(bench, grove, kind, fault)
        unlike += played.unlike[:1]
        page.append(played.verdict)
        on_page.append(len(played.stood_for))
        after.append(gone_on(bench, grove.able[kind], fault, played))
        episode = play(Walk(bench, able=grove.able[kind]), fault.truth, fault.person, own)
        walks.append(episode.verdict)
        in_walk.append(len(episode.asked))
    alike = len(faults) - len(unlike)
    print(f"{name}: {alike} of {len(faults)} faults as by the walk along the same answers")
    for one, often in Counter(unlike).most_common(5):
        print(f"    {often} x {one}")
    print("  right repair                        first                   among three")
    print(line("at the end of the page", page, on_page))
    print(line("a walk that goes on from there", after, []))
    print(line("a walk from the beginning", walks, in_walk))


if __name__ == "__main__":
    main()
