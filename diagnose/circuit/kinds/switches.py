"""Switches worked by hand, foot, key, pressure, level or flow."""

from functools import partial

from diagnose.circuit.kinds.kind import Kind

BOTH = ("feed", "control")
_hand = partial(Kind, ohms="hand-switch-resistance")

KINDS = (
    Kind(
        "master_switch",
        ("feed",),
        points=("master.in", "master.out"),
        parameters=("master_switch",),
        by_hand=True,
    ),
    _hand("hand_switch", BOTH, calls=True, by_hand=True),
    _hand("foot_switch", BOTH, calls=True, by_hand=True),
    _hand("trigger_switch", ("feed",), calls=True, by_hand=True),
    _hand("ignition", BOTH, by_hand=True),
    Kind(
        "pressure_switch",
        BOTH,
        points=("pswitch.in", "pswitch.out"),
        parameters=("pressure_switch",),
        calls=True,
    ),
    Kind(
        "float_switch",
        BOTH,
        points=("float.in", "float.out"),
        parameters=("float_switch",),
        calls=True,
    ),
    Kind("flow_switch", BOTH, ohms="pressure-switch-resistance", calls=True),
    Kind("remote", ("control",), points=("remote.in", "remote.out"), parameters=("remote_output",)),
)
