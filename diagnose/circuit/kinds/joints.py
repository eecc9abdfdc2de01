"""What is pushed or clipped together."""

from diagnose.circuit.kinds.kind import Kind

KINDS = (
    Kind(
        "plug",
        ("feed",),
        ohms="plug-resistance",
        sign="plug",
        poles=True,
    ),
)
