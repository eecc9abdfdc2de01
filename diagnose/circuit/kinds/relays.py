"""Relays and solenoids: the contact stands in the feed, the coil at the end of the control."""

from diagnose.circuit.kinds.kind import Kind, Value

KINDS = (
    Kind(
        "relay",
        ("feed",),
        {"contact": Value("A", "40 A"), "coil": Value("ohm", "85 ohm")},
        points=("relay.30", "relay.87"),
        parameters=("relay_socket", "relay_contact"),
        sign="contact",
    ),
    Kind("isolator", ("feed",), {"contact": Value("A", "70 A")}, ohms="isolator-resistance"),
)
