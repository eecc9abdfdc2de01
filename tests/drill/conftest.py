"""Drills on the bundled rigs, and trainees' files in a folder of their own."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from diagnose.bench import Bench
from diagnose.drill.scenario import Scenario
from diagnose.drill.session import Session
from tests.once import drawn_once, given_once


@pytest.fixture(scope="session")
def hidden_in(bench_of: Callable[[str], Bench]) -> Callable[..., Scenario]:
    """The drill of one failure mode: rig, failure mode, level, seed."""

    def hide(rig: str, mode: str, level: int = 1, seed: int = 1) -> Scenario:
        return given_once(bench_of(rig), level, seed, mode)

    return hide


@pytest.fixture(scope="session")
def drawn_on(bench_of: Callable[[str], Bench]) -> Callable[..., Scenario]:
    """The drill of a seed: rig, level, seed, group."""

    def draw(rig: str, level: int, seed: int, group: str = "") -> Scenario:
        return drawn_once(bench_of(rig), level, seed, group)

    return draw


@pytest.fixture
def at_work(hidden_in: Callable[..., Scenario]) -> Callable[..., Session]:
    """A trainee at the bowser with one hidden fault, after some acts.

    Of seed 11 the relay chatters and the holder loses volts: what is found can prove the fault.
    """

    def work(
        *acts: str, mode: str = "fuse-holder-corroded", rig: str = "bowser", seed: int = 11
    ) -> Session:
        session = Session(hidden_in(rig, mode, seed=seed))
        for act in acts:
            session.do(act)
        return session

    return work
