"""What opens to protect wire, battery or motor: fuses, breakers, low-voltage cut-outs."""

from diagnose.circuit.kinds.kind import Kind, Value

RESETS = ("manual", "automatic")

KINDS = (
    Kind(
        "fuse",
        ("feed", "control"),
        {"rating": Value("A", ""), "distance": Value("m", "7 in")},
        points=("fuse.in", "fuse.out"),
        parameters=("fuse_holder", "main_fuse"),
        ohms="fuse-holder-resistance",
        sign="fuse",
        protects=True,
    ),
    Kind(
        "breaker",
        ("feed",),
        {
            "rating": Value("A", ""),
            "reset": Value("", "manual", RESETS),
            "distance": Value("m", "7 in"),
        },
        ohms="breaker-resistance",
        sign="fuse",
        protects=True,
    ),
    Kind(
        "low_voltage_cutout",
        ("feed",),
        {"opens": Value("V", "11.0 V")},
        ohms="cutout-resistance",
        sign="box",
        opens_below="opens",
    ),
)
