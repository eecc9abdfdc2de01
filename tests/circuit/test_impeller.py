"""The impeller pump: affinity laws, a torque that grows with the flow, and its limits."""

from __future__ import annotations

import numpy as np

from diagnose.circuit.model import Model
from diagnose.circuit.motor import Impeller, run
from diagnose.circuit.rig import open_rig

BILGE = Model.of(open_rig("bilge"))
PUMP = Impeller(shut=1.5, idle=0.5)


def test_an_impeller_takes_no_sudden_step_where_its_suction_begins_to_starve() -> None:
    """Current and speed against a limit that comes nearer: torque follows what is pumped."""
    limits = np.linspace(0.5, 1.2, 400)
    batch = BILGE.sound_batch(len(limits)).with_values({"suction.limit": limits})
    volts_there, none = np.full(len(limits), 12.0), np.zeros(len(limits))
    for opened in (True, False):
        motor = run(batch, volts_there, none, PUMP.load(batch, opened), none, breakaway=1.5)
        assert np.abs(np.diff(motor.current)).max() < 0.02 * motor.current.max()
        assert np.abs(np.diff(motor.speed)).max() < 0.02


def test_an_impeller_takes_less_with_its_outlet_shut() -> None:
    """Pump textbooks: power of a radial impeller rises with flow; shut, its head is the highest."""
    opened, shut = (
        run(b, np.array([12.0]), np.zeros(1), PUMP.load(b, is_open), np.zeros(1), breakaway=1.5)
        for b in [BILGE.sound_batch()]
        for is_open in (True, False)
    )

    assert shut.current[0] < opened.current[0]
    assert shut.pressure[0] > opened.pressure[0]
    assert shut.speed[0] > opened.speed[0]
