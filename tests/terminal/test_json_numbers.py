"""Numbers of the line protocol count with the digits that they are written with."""

from __future__ import annotations

import pytest

from diagnose.bench import Bench
from diagnose.reasoning.evidence import Measured
from diagnose.walkthrough import Walk
from tests.terminal.lines import answered

LUGS = "voltage lug+ lug- calling"


@pytest.mark.parametrize(
    ("line", "resolution", "typed"),
    [
        (b'{"answer": 12}', 1.0, "12 V"),
        (b'{"answer": 12.0}', 0.1, "12.0 V"),
        (b'{"answer": 12.04}', 0.01, "12.04 V"),
        (b'{"answer": 12.00, "unit": "V"}', 0.01, "12.00 V"),
        (b'{"answer": 12040, "unit": "mV"}', 0.001, "12040 mV"),
        (b'{"answer": 1.2e1}', 1.0, "1.2e1 V"),
        (b'{"answer": "~12"}', 2.0, "about 12 V"),
        (b'{"answer": "about 12", "unit": "V"}', 2.0, "about 12 V"),
    ],
)
def test_a_number_counts_with_the_digits_it_has(
    bowser: Bench, line: bytes, resolution: float, typed: str
) -> None:
    """JSON keeps no digits, but its text does (RFC 8259, section 6, says nothing against it)."""
    walk = Walk(bowser)
    answered(walk, walk.ask(LUGS), line)

    (item,) = walk.evidence
    assert isinstance(item, Measured)
    assert item.resolution == pytest.approx(resolution)
    assert item.typed == typed
