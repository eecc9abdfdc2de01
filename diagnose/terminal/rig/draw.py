"""The command rig draw: the circuit on the screen or as a picture."""

from __future__ import annotations

from pathlib import Path

from diagnose.casebook.outputs import write_out
from diagnose.circuit.rig import Rig
from diagnose.design.drawing import draw, healthy_volts, probes_at
from diagnose.errors import BadQuantity, Place, quoted
from diagnose.terminal.plain import Screen


def drawn(
    rig: Rig, ascii_only: bool, svg: Path | None, reading: str, expect: bool, force: bool = False
) -> None:
    """Raises DiagnoseError."""
    probes = _probes(rig, reading) if reading else {}
    volts = healthy_volts(rig) if expect else {}
    screen = Screen.standard()
    if svg is not None:
        from diagnose.design.drawing_svg import draw_svg

        write_out(svg, draw_svg(rig, probes, volts), force)
        screen.say(f"Written: {svg}")
        return
    plain = ascii_only or not screen.console.encoding.startswith("utf")
    for line in draw(rig, screen.width, plain, probes, volts).split("\n"):
        screen.line(line)


def _probes(rig: Rig, reading: str) -> dict[str, str]:
    """Where the probes go, from "red black" or from a whole reading of volts or ohms."""
    words = reading.split()
    points = words[1:3] if words and words[0] in ("voltage", "resistance") else words
    if len(points) != 2:
        text = f"{quoted(reading)} does not name two test points, red then black"
        raise BadQuantity(text, Place("--reading"))
    return probes_at(rig, *points)
