"""What a person says of a rig, in the person's own words, as the observations and readings that it
may mean.

Nothing is guessed in silence: every match says which words made it and how surely, words that may
mean several things give all of them, and what was not understood is handed back.
"""

from __future__ import annotations

from diagnose.phrases.records import (
    CLEAR,
    EITHER,
    LONGEST,
    NEAR,
    STRENGTHS,
    Match,
    ReadingMatch,
    Understood,
)
from diagnose.phrases.understanding import TooLong, understand

__all__ = [
    "CLEAR",
    "EITHER",
    "LONGEST",
    "NEAR",
    "STRENGTHS",
    "Match",
    "ReadingMatch",
    "TooLong",
    "Understood",
    "understand",
]
