"""The circuit drawn with letters: its test points, parts, probes and healthy volts."""

from __future__ import annotations

from collections.abc import Mapping
from textwrap import wrap

from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.network import points_on
from diagnose.circuit.operate import Model
from diagnose.circuit.rig import Rig
from diagnose.design.canvas import Canvas
from diagnose.design.grid import Grid, Piece, Spot
from diagnose.design.layouts import WIDE, around, down_the_page
from diagnose.design.schematic import schematic
from diagnose.design.wording import brief, length
from diagnose.errors import BadQuantity, UnknownName, harmless, nearest
from diagnose.figures import shipped_figures
from diagnose.units import show_quantity

RED, BLACK = "RED", "BLK"
"""The two probes as they are marked in the drawing."""


def draw(
    rig: Rig,
    width: int = WIDE,
    ascii_only: bool = False,
    probes: Mapping[str, str] | None = None,
    volts: Mapping[str, str] | None = None,
) -> str:
    """The circuit of a rig as text, round a loop where `width` columns allow it, else down a
    column.

    probes: test point to RED or BLK; volts: test point to what stands beside it
    """
    circuit, probes, volts = schematic(rig), probes or {}, volts or {}
    grid = around(circuit) if width >= WIDE else down_the_page(circuit)
    canvas = Canvas(ascii_only)
    for run in grid.runs:
        canvas.line(run.x1, run.y1, run.x2, run.y2, run.weight)
    for piece in grid.pieces:
        _piece(canvas, piece)
    for spot in grid.spots:
        _spot(canvas, spot, probes.get(spot.name, ""), volts.get(spot.name, ""), ascii_only)
    for x, y, text in grid.notes:
        canvas.words(x, y, text)
    return "\n".join([*_head(rig, width), "", str(canvas), "", *legend(rig, width)])


def _piece(canvas: Canvas, piece: Piece) -> None:
    """A part: its sign on the line, its words beside it."""
    canvas.line(piece.x1, piece.y1, piece.x2, piece.y2, "heavy" if piece.heavy else "light")
    x, y = piece.middle
    part = piece.part
    left, right = "()" if part.kind == "motor" else "[]"
    inside = f" {part.label} " if len(part.label) == 1 and part.kind != "motor" else part.label
    canvas.sign(x, y, f"{left}{inside}{right}")
    if not piece.upright:
        canvas.words(piece.x2 - 1 - len(part.note), y + 1, part.note)
    elif part.kind == "contact":
        canvas.words(x + 2, y + 1, part.note)
    elif part.note:
        canvas.words(x + 5, y, part.note)


def _spot(canvas: Canvas, spot: Spot, probe: str, volts: str, ascii_only: bool) -> None:
    """A test point with its name, its volts and the probe on it."""
    canvas.sign(spot.x, spot.y, "o" if ascii_only else "●")
    if spot.side == "right":
        _beside(canvas, spot, probe, volts, ">^" if ascii_only else "▸▴")
        return
    step = -1 if spot.side == "above" else 1
    for row, text in enumerate(text for text in (spot.name, volts, probe) if text):
        canvas.words(spot.x - (len(text) - 1) // 2, spot.y + step * (row + 1), text)


def _beside(canvas: Canvas, spot: Spot, probe: str, volts: str, arrows: str) -> None:
    """Name and volts to the right, the probe to the left; at 87a, whose left is the contact, the
    probe stands below its volts."""
    at_contact = spot.name == "relay.87a"
    canvas.words(spot.x + 2, spot.y, spot.name)
    if volts:
        canvas.words(spot.x + (12 if at_contact else 14), spot.y, volts)
    if probe and at_contact:
        canvas.words(spot.x + 13, spot.y + 1, f"{arrows[1]}{probe}")
    elif probe:
        canvas.words(spot.x - 1 - len(probe), spot.y, f"{probe}{arrows[0]}")


def _head(rig: Rig, width: int) -> list[str]:
    return wrap(harmless(rig.name, 200), width)[:2]


def legend(rig: Rig, width: int) -> list[str]:
    """What the lines stand for: sizes, lengths and fuses."""
    thick = (
        f"Thick: {harmless(rig.wire_gauge, 20)}, {length(rig.wire_length)} one way, "
        f"{brief(rig.main_fuse_rating)} A fuse {rig.main_fuse_distance / 0.0254:.0f} in from the "
        "battery."
    )
    if not rig.has_relay:
        return wrap(thick, width)
    area = shipped_figures().get("control-wire-area", "mm^2")
    thin = f"Thin: control, {brief(area)} mm2, {brief(rig.control_fuse_rating)} A fuse."
    return [*wrap(thick, width), *wrap(thin, width)]


def draw_reading(
    rig: Rig, red: str, black: str, width: int = WIDE, ascii_only: bool = False
) -> str:
    """The circuit with the probes of one reading on it. Raises UnknownName for a point that this
    rig does not have, BadQuantity for both probes on one point."""
    probes = probes_at(rig, red, black)
    return draw(rig, width, ascii_only, probes)


def probes_at(rig: Rig, red: str, black: str) -> dict[str, str]:
    """Test point to probe. Raises as `draw_reading` does."""
    known = points_on(rig)
    for point in (red, black):
        if point not in known:
            raise UnknownName("test point on this rig", point, None, nearest(point, known))
    if red == black:
        raise BadQuantity(f"both probes are on {red}; a voltage lies between two points")
    return {red: RED, black: BLACK}


def healthy_volts(rig: Rig) -> dict[str, str]:
    """What a sound rig reads at each test point against battery- while the pump is called."""
    model = Model.of(rig)
    bench = Circuits(model, model.sound_batch())

    def volts(point: str) -> float:
        reading = Reading("voltage", (point, "battery-"), "calling")
        return float(bench.predict(reading)[0][0])

    points = [point for point in points_on(rig) if point != "battery-"]
    return {point: show_quantity(volts(point), "V") for point in points} | {"battery-": "0 V"}


def grid_of(rig: Rig, width: int = WIDE) -> Grid:
    """Where everything goes, for drawings other than this one."""
    circuit = schematic(rig)
    return around(circuit) if width >= WIDE else down_the_page(circuit)
