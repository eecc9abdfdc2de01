"""The circuit as an SVG picture; its signs are those of the schemdraw library."""

from __future__ import annotations

import html
import re
from collections.abc import Mapping
from textwrap import wrap
from typing import TYPE_CHECKING, Any, Literal

from diagnose.circuit.rig import Rig
from diagnose.design.drawing import BLACK, RED, legend
from diagnose.design.grid import Branch, Grid, Piece, Run, Spot
from diagnose.design.layouts import laid_out
from diagnose.design.schematic import schematic
from diagnose.errors import harmless

if TYPE_CHECKING:
    from schemdraw import Drawing

COLUMN, ROW = 0.27, 0.75
"""A column and a row of the grid in the library's units."""

Align = Literal["left", "center", "right"]
INK = {RED: "#b3261e", BLACK: "#111111", "volts": "#1d5c87", "names": "#222222"}
THICK = {"heavy": 3.0, "light": 1.2, "dashed": 1.0}
RATED = ("fuse", "breaker", "plug", "box", "battery")
"""Kinds whose label stands beside their sign."""

LETTERS = 11
LETTER = 0.7
"""Columns that a letter of the library is wide."""

LOWER = 0.1
"""Rows by which the middle of the library's letters stands above the place they are put at."""


def draw_svg(
    rig: Rig, probes: Mapping[str, str] | None = None, volts: Mapping[str, str] | None = None
) -> str:
    """The circuit of a rig as the text of an SVG file.

    probes: test point to RED or BLACK; volts: test point to what stands beside it
    """
    import schemdraw

    grid = laid_out(schematic(rig))
    sheet = schemdraw.Drawing(canvas="svg", show=False)
    margin = 0.8 if any(spot.room for spot in grid.spots) else 0.3
    sheet.config(fontsize=LETTERS, font="sans-serif", margin=margin)
    for run in grid.runs:
        _wire(sheet, run)
    for piece in grid.pieces:
        _part(sheet, piece)
    for branch in grid.branches:
        _load(sheet, branch)
    for spot in grid.spots:
        _point(sheet, spot, (probes or {}).get(spot.name, ""), (volts or {}).get(spot.name, ""))
    _words(sheet, grid, rig)
    return _titled(sheet.get_imagedata("svg").decode(), rig.name)


def _at(x: float, y: float) -> tuple[float, float]:
    return x * COLUMN, -y * ROW


def _wire(sheet: Drawing, run: Run) -> None:
    import schemdraw.elements as signs

    dashes = {"ls": "--"} if run.weight == "dashed" else {}
    line = signs.Line(lw=THICK[run.weight], **dashes)
    sheet.add(line.at(_at(run.x1, run.y1)).to(_at(run.x2, run.y2)))


def _sign(kind: str) -> Any:
    """The library's sign for a kind of part."""
    import schemdraw.elements as signs

    known = {
        "battery": signs.Battery,
        "fuse": signs.FuseIEC,
        "switch": signs.Switch,
        "contact": signs.Switch,
        "breaker": signs.Breaker,
        "box": signs.RBox,
        "load": signs.RBox,
        "coil": signs.ResistorIEC,
        "motor": signs.Motor,
    }
    return known[kind]


def _part(sheet: Drawing, piece: Piece) -> None:
    part = piece.part
    ends = (_at(piece.x1, piece.y1), _at(piece.x2, piece.y2))
    if part.kind == "battery":
        ends = ends[1], ends[0]
    if part.kind == "plug":
        _plug(sheet, piece)
    else:
        sheet.add(_sign(part.kind)(lw=1.6).at(ends[0]).to(ends[1]))
    if part.kind == "contact":
        _rest_contact(sheet, piece)
    named = part.label if part.kind in RATED else ""
    name, comma, told = part.note.partition(",")
    text = " ".join(word for word in (name, named) if word) + comma + told
    x, y = (piece.x1 + piece.x2) / 2, (piece.y1 + piece.y2) / 2
    if not piece.upright:
        _write(sheet, x - 1, y + 0.75, text, "center")
        return
    words = f"{part.kind} {text}" if part.kind == "coil" else text
    most = max(map(len, piece.notes), default=0) + len(named) + 1
    rows = wrap(words, most) if len(piece.notes) > 1 else [words]
    for row, line in enumerate(rows):
        _write(sheet, x + 4, y - 0.35 * (len(rows) - 1) + 0.7 * row, line)


