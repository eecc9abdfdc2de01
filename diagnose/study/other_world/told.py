"""Who says what unasked: the complaint, and what else is out of order enough to be told."""

from __future__ import annotations

NORMAL = {
    "pump-action": "normal",
    "flow": "normal",
    "pump-when-satisfied": "stops",
    "relay-sound": "one-click",
    "main-fuse-history": "holds",
    "control-fuse-history": "holds",
    "fuse-holder-heat": "cool warm",
    "relay-heat": "cool warm",
    "pressure-switch-heat": "cool warm",
    "master-switch-heat": "cool warm",
    "wire-heat": "cool warm",
    "motor-heat": "cool warm",
    "battery-found": "charged",
    "time-pattern": "always",
    "smell": "none",
    "smoke": "none",
    "leak-look": "dry",
    "air-at-outlet": "none",
    "battery-look": "normal",
    "main-fuse-marking": "as-described",
    "flow-over-time": "steady",
    "motor-sound": "normal",
    "cycling-interval": "none",
    "supply-level": "full low",
}
"""Answers of which nobody complains."""

LOUD = {
    "pump-action": 1.0,
    "flow": 0.8,
    "pump-when-satisfied": 0.9,
    "relay-sound": 0.45,
    "main-fuse-history": 0.8,
    "control-fuse-history": 0.7,
    "fuse-holder-heat": 0.25,
    "relay-heat": 0.2,
    "pressure-switch-heat": 0.15,
    "master-switch-heat": 0.2,
    "wire-heat": 0.2,
    "motor-heat": 0.25,
    "battery-found": 0.3,
    "time-pattern": 0.45,
    "smell": 0.5,
    "smoke": 0.9,
    "leak-look": 0.4,
    "air-at-outlet": 0.4,
    "battery-look": 0.3,
    "main-fuse-marking": 0.1,
    "flow-over-time": 0.25,
    "motor-sound": 0.35,
    "cycling-interval": 0.25,
}
"""How readily something out of order is told unasked: what is loud, seen at once or annoying comes
first; estimates."""
