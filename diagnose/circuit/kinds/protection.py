"""What opens to protect wire, battery or motor: fuses, breakers, low-voltage cut-outs."""

from diagnose.circuit.kinds.kind import Kind

KINDS = (
    Kind(
        "fuse",
        ("feed", "control"),
        points=("fuse.in", "fuse.out"),
        parameters=("fuse_holder", "main_fuse"),
        ohms="fuse-holder-resistance",
        sign="fuse",
        protects=True,
    ),
    Kind(
        "breaker",
        ("feed",),
        ohms="breaker-resistance",
        sign="fuse",
        protects=True,
    ),
    Kind(
        "low_voltage_cutout",
        ("feed",),
        ohms="cutout-resistance",
        sign="box",
        opens_below="opens",
    ),
)
