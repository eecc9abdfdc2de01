"""Who stands at the rig: what they own, how they write figures down, what they do not know."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

Random = np.random.Generator

UNKNOWN = {
    "voltage": 0.02,
    "resistance": 0.04,
    "current": 0.04,
    "peak-current": 0.2,
    "temperature": 0.05,
    "pressure": 0.1,
    "flow-rate": 0.05,
    "last-charge": 0.12,
    "onset": 0.06,
    "time-pattern": 0.08,
    "main-fuse-history": 0.04,
    "control-fuse-history": 0.06,
    "flow-over-time": 0.06,
    "battery-found": 0.08,
    "cycling-interval": 0.08,
    "motor-turns-by-hand": 0.25,
    "ohms-while-turned": 0.15,
    "pump-head-opened": 0.1,
    "swap-relay": 0.2,
    "swap-pump": 0.5,
    "swap-battery": 0.3,
    "stops-when": 0.1,
    "spark-on-connecting": 0.25,
    "connected-reversed": 0.1,
    "priming": 0.05,
    "bench-run-motor": 0.2,
    "lamp-at-motor": 0.25,
    "suction-hose-look": 0.05,
    "air-in-suction": 0.1,
    "accumulator-charge": 0.1,
    "run-from-bucket": 0.1,
}
"""How often a test comes back as not known, where the means for it are there; estimates."""

OTHERWISE = 0.02

OWNS = {"current": 0.75, "temperature": 0.5, "pressure": 0.55}
"""Share of people with a clamp, an infrared thermometer, a gauge; estimates."""

STEPS = {
    "voltage": (0.01, 0.1, 1.0),
    "current": (0.1, 0.1, 1.0),
    "peak-current": (1.0, 1.0, 1.0),
    "temperature": (1.0, 1.0, 5.0),
    "pressure": (1.0, 1.0, 5.0),
    "flow-rate": (0.05, 0.1, 0.5),
}
"""Steps to which a careful, a usual and a hasty person write figures down."""

GAINS = {
    "voltage": 0.005,
    "current": 0.025,
    "peak-current": 0.08,
    "temperature": 0.02,
    "pressure": 0.02,
    "flow-rate": 0.05,
}
"""Spread of an instrument's own error, as a share; common practice."""

FLOORS = {
    "voltage": 0.01,
    "current": 0.04,
    "peak-current": 0.5,
    "temperature": 3.0,
    "pressure": 1.5,
    "flow-rate": 0.04,
}
"""Spread of what each reading adds of its own, in its unit; common practice."""

WRONG_POINT = 0.02
"""Share of readings with a probe on a neighbouring point."""

MAIN_UNITS = {
    "voltage": "V",
    "resistance": "ohm",
    "current": "A",
    "peak-current": "A",
    "temperature": "degC",
    "pressure": "psi",
    "flow-rate": "gal/min",
}


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
            owns=frozenset(name for name, share in OWNS.items() if random.random() < share),
            gains={name: float(random.normal(0, spread)) for name, spread in GAINS.items()},
            probes=float(random.uniform(0.05, 0.5)),
            pigtails=bool(random.random() < 0.6),
            keen=int(random.choice(4, p=[0.35, 0.35, 0.2, 0.1])),
        )

    def lacks(self, kind: str) -> bool:
        needs = "current" if kind == "peak-current" else kind
        return needs in OWNS and needs not in self.owns

    def knows_not(self, kind: str, random: Random) -> bool:
        return self.lacks(kind) or bool(random.random() < UNKNOWN.get(kind, OTHERWISE))

    def writes(self, kind: str, value: float, random: Random) -> str:
        """A value as it is read off and written down."""
        value = value * (1 + self.gains[kind]) + float(random.normal(0, FLOORS[kind]))
        if kind not in ("voltage", "temperature"):
            value = max(value, 0.0)
        step = STEPS[kind][self.hasty]
        if kind == "voltage" and abs(value) < 1 and self.hasty < 2:
            step = min(step, 0.01)
        return f"{round(value / step) * step:.4g} {MAIN_UNITS[kind]}"

    def writes_ohms(self, ohms: float, most: float, random: Random) -> str:
        value = (ohms + random.uniform(0.2, 1.0) * self.probes) * (1 + random.normal(0, 0.02))
        return "OL" if ohms >= most else f"{value:.3g} ohm"
