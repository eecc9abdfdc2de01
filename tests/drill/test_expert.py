"""The walk finds clear faults; one who measures at random, with the same minutes, proves less.

More of the same: diagnose drill check RIG --count 200.
"""

from __future__ import annotations

from collections.abc import Callable

from diagnose.bench import Bench
from diagnose.drill.path import at_random, played
from diagnose.walkthrough import Walk


def test_the_advised_path_finds_what_is_hidden_and_chance_is_less_sure(
    bench_of: Callable[[str], Bench],
) -> None:
    """On a rig described in short and on one that lists its parts."""
    drills = [one for rig in ("bowser", "bilge") for one in played(bench_of(rig), 1, range(2))]
    assert [one.expert.right for one in drills] == [True] * 4
    assert [one.random.sure < one.expert.sure for one in drills] == [True] * 4


def test_chance_keeps_to_the_minutes_and_to_the_rules(bowser: Bench) -> None:
    walk, policy = Walk(bowser), at_random(1, 20.0)
    question = policy(walk)
    while question is not None:
        assert not walk.conclusions().block_on(question.test.rule_name)
        walk.pass_over(question, "unknown")
        question = policy(walk)
    assert 20.0 <= walk.minutes < 45.0
