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
    Kind(
        "link",
        ("battery",),
        ohms="link-resistance",
        sign="plug",
    ),
)
