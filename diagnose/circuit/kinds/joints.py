"""What is pushed or clipped together."""

from diagnose.circuit.kinds.kind import Kind, Value

KINDS = (
    Kind(
        "plug",
        ("feed",),
        {"rating": Value("A", "50 A")},
        ohms="plug-resistance",
        sign="plug",
        poles=True,
    ),
)
