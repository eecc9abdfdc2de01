"""Electronics and switches that set how the motor is fed."""

from diagnose.circuit.kinds.kind import Kind, Value

KINDS = (
    Kind(
        "controller",
        ("feed",),
        {"rating": Value("A", "30 A")},
        ohms="controller-resistance",
        sign="box",
    ),
    Kind(
        "reversing_switch",
        ("feed",),
        ohms="hand-switch-resistance",
        poles=True,
        calls=True,
        by_hand=True,
    ),
)
