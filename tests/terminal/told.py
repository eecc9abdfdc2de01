"""Findings that tests of the screens begin with."""

from __future__ import annotations

from diagnose.circuit.reading_words import reading_of
from diagnose.reasoning.evidence import Measured, Seen

CHATTERS = (Seen("relay-sound", "chatters"),)

BAD_HOLDER = (
    *CHATTERS,
    Seen("fuse-holder-look", "corroded"),
    Seen("fuse-holder-heat", "too-hot-to-hold"),
    Measured(reading_of("voltage fuse.in fuse.out calling"), 1.2),
)
"""Enough to conclude on: a hot, corroded holder that loses 1.2 V where 0.1 V is the most (common
practice). Too hot to hold, it stops the work until that is said to be safe."""
