"""How times grow with the knowledge and the cases: python -m tests.tools growth

Failure modes, rules, readings and cases are doubled, and doubled again, by copies with other names.
Each line gives the time with what is shipped, and how many times as long it takes with twice and
four times as much, the three in turn, by processor time and the quickest of nine. 2 and 4 are in
proportion; less is better.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from itertools import permutations
from pathlib import Path

from diagnose.bench import Bench, Shop
from diagnose.casebook.index import opened_index
from diagnose.casebook.index_file import FILE
from diagnose.casebook.similar import similar
from diagnose.casebook.store import Casebook
from diagnose.catalogue.load import load_catalogue, shipped_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.records import Catalogue, FailureMode
from diagnose.catalogue.rule_records import RuleRecord
from diagnose.circuit.meter import Reading
from diagnose.circuit.network import points_on
from diagnose.circuit.rig import open_rig
from diagnose.figures import knowledge_folder
from diagnose.pages.reasons import why_question
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.posterior import posterior
from diagnose.reasoning.rules.book import RuleBook, rejecting_rules
from diagnose.walkthrough import Walk
from tests.tools.benchmarks.rows import least

SIZES = (1, 2, 4)
GARDEN_YEAR = Path(__file__).parents[3] / "cases" / "garden-year"
RIG = open_rig("bowser")

TOLD: tuple[Evidence, ...] = (
    Seen("pump-action", "slow"),
    Seen("relay-sound", "one-click"),
    Measured(Reading("voltage", ("lug+", "lug-"), "calling"), 12.3),
    Measured(Reading("voltage", ("fuse.in", "fuse.out"), "calling"), 0.4),
)
"""What is known when the next test is chosen."""

Timed = Callable[[], object]


def more_modes(times: int) -> Catalogue:
    """The book with every failure mode so many times, each with its own repair."""
    shipped = shipped_catalogue()
    modes: list[FailureMode] = [
        replace(mode, id=f"{mode.id}{'x' * i}", repair=f"{mode.repair}{'x' * i}")
        for i in range(times)
        for mode in shipped.failure_modes.values()
    ]
    return replace(shipped, failure_modes={mode.id: mode for mode in modes})


def more_rules(times: int) -> tuple[RuleRecord, ...]:
    """The rules so many times."""
    rules = shipped_rules()
    return tuple(replace(rule, id=f"{rule.id}{'x' * i}") for i in range(times) for rule in rules)


def more_readings(times: int) -> Catalogue:
    """The book with so many times as many readings: volts between ever more pairs of points."""
    shipped = shipped_catalogue()
    example = shipped.readings["voltage fuse.in fuse.out calling"]
    pairs = permutations(points_on(RIG)[:-1], 2)
    readings, wanted = dict(shipped.readings), times * len(shipped.readings)
    while len(readings) < wanted:
        entry = replace(example, reading=Reading("voltage", next(pairs), "calling"))
        readings.setdefault(entry.id, entry)
    return replace(shipped, readings=readings)


def bench(catalogue: Catalogue, rules: Sequence[RuleRecord]) -> Bench:
    shop = Shop(catalogue, RuleBook(rules), RuleBook(rejecting_rules(rules)))
    made = Bench.for_rig(RIG, shop)
    _ = made.chooser
    return made


def _ranked(made: Bench) -> None:
    """A ranking in which no likelihood is known from before."""
    posterior(replace(made.predictions), TOLD)


def _steps(made: Bench) -> Iterator[tuple[str, Timed]]:
    walk, earlier = Walk(made, TOLD), Walk(made, TOLD[:-1])
    belief, tests = walk.belief(), set(made.tests)
    asked = walk.ask("voltage motor+ motor- calling")
    yield "ranking", partial(_ranked, made)
    yield "next test", lambda: made.chooser.gains(belief, tests, "calling")
    yield "why that test", lambda: why_question(walk, asked)
    # The book remembers its last run, so two walks in turn.
    yield "rules run twice", lambda: (walk.conclusions(), earlier.conclusions())


@contextmanager
def _folder(fill: Callable[[Path, int], None], times: int) -> Iterator[Path]:
    with tempfile.TemporaryDirectory() as name:
        for copy in range(times):
            fill(Path(name), copy)
        yield Path(name)


def _knowledge(folder: Path, copy: int) -> None:
    """The knowledge, or one more copy of its failure modes."""
    if copy == 0:
        shutil.copytree(knowledge_folder(), folder, dirs_exist_ok=True)
        return
    for file in (folder / "failure_modes").rglob("*[!x].yaml"):
        text = file.read_text(encoding="utf-8").replace(
            f"id: {file.stem}", f"id: {file.stem}-{copy}"
        )
        (file.parent / f"{file.stem}-{copy}x.yaml").write_text(text, encoding="utf-8")


def _cases(folder: Path, copy: int) -> None:
    for file in GARDEN_YEAR.rglob("*.yaml"):
        target = folder / file.relative_to(GARDEN_YEAR).with_name(f"{file.stem}{'x' * copy}.yaml")
        target.parent.mkdir(parents=True, exist_ok=True)
        text = file.read_text(encoding="utf-8")
        target.write_text(text.replace(f"id: {file.stem}", f"id: {target.stem}"), encoding="utf-8")


def _indexed(folder: Path) -> None:
    """The index of a casebook, from nothing."""
    with opened_index(Casebook.open(folder)):
        pass
    for file in folder.glob(f"{FILE}*"):
        file.unlink()


def _looked_up(folder: Path) -> None:
    with opened_index(Casebook.open(folder)) as index:
        similar(index, {"pump-action": "slow", "relay-sound": "one-click"})


def loads(times: int) -> Iterator[tuple[str, Timed]]:
    with _folder(_knowledge, times) as folder:
        yield "knowledge load", partial(load_catalogue, folder)


def modes(times: int) -> Iterator[tuple[str, Timed]]:
    yield from _steps(bench(more_modes(times), shipped_rules()))


def rules(times: int) -> Iterator[tuple[str, Timed]]:
    yield from _steps(bench(shipped_catalogue(), more_rules(times)))


def readings(times: int) -> Iterator[tuple[str, Timed]]:
    yield from _steps(bench(more_readings(times), shipped_rules()))


def cases(times: int) -> Iterator[tuple[str, Timed]]:
    with _folder(_cases, times) as folder:
        yield "case index from nothing", partial(_indexed, folder)
        yield "similar cases", partial(_looked_up, folder)


GROWN = {
    "failure modes": (loads, modes),
    "rules": (rules,),
    "readings": (readings,),
    "cases": (cases,),
}
"""What is doubled, and what is timed then."""


def grown() -> Iterator[tuple[str, str, list[float]]]:
    """What is doubled, what is timed, and the times at each size [s]."""
    for what, kinds in GROWN.items():
        for kind in kinds:
            for sizes in zip(*map(kind, SIZES), strict=True):
                name, _ = sizes[0]
                yield what, name, least([work for _, work in sizes], 9)


def main() -> None:
    """One line for each thing that is timed."""
    print(f"{'doubled':<14} {'time of':<24} {'as shipped':>11} {'twice':>8} {'4 times':>8}")
    for what, name, (shipped, twice, again) in grown():
        ratios = f"{twice / shipped:>6.2f} x {again / shipped:>6.2f} x"
        print(f"{what:<14} {name:<24} {shipped * 1e3:>8.1f} ms {ratios}", flush=True)


if __name__ == "__main__":
    main()
