"""Who stands at the rig: what they own, how they write figures down, what they do not know."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from diagnose.simulate.other_world.looks import INSTRUMENTS, UNKNOWN

Random = np.random.Generator

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
