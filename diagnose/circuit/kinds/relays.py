"""Relays and solenoids: the contact stands in the feed, the coil at the end of the control."""

from diagnose.circuit.kinds.kind import Kind

KINDS = (
    Kind(
        "relay",
        ("feed",),
        points=("relay.30", "relay.87"),
        parameters=("relay_socket", "relay_contact"),
        sign="contact",
    ),
    Kind("isolator", ("feed",), ohms="isolator-resistance"),
)
