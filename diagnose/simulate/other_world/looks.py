"""What is seen and told of any rig, and what a fault adds: how often in the trade (looks.yaml)."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from diagnose.documents import load
from diagnose.simulate.other_world.parts import Shares

Looks = Mapping[str, Shares]

_FILE = load(Path(__file__).with_name("looks.yaml"))
ANY: Looks = _FILE.raw("usual")
"""Answers on a rig whose fault has no part in them."""

_ALIKE: Looks = _FILE.raw("alike")
LOOKS: Mapping[str, Looks] = {
    mode: {name: _ALIKE[one] if isinstance(one, str) else one for name, one in looks.items()}
    for mode, looks in _FILE.raw("faults").items()
}
"""What a fault adds, by failure mode."""

_TOLD: Mapping[str, Any] = _FILE.raw("told")
NORMAL: Mapping[str, list[str]] = {name: one["normal"] for name, one in _TOLD.items()}
"""Answers of which nobody complains."""

LOUD: Shares = {name: one["loud"] for name, one in _TOLD.items() if "loud" in one}
"""How readily something out of order is told unasked."""

UNKNOWN: Shares = _FILE.raw("unknown")
"""How often a test comes back as not known."""

INSTRUMENTS: Mapping[str, Mapping[str, Any]] = _FILE.raw("instruments")
"""What readings are taken with, by quantity."""

_FILE.finish()


def spread(named: Shares, usual: Shares) -> dict[str, float]:
    """Shares of all answers: the named ones, the rest as they usually are."""
    left = max(1.0 - sum(named.values()), 0.0)
    rest = {name: share for name, share in usual.items() if name not in named}
    other = sum(rest.values()) or 1.0
    found = {**{name: left * share / other for name, share in rest.items()}, **named}
    whole = sum(found.values())
    return {name: share / whole for name, share in found.items()}
