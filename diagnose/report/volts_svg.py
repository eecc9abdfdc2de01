"""The volts along the circuit as levels and as a picture: sound, with the fault, as measured.

Three signs that differ without colour: a hollow bar is the sound rig, a filled one the fault, a
diamond what the meter showed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from diagnose.bench import Bench
from diagnose.catalogue.records import FailureMode
from diagnose.circuit.rig import Rig
from diagnose.design.volt_plot import Level, way_round
from diagnose.reasoning.expectations import Fault, Healthy, fault_in, volts_along_the_circuit
from diagnose.report.markup import Html, joined, tag

SHOWN_AT = "middling"
"""How far gone a fault is in the pictures of the book (reasoning.expecting)."""


def levels(rig: Rig, healthy: Healthy, fault: Fault | None) -> tuple[Level, ...]:
    """Each test point on the way round, black on battery-, the pump called."""
    lines = {one.reading.points[0]: one for one in volts_along_the_circuit(rig, healthy, fault)}
    return tuple(
        Level(point, lines[point].sound.value, lines[point].faulty)
        for point in way_round(rig)
        if point in lines
    )


def mode_levels(bench: Bench, mode: FailureMode) -> tuple[Level, ...]:
    """The levels of a failure mode; none where it leaves the volts as they are."""
    fault = fault_in(bench.shop.catalogue, bench.model, mode.id, SHOWN_AT)
    shows = any(line.differs for line in volts_along_the_circuit(bench.rig, bench.healthy, fault))
    return levels(bench.rig, bench.healthy, fault) if shows else ()


NAMES, BARS, VALUES, ROW, TOP = 78.0, 200.0, 82.0, 15.0, 30.0
"""Widths of the columns, height of a line and of the head, in the picture's units; 360 wide, so
that its letters can be read on a phone."""

FONT = "11"
INK, SOUND, FAULT, METER = "#1c2321", "#5b6663", "#b3553c", "#1d5c87"


def volts_svg(levels: Sequence[Level], measured: Mapping[str, float], fault: str = "") -> Html:
    """A line for each test point, black on the battery's minus.

    measured: volts that were read, by test point; fault: what the filled bars stand for
    """
    shown = [*measured.values(), *(v for one in levels for v in (one.sound, one.faulty or 0.0))]
    highest = max(shown, default=1.0) or 1.0
    height = TOP + ROW * len(levels) + 4
    rows = [_row(n, level, measured.get(level.point), highest) for n, level in enumerate(levels)]
    return tag(
        "svg",
        tag("title", "Volts along the circuit, black on the battery's minus"),
        *_legend(fault, bool(measured)),
        *rows,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {NAMES + BARS + VALUES:g} {height:g}",
        width=f"{NAMES + BARS + VALUES:g}",
        role="img",
        font_family="system-ui, sans-serif",
        font_size=FONT,
    )


def _legend(fault: str, measured: bool) -> Iterator[Html]:
    yield _bar(0, 5, 22, hollow=True)
    yield _words(28, 14, "sound rig")
    if fault:
        yield _bar(92, 5, 22, hollow=False)
        yield _words(120, 14, "with the fault")
    if measured:
        yield _diamond(214, 10)
        yield _words(224, 14, "measured")


def _row(number: int, level: Level, measured: float | None, highest: float) -> Html:
    y = TOP + ROW * number
    parts = [_words(0, y + 9, level.point)]
    shown = level.sound if level.faulty is None else level.faulty
    if level.faulty is not None:
        parts.append(_bar(NAMES, y, _width(level.faulty, highest), hollow=False))
    parts.append(_bar(NAMES, y, _width(level.sound, highest), hollow=True))
    if measured is not None:
        parts.append(_diamond(NAMES + _width(measured, highest), y + 5))
    ink = INK if measured is None else METER
    value = f"{shown if measured is None else measured:.2f} V"
    parts.append(_words(NAMES + BARS + VALUES, y + 9, value, "end", ink))
    return joined(parts)


def _width(volts: float, highest: float) -> float:
    return min(max(volts / highest, 0.0), 1.0) * BARS


def _bar(x: float, y: float, width: float, hollow: bool) -> Html:
    look = {"fill": "none", "stroke": SOUND} if hollow else {"fill": FAULT, "fill_opacity": "0.75"}
    return tag("rect", x=f"{x:g}", y=f"{y:g}", width=f"{width:.1f}", height="10", **look)


def _diamond(x: float, y: float) -> Html:
    corners = f"{x - 5:.1f},{y:g} {x:.1f},{y - 5:g} {x + 5:.1f},{y:g} {x:.1f},{y + 5:g}"
    return tag("polygon", points=corners, fill=METER)


def _words(x: float, y: float, said: str, anchor: str = "start", ink: str = INK) -> Html:
    return tag("text", said, x=f"{x:g}", y=f"{y:g}", text_anchor=anchor, fill=ink)
