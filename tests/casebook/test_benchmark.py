"""How long a large casebook takes; of two hundred cases unless DIAGNOSE_BENCHMARK says of how many.

    DIAGNOSE_BENCHMARK=10000 pytest tests/casebook/test_benchmark.py -s

All cases are made up by chance.
"""

import os
import random
import time
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta

import pytest

from diagnose.casebook.brief import Filter, selected
from diagnose.casebook.case_file import to_yaml
from diagnose.casebook.index import opened_index
from diagnose.casebook.record import ReadAt, SeenAt
from diagnose.casebook.review import review
from diagnose.casebook.similar import similar
from diagnose.circuit.reading_words import reading_of

COUNT = int(os.environ.get("DIAGNOSE_BENCHMARK", "200"))

LIMITS = {"rebuild": 30.0, "list": 1.0, "review": 1.0, "similar": 1.0}
"""Seconds of the processor with 10,000 cases; in proportion with more."""


@contextmanager
def timed(what):
    """Prints the time on the clock, and holds the processor's time to the limit."""
    start, busy = time.perf_counter(), time.process_time()
    yield
    busy = time.process_time() - busy
    print(f"{what:8} {COUNT} cases {time.perf_counter() - start:8.2f} s, {busy:8.2f} s busy")
    assert busy < LIMITS[what] * max(1, COUNT / 10_000)


def invented(shop, made, count):
    """Cases with twelve findings each, by chance."""
    chance, book = random.Random(1), shop.catalogue
    modes, seen = sorted(book.failure_modes), sorted(book.observations.values(), key=lambda o: o.id)
    reading = reading_of("voltage fuse.in fuse.out calling")
    for number in range(count):
        opened = datetime(2016, 1, 1, tzinfo=UTC) + timedelta(hours=8 * number)
        mode, picked = chance.choice(modes), chance.sample(seen, 10)
        yield made(
            number,
            opened=opened,
            closed=opened + timedelta(hours=1),
            status="closed",
            confirmed_by="verification",
            true_cause=mode,
            cause=mode if chance.random() < 0.7 else chance.choice(modes),
            seen=tuple(
                SeenAt(o.id, chance.choice(list(o.options)), opened, 1.0, chance.random())
                for o in picked
            ),
            read=(ReadAt(reading, chance.random(), 0.03, 0.138, "high", opened, 1.0, 0.5),),
        )


def test_a_large_casebook_answers_at_once(casebook, made, shop):
    resource = pytest.importorskip("resource")
    groups = {mode.id: mode.group for mode in shop.catalogue.failure_modes.values()}
    for case in invented(shop, made, COUNT):
        path = casebook.path_of(case.id)
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(to_yaml(case), "utf-8")

    with timed("rebuild"), opened_index(casebook):
        pass
    with timed("list"), opened_index(casebook) as index:
        assert len(selected(index.briefs(), Filter(group="relay"), groups)) > 0
    with timed("review"), opened_index(casebook) as index:
        assert review(index, index.briefs(), groups).cases == COUNT
    answers = {"relay-sound": "chatters", "smell": "none", "pump-action": "slow", "flow": "weak"}
    with timed("similar"), opened_index(casebook) as index:
        assert len(similar(index, answers).cases) == 5
    print(f"memory   {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:8.0f} MB at most")
