"""Policies: ways of choosing what to ask next. All stop by the same rule: that of the walk."""

from __future__ import annotations

from collections.abc import Callable
from zlib import crc32

import numpy as np

from diagnose.reasoning.next_test import ExpectedGain
from diagnose.walkthrough import Question, Walk

Policy = Callable[[Walk], Question | None]
"""The next question of a walk, or None when it is time to conclude."""

CHECKLIST = (
    "pump-action",
    "flow",
    "relay-sound",
    "time-pattern",
    "supply-level",
    "main-fuse-element",
    "control-fuse-element",
    "terminals-look",
    "fuse-holder-look",
    "wiring-look",
    "ground-look",
    "voltage battery+ battery- rest",
    "voltage battery+ battery- calling",
    "voltage motor+ motor- calling",
    "voltage battery+ motor+ calling",
    "voltage motor- battery- calling",
    "voltage fuse.in fuse.out calling",
    "voltage master.in master.out calling",
    "voltage relay.86 relay.85 calling",
    "voltage relay.30 relay.87 calling",
    "voltage relay.85 ground calling",
    "voltage pswitch.in pswitch.out calling",
    "voltage float.in float.out calling",
    "jumper-relay-contact",
    "jumper-pressure-switch",
    "jumper-float",
    "bench-run-motor",
    "current motor-feed calling",
    "strainer-look",
    "air-in-suction",
    "leak-look",
    "nozzle-look",
    "flow-rate outlet calling",
    "pressure outlet calling",
)
"""How a workshop card goes through a pump circuit: look, battery, volts at the pump, drops along
the way, control, jumpers, motor, water. Common practice, not from any one card."""


def make_safe(walk: Walk) -> None:
    """Deal with every stop at once, as a careful person would, where it can be dealt with."""
    while stop := next((one for one in walk.stops() if not one.endless), None):
        walk.made_safe(stop.id)


def own(walk: Walk) -> Question | None:
    """What the tool itself would ask."""
    return walk.question()


def _open(walk: Walk) -> tuple[ExpectedGain, ...]:
    """The tests that may be asked now; none when it is time to stop."""
    belief = walk.belief()
    worths = walk.worths(belief)
    return () if walk.stop_reason(belief, worths) else worths


def checklist(walk: Walk) -> Question | None:
    """The next line of the card; past its end, whatever is left in the order of the book."""
    allowed = {worth.test.id for worth in _open(walk)}
    order = (*CHECKLIST, *walk.bench.tests)
    return next((walk.ask(name) for name in order if name in allowed), None)


def at_random(walk: Walk) -> Question | None:
    """Any test that is allowed, drawn from what has been asked so far."""
    allowed = sorted(worth.test.id for worth in _open(walk))
    if not allowed:
        return None
    asked = " ".join(step.test for step in walk.steps if step.is_question)
    random = np.random.default_rng([crc32(asked.encode()), crc32(repr(walk.told).encode())])
    return walk.ask(allowed[random.integers(len(allowed))])


POLICIES: dict[str, Policy] = {"own": own, "checklist": checklist, "random": at_random}
