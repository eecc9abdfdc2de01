"""Circuit simulators that know nothing of this program: d.c. operating points of netlists."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

from tests.outside.cells import Missing, library

Nodes = dict[str, float]
Simulator = Callable[[Sequence[str]], list[Nodes]]


def _in_folder(folder: Path, netlists: Sequence[str]) -> list[Nodes]:
    """Every netlist in one run of ngspice; the voltages are read from what it prints."""
    orders = ["* all", ".control", "set numdgt=15"]
    for i, netlist in enumerate(netlists):
        (folder / f"{i}.cir").write_text(netlist)
        orders += [f"source {i}.cir", f"echo netlist {i}", "op", "print all"]
        orders += ["destroy all", "remcirc"]  # or it slows down with all it remembers
    (folder / "all.cir").write_text("\n".join([*orders, "quit", ".endc", ".end", ""]))
    run = subprocess.run(
        ["ngspice", "-b", "all.cir"], cwd=folder, capture_output=True, text=True, timeout=100
    )
    answers = re.split(r"^netlist \d+$", run.stdout, flags=re.MULTILINE)[1:]
    return [
        {name: float(volts) for name, volts in re.findall(r"^(\w+) = (\S+)$", text, re.MULTILINE)}
        for text in answers
    ]


def ngspice(netlists: Sequence[str]) -> list[Nodes]:
    """The program of that name (on Debian: apt-get install ngspice)."""
    if not shutil.which("ngspice"):
        raise Missing("ngspice is not installed")
    with tempfile.TemporaryDirectory() as folder:
        return _in_folder(Path(folder), netlists)


def neospice(netlists: Sequence[str]) -> list[Nodes]:
    """The package of that name, where there is a wheel for the platform."""
    neospice = library("neospice")

    def solved(netlist: str) -> Nodes:
        answer = neospice.dc(netlist)
        names = [name[2:-1] for name in answer.signal_names() if name.startswith("v(")]
        return {name: answer.voltage(name) for name in names}

    return [solved(netlist) for netlist in netlists]


SIMULATORS: Mapping[str, Simulator] = {"ngspice": ngspice, "neospice": neospice}
"""Both descend from Berkeley SPICE3: they stand outside this program rather than outside each
other."""