def _plug(sheet: Drawing, piece: Piece) -> None:
    """Two arrowheads on the line, one in the other: pin and socket."""
    import schemdraw.elements as signs

    middle = (piece.y1 + piece.y2) / 2
    sheet.add(signs.Line(lw=1.6).at(_at(piece.x1, piece.y1)).to(_at(piece.x2, piece.y2)))
    for y in (middle - 0.2, middle + 0.2):
        for side in (-1.2, 1.2):
            line = signs.Line(lw=1.6).at(_at(piece.x1 + side, y - 0.35))
            sheet.add(line.to(_at(piece.x1, y + 0.15)))


def _load(sheet: Drawing, branch: Branch) -> None:
    """A load beside the wire."""
    import schemdraw.elements as signs

    x, y, part = branch.x, branch.y, branch.part
    sheet.add(signs.Line(lw=1.2).at(_at(x, y)).to(_at(x + 2, y)))
    sheet.add(_sign(part.kind)(lw=1.2).at(_at(x + 2, y)).to(_at(x + 6, y)))
    _write(sheet, x + 7, y, f"{part.note} {part.label}")


def _rest_contact(sheet: Drawing, piece: Piece) -> None:
    """The contact that the relay's lever leaves when it pulls in, on the way to 87a."""
    import schemdraw.elements as signs

    y = piece.y1 + 1
    sheet.add(signs.Line(lw=1.6).at(_at(piece.x1 + 2.2, y)).to(_at(piece.x1 + 4, y)))
    sheet.add(signs.Dot(open=True, radius=0.075, lw=1.6).at(_at(piece.x1 + 2, y)))


def _point(sheet: Drawing, spot: Spot, probe: str, volts: str) -> None:
    import schemdraw.elements as signs

    colour = INK[probe] if probe else "black"
    dot = signs.Dot(radius=0.16 if probe else 0.09, color=colour, fill=colour)
    sheet.add(dot.at(_at(spot.x, spot.y)))
    if spot.side == "right":
        _beside(sheet, spot, probe, volts)
        return
    step = -0.65 if spot.side == "above" else 0.65
    words = [(spot.name, "names"), (volts, "volts"), (probe, probe)]
    for row, (text, ink) in enumerate(((text, ink) for text, ink in words if text), 1):
        _write(sheet, spot.x, spot.y + step * row, text, "center", ink)


def _beside(sheet: Drawing, spot: Spot, probe: str, volts: str) -> None:
    """Name and volts to the right, the probe to the left; at 87a, whose left is the contact, the
    probe stands below its volts, and where a wire comes from the left, behind them."""
    at_contact = spot.name == "relay.87a"
    room = 9 if at_contact else max(11, 3 + LETTER * len(spot.name))
    if spot.below:
        room = 2 + LETTER * len(spot.lines[-1])
    for row, line in enumerate(spot.lines):
        _write(sheet, spot.x + 1.5, spot.y + 0.7 * row, line)
    y = spot.y + 0.7 * spot.below
    if volts:
        _write(sheet, spot.x + room, y, volts, ink="volts")
    if probe and at_contact:
        _write(sheet, spot.x + room, spot.y + 0.6, probe, ink=probe)
    elif probe and spot.wired:
        _write(sheet, spot.x + room + 6, y, probe, ink=probe)
    elif probe:
        _write(sheet, spot.x - 1.5, spot.y, probe, "right", probe)


def _write(
    sheet: Drawing, x: float, y: float, text: str, align: Align = "left", ink: str = "names"
) -> None:
    """Words at a place. The library reads XML in them, and formulas between dollars."""
    import schemdraw.elements as signs

    plain = html.escape(text.replace("$", ""))
    label = signs.Label().at(_at(x, y + LOWER)).theta(0)
    sheet.add(label.label(plain, halign=align, valign="center", ofst=(0, 0), color=INK[ink]))


def _words(sheet: Drawing, grid: Grid, rig: Rig) -> None:
    """The notes of the grid, the name of the rig above and what the lines stand for below."""
    _write(sheet, 5, -2.6, harmless(rig.name, 80))
    for x, y, text in grid.notes:
        _write(sheet, x, y + 0.3, text)
    lowest = max(spot.y for spot in grid.spots)
    for row, text in enumerate(legend(rig, 90)):
        _write(sheet, 5, lowest + 3 + 0.6 * row, text)


def _titled(svg: str, name: str) -> str:
    """With a title, which a browser shows and a screen reader reads."""
    title = f"<title>{html.escape(harmless(name, 200))}: circuit with test points</title>"
    return re.sub(r"(<svg[^>]*>)", lambda start: f"{start[1]}\n{title}", svg, count=1)
