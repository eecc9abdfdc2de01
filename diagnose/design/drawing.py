"""The circuit drawn with letters: its test points, parts, probes and healthy volts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from textwrap import wrap

from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.network import points_on
from diagnose.circuit.rig import Rig
from diagnose.design.canvas import Canvas
from diagnose.design.grid import BESIDE, SIGN, Branch, Piece, Spot
from diagnose.design.layouts import WIDE, laid_out
from diagnose.design.schematic import schematic
from diagnose.design.wording import INCH, brief, length
from diagnose.errors import BadQuantity, UnknownName, harmless, nearest
from diagnose.figures import shipped_figures
from diagnose.units import gauge_text, show_quantity

RED, BLACK = "RED", "BLK"
"""The two probes as they are marked in the drawing."""


def draw(
    rig: Rig,
    width: int = WIDE,
    ascii_only: bool = False,
    probes: Mapping[str, str] | None = None,
    volts: Mapping[str, str] | None = None,
) -> str:
    """The circuit of a rig as text, on a wide page where `width` columns allow it, else down a
    column.

    probes: test point to RED or BLK; volts: test point to what stands beside it
    """
    grid, canvas = laid_out(schematic(rig), width), Canvas(ascii_only)
    for run in grid.runs:
        canvas.line(run.x1, run.y1, run.x2, run.y2, run.weight)
    for piece in grid.pieces:
        _piece(canvas, piece)
    for branch in grid.branches:
        _branch(canvas, branch)
    for spot in grid.spots:
        words = (probes or {}).get(spot.name, ""), (volts or {}).get(spot.name, "")
        _spot(canvas, spot, *words, ascii_only)
    for x, y, text in grid.notes:
        canvas.words(x, y, text)
    return "\n".join([*_head(rig, width), "", str(canvas), "", *legend(rig, width)])


SIGNS = {"motor": ("(", ")"), "plug": (">", ">")}
"""What stands left and right of a part's label, where it is not brackets."""


def _piece(canvas: Canvas, piece: Piece) -> None:
    """A part: its sign on the line, its words beside it."""
    canvas.line(piece.x1, piece.y1, piece.x2, piece.y2, "heavy" if piece.heavy else "light")
    x, y = piece.middle
    part = piece.part
    left, right = SIGNS.get(part.kind, ("[", "]"))
    inside = f" {part.label} " if len(part.label) == 1 and part.kind != "motor" else part.label
    sign = f"{left}{inside}{right}"
    canvas.sign(x, y, sign)
    beside = piece.upright and part.kind != "contact"
    if not piece.upright:
        canvas.words(piece.x2 - 1 - len(part.note), y + 1, part.note)
    elif part.kind == "contact":
        canvas.words(x + 2, y + 1, part.note)
    for row, note in enumerate(piece.notes if beside else ()):
        canvas.words(x + max(SIGN - 1, len(sign) // 2 + 2), y + row, note)


def _branch(canvas: Canvas, branch: Branch) -> None:
    """A load: its sign beside the wire, then its name."""
    x, y, part = branch.x, branch.y, branch.part
    canvas.line(x, y, x + 1, y, "light")
    if branch.tall:
        canvas.words(x + 2, y, f"[{part.label}]")
        canvas.words(x + 2, y + 1, part.note)
        return
    canvas.words(x + 2, y, f"[{part.label}] {part.note}")


def _spot(canvas: Canvas, spot: Spot, probe: str, volts: str, ascii_only: bool) -> None:
    """A test point with its name, its volts and the probe on it."""
    canvas.sign(spot.x, spot.y, "o" if ascii_only else "●")
    if spot.side == "right":
        _beside(canvas, spot, probe, volts, ">^<" if ascii_only else "▸▴◂")
        return
    step = -1 if spot.side == "above" else 1
    for row, text in enumerate(text for text in (spot.name, volts, probe) if text):
        canvas.words(spot.x - (len(text) - 1) // 2, spot.y + step * (row + 1), text)


def _beside(canvas: Canvas, spot: Spot, probe: str, volts: str, arrows: str) -> None:
    """Name and volts to the right, the probe to the left; at 87a, whose left is the contact, the
    probe stands below its volts, and where a wire comes from the left, behind them."""
    at_contact = spot.name == "relay.87a"
    for row, line in enumerate(spot.lines):
        canvas.words(spot.x + BESIDE, spot.y + row, line)
    row, ends = spot.y + spot.below, BESIDE + len(spot.lines[-1]) + bool(spot.lines[-1])
    if volts:
        start = ends if spot.below else 12 if at_contact else spot.apart
        canvas.words(spot.x + start, row, volts)
        ends = start + len(volts) + 1
    if probe and at_contact:
        canvas.words(spot.x + 13, spot.y + 1, f"{arrows[1]}{probe}")
    elif probe and spot.wired:
        canvas.words(spot.x + ends, row, f"{arrows[2]}{probe}")
    elif probe:
        canvas.words(spot.x - 1 - len(probe), spot.y, f"{probe}{arrows[0]}")


def _head(rig: Rig, width: int) -> list[str]:
    return wrap(harmless(rig.name, 200), width)[:2]


def legend(rig: Rig, width: int) -> list[str]:
    """What the lines stand for: sizes, lengths and fuses."""
    thick = (
        f"Thick: {harmless(rig.wire_gauge, 20)}, {length(rig.wire_length)} one way, "
        f"{_protection(rig)}."
    )
    lines = [thick, *_back(rig)]
    if rig.has_relay:
        area = shipped_figures().get("control-wire-area", "mm^2")
        fuse = f"{brief(rig.control_fuse_rating)} A fuse" if rig.has_control_fuse else "no fuse"
        lines.append(f"Thin: control, {brief(area)} mm2, {fuse}.")
    if rig.loads:
        lines.append("Loads: from their point to ground.")
    return [row for line in lines for row in wrap(line, width)]


def _protection(rig: Rig) -> str:
    """The first fuse or breaker, and where it sits."""
    if rig.first_protection == "none":
        return "no fuse"
    kind = "fuse" if rig.first_protection == "fuse" else "breaker"
    distance = f"{rig.main_fuse_distance / INCH:.0f} in from the battery"
    return f"{brief(rig.main_fuse_rating)} A {kind} {distance}"


def _back(rig: Rig) -> Iterator[str]:
    """The minus wire, where it is not like the other."""
    other_area = rig.return_area not in (0, rig.wire_area)
    other_length = rig.return_length not in (0, rig.wire_length)
    if other_area or other_length:
        size = gauge_text(rig.return_area) if other_area else harmless(rig.wire_gauge, 20)
        yield f"Back from the pump: {size}, {length(rig.return_length or rig.wire_length)}."


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
