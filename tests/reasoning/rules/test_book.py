"""The engine against a plain reading of the same rules, in any order and under any hash seed."""

import os
import random
import subprocess
import sys
from collections.abc import Iterable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import rule_words, shipped_rules
from diagnose.catalogue.rule_records import VERDICTS
from diagnose.reasoning.rules.book import RuleBook
from diagnose.reasoning.rules.conclusions import Symbols
from tests.plain_rules import fired_by_reading

WORDS = rule_words(shipped_catalogue())


def some_symbols(seed: int) -> Symbols:
    """As much as is known late in a long walk: about 35 facts that need not make sense."""
    pick = random.Random(seed)
    return Symbols(
        seen={
            name: pick.choice(WORDS.observations[name])
            for name in some(pick, WORDS.observations, 14)
        },
        read={name: pick.choice(VERDICTS) for name in some(pick, WORDS.readings, 5)},
        rig={name: pick.choice(values) for name, values in WORDS.rig.items()},
        suspects=dict.fromkeys(some(pick, WORDS.failure_modes, 3), "likely"),
    )


def some(pick: random.Random, names: Iterable[str], count: int) -> list[str]:
    return pick.sample(sorted(names), count)


def shuffled(symbols: Symbols, seed: int) -> Symbols:
    def mixed(facts: dict[str, str]) -> dict[str, str]:
        items = list(facts.items())
        random.Random(seed).shuffle(items)
        return dict(items)

    kinds = ("seen", "read", "rig", "suspects")
    return Symbols(**{kind: mixed(dict(getattr(symbols, kind))) for kind in kinds})


@settings(max_examples=60, deadline=None, derandomize=True)
@given(seed=st.integers(0, 10**6))
def test_engine_fires_what_the_rules_say(seed: int, book: RuleBook) -> None:
    symbols = some_symbols(seed)

    firings = book.run(symbols).firings

    fired = {firing.rule.id for firing in firings}
    assert fired == fired_by_reading(shipped_rules(), symbols)
    assert len(fired) == len(firings)


@pytest.mark.parametrize("seed", range(5))
def test_order_of_facts_and_rules_does_not_matter(seed: int, book: RuleBook) -> None:
    symbols = some_symbols(seed)
    rules = list(shipped_rules())
    random.Random(seed).shuffle(rules)

    assert RuleBook(rules).run(shuffled(symbols, seed)) == book.run(symbols)


def test_answer_withdrawn_is_as_never_given(book: RuleBook) -> None:
    before = book.run(Symbols(seen={"pump-action": "silent"}))
    after_more = book.run(Symbols(seen={"pump-action": "silent", "smoke": "seen"}))

    assert after_more != before
    assert book.run(Symbols(seen={"pump-action": "silent"})) == before
    assert RuleBook(shipped_rules()).run(Symbols(seen={"pump-action": "silent"})) == before


def test_nothing_known_only_keeps_from_asking(book: RuleBook) -> None:
    """Of a rig about which nothing is known a rule may say what is not to be asked yet."""
    conclusions = book.run(Symbols())

    assert conclusions.firings == conclusions.blocks
    assert conclusions.block_on("observation new-main-fuse")


def test_firing_names_the_facts_it_used(book: RuleBook) -> None:
    symbols = Symbols(seen={"smell": "burnt"}, read={"voltage battery+ battery- rest": "low"})

    conclusions = book.run(symbols)

    low, smelt = conclusions.why("R023"), conclusions.why("R212")
    assert low is not None
    assert smelt is not None
    assert [str(fact) for fact in low.facts] == ["reading voltage battery+ battery- rest = low"]
    assert [str(fact) for fact in smelt.facts] == ["seen smell = burnt"]


def test_firing_names_what_was_not_seen(book: RuleBook) -> None:
    """R118: after frost the pump is turned by hand before power is forced into it."""
    unturned = book.run(Symbols(seen={"onset": "after-freezing"})).why("R118")

    assert unturned is not None
    assert [str(fact) for fact in unturned.facts] == [
        "seen onset = after-freezing",
        "not seen motor-turns-by-hand",
    ]


def test_a_stop_names_the_answers_that_raise_it(book: RuleBook) -> None:
    symbols = Symbols(
        seen={"smoke": "seen", "fuse-holder-heat": "too-hot-to-hold"},
        read={"temperature relay": "hot"},
        suspects={"main-fuse-missing": "leading"},
    )

    stops = book.run(symbols).stops
    raised = {one.rule.id: (one.then.stop, one.raised_by) for one in stops}

    assert raised == {
        "R201": ("too-hot", ("fuse-holder-heat",)),
        "R211": ("smoked", ("smoke",)),
        "R219": ("no-fuse", ()),
        "R237": ("too-hot", ("temperature relay",)),
    }


RUNS = """
import random
from test_book import some_symbols
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.reasoning.rules.book import RuleBook
book = RuleBook(shipped_rules())
for seed in range(12):
    print(book.run(some_symbols(seed)))
"""


def runs_under(hash_seed: str) -> str:
    here = os.path.dirname(__file__)
    paths = os.pathsep.join([here, *filter(None, sys.path)])
    environment = {**os.environ, "PYTHONHASHSEED": hash_seed, "PYTHONPATH": paths}
    command = [sys.executable, "-c", RUNS]
    return subprocess.run(
        command, env=environment, capture_output=True, text=True, check=True
    ).stdout


def test_conclusions_are_the_same_under_every_hash_seed(book: RuleBook) -> None:
    """Those of this process and of one with another seed."""
    here = "".join(f"{book.run(some_symbols(seed))}\n" for seed in range(12))

    assert here.count("Firing(") > 12
    assert runs_under("1" if os.environ.get("PYTHONHASHSEED") != "1" else "2") == here
