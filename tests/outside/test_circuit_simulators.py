"""The circuit agrees with general-purpose circuit simulators that know nothing of this program.

ngspice is left out where it is not installed, neospice where there is no wheel. A third solver,
LAPACK's dense LU, checks the linear part in tests/circuit/test_solve.py.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from tests.outside.cells import Cell, Missing
from tests.outside.circuit_simulators import Pair, cells, pairs
from tests.outside.simulators import SIMULATORS


@pytest.fixture(scope="module", params=SIMULATORS)
def simulator(request: pytest.FixtureRequest) -> str:
    name = str(request.param)
    try:
        pairs(name)
    except Missing as missing:
        pytest.skip(str(missing))
    return name


@pytest.fixture(scope="module")
def compared(simulator: str) -> Sequence[Cell]:
    return cells(simulator)


@pytest.mark.parametrize(
    "table", ["node voltages", "motor currents", "speed and pressure", "relay states", "voltmeter"]
)
def test_the_circuit_agrees_with_a_simulator(compared: Sequence[Cell], table: str) -> None:
    found = [cell for cell in compared if cell.table == table]

    assert len(found) > 50
    assert not [cell.told for cell in found if not cell.met]


def test_the_rigs_do_all_that_rigs_can_do(simulator: str) -> None:
    """Else agreement would say little."""
    found: tuple[Pair, ...] = pairs(simulator)
    motors = [pair.theirs.found.state.motor for pair in found]
    relays = {(pair.theirs.pulled, pair.theirs.chatter) for pair in found}

    assert motors.count("turning") > len(found) / 4
    assert {(True, False), (True, True), (False, False)} <= relays
    assert all(
        bool(pair.ours.turning[0]) == (motor == "turning")
        for pair, motor in zip(found, motors, strict=True)
        if pair.theirs.pulled and motor != "absent"
    )
