"""Electronics and switches that set how the motor is fed."""

from diagnose.circuit.kinds.kind import Kind

KINDS = (
    Kind(
        "controller",
        ("feed",),
        ohms="controller-resistance",
        sign="box",
    ),
    Kind(
        "reversing_switch",
        ("feed",),
        ohms="hand-switch-resistance",
        poles=True,
        at_motor=True,
        calls=True,
        by_hand=True,
    ),
)
