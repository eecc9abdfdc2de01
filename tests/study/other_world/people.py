"""Who stands at the rig and what they tell: how often in the trade (looks.yaml)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from diagnose.documents import load
from tests.study.other_world.parts import Random, Shares

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


OTHERWISE = 0.02
"""How often a test comes back as not known of which looks.yaml says nothing; estimate."""

WRONG_POINT = 0.02
"""Share of readings with a probe on a neighbouring point."""

MAIN_UNITS = {kind: str(one["unit"]) for kind, one in INSTRUMENTS.items()}


def _of_each(what: str) -> list[tuple[str, float]]:
    return [(kind, one[what]) for kind, one in INSTRUMENTS.items() if what in one]


@dataclass(frozen=True)
class Somebody:
    """hasty: 0 careful, 1 usual, 2 rounds to whole volts; owns: the dearer instruments; gains: what
    each instrument is out by; probes: ohms of leads and tips; pigtails: probes the motor's own
    leads; keen: how many signs beyond the complaint are told."""

    hasty: int
    owns: frozenset[str]
    gains: dict[str, float]
    probes: float
    pigtails: bool
    keen: int

    @classmethod
    def drawn(cls, random: Random) -> Somebody:
        return cls(
            hasty=int(random.choice(3, p=[0.55, 0.35, 0.1])),
            owns=frozenset(kind for kind, share in _of_each("owned") if random.random() < share),
            gains={kind: float(random.normal(0, spread)) for kind, spread in _of_each("gain")},
            probes=float(random.uniform(0.05, 0.5)),
            pigtails=bool(random.random() < 0.6),
            keen=int(random.choice(4, p=[0.35, 0.35, 0.2, 0.1])),
        )

    def lacks(self, kind: str) -> bool:
        needs = "current" if kind == "peak-current" else kind
        return "owned" in INSTRUMENTS.get(needs, {}) and needs not in self.owns

    def knows_not(self, kind: str, random: Random) -> bool:
        return self.lacks(kind) or bool(random.random() < UNKNOWN.get(kind, OTHERWISE))

    def writes(self, kind: str, value: float, random: Random) -> str:
        """A value as it is read off and written down."""
        value = value * (1 + self.gains[kind]) + float(random.normal(0, INSTRUMENTS[kind]["floor"]))
        if kind not in ("voltage", "temperature"):
            value = max(value, 0.0)
        step = INSTRUMENTS[kind]["steps"][self.hasty]
        if kind == "voltage" and abs(value) < 1 and self.hasty < 2:
            step = min(step, 0.01)
        return f"{round(value / step) * step:.4g} {MAIN_UNITS[kind]}"

    def writes_ohms(self, ohms: float, most: float, random: Random) -> str:
        value = (ohms + random.uniform(0.2, 1.0) * self.probes) * (1 + random.normal(0, 0.02))
        return "OL" if ohms >= most else f"{value:.3g} ohm"
