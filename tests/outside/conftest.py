"""General-purpose circuit simulators, each as a function from netlists to node voltages."""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import pytest

Nodes = dict[str, float]


def _ngspice(folder: Path, netlists: Sequence[str]) -> list[Nodes]:
    """Every netlist in one run of ngspice; the voltages are read from what it prints."""
    orders = ["* all", ".control", "set numdgt=15"]
    for i, netlist in enumerate(netlists):
        (folder / f"{i}.cir").write_text(netlist)
        orders += [f"source {i}.cir", f"echo netlist {i}", "op", "print all", "remcirc"]
    (folder / "all.cir").write_text("\n".join([*orders, "quit", ".endc", ".end", ""]))
    run = subprocess.run(
        ["ngspice", "-b", "all.cir"], cwd=folder, capture_output=True, text=True, timeout=100
    )
    answers = re.split(r"^netlist \d+$", run.stdout, flags=re.MULTILINE)[1:]
    return [
        {name: float(volts) for name, volts in re.findall(r"^(\w+) = (\S+)$", text, re.MULTILINE)}
        for text in answers
    ]


def _neospice(netlists: Sequence[str]) -> list[Nodes]:
    neospice: Any = pytest.importorskip("neospice", reason="there is no wheel for this platform")

    def solved(netlist: str) -> Nodes:
        answer = neospice.dc(netlist)
        names = [name[2:-1] for name in answer.signal_names() if name.startswith("v(")]
        return {name: answer.voltage(name) for name in names}

    return [solved(netlist) for netlist in netlists]


@pytest.fixture(scope="session", params=["ngspice", "neospice"])
def simulator(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Callable[[Sequence[str]], list[Nodes]]:
    """Solves the d.c. operating point of each netlist: node voltages by name."""
    if request.param == "neospice":
        return _neospice
    if not shutil.which("ngspice"):
        pytest.skip("ngspice is not installed (on Debian: apt-get install ngspice)")
    return lambda netlists: _ngspice(tmp_path_factory.mktemp("ngspice"), netlists)
