"""A label as a picture to print at its own size: black on white, in millimetres."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from diagnose.report.fitting import Letters, broken, is_known
from diagnose.report.label import SAFETY, Label
from diagnose.report.markup import Html, tag
from diagnose.report.qr import Code
from diagnose.report.sheet_parts import Item

NARROWEST, WIDEST = 60.0, 200.0
"""Widths of a label; a sheet of A4 (ISO 216) is 210 wide."""

BESIDE = 80.0
"""From this width on the code stands beside the words, else below them."""

MARGIN, GAP = 3.0, 2.0
NAMES = (Letters(5.0, bold=True), Letters(4.2, bold=True))
LARGE, BODY, STRONG = Letters(3.6, bold=True), Letters(2.8), Letters(2.8, bold=True)
SMALL, TITLE = Letters(2.3), Letters(2.3, bold=True)
"""Letters; 2.8 mm are 8 points. The name takes the first in which it is one line, else the last."""

LEADING, BASE = 1.28, 0.95
"""From line to line and from the top of a line to where its letters stand, in letters' heights."""

FAMILY = "Liberation Sans, Arial, Helvetica, sans-serif"

TABLE = 110.0
"""How wide a table is at most, so that the eye finds the value of a name [mm]."""

MOST_FUSES, MOST_LINES, MOST_ROWS, MOST_OF_ADDRESS = 8, 8, 3, 4
"""Fuses that are listed; lines of a list of parts, of one row of a table, and under a code."""


def room_for_code(width: float) -> float:
    """The largest side of a code on a label of that width [mm]."""
    inner = width - 2 * MARGIN
    return inner / 2 if width >= BESIDE else inner


def width_for_code(code: Code) -> float:
    """The least width of a label on which a code has room [mm]."""
    return max(BESIDE, 2 * code.smallest + 2 * MARGIN)


def label_svg(label: Label, width: float) -> str:
    """The whole picture, in ASCII. width: of the label [mm]."""
    code = label.code
    if code is not None and code.smallest > room_for_code(width):
        code = None
    drawing = _Drawing(width)
    beside = code is not None and width >= BESIDE
    if code is not None and beside:
        drawing.code(code, label.caption, width - MARGIN - code.side, code.side)
        drawing.y, drawing.lowest = MARGIN, drawing.y
        drawing.taken = code.side + GAP
    _head(drawing, label)
    _body(drawing, label)
    drawing.y = max(drawing.y, drawing.lowest)
    if code is not None and not beside:
        drawing.y += GAP
        drawing.code(code, label.caption, (width - code.side) / 2, drawing.room)
    drawing.y += GAP
    drawing.boxed(SAFETY)
    return _framed(drawing, label.rig.name)


def _head(drawing: _Drawing, label: Label) -> None:
    """What has to be seen first."""
    name = label.rig.name
    whole = (one for one in NAMES if len(broken(name, one, drawing.room, 2)) == 1)
    drawing.say(name, next(whole, NAMES[-1]), 3)
    drawing.say(label.ends, SMALL, 3)
    if label.warning:
        drawing.y += GAP / 2
        drawing.say(label.warning, STRONG, 4)
    drawing.title("Fuse or breaker: none larger")
    _fuses(drawing, label.protections)


def _fuses(drawing: _Drawing, items: Sequence[Item]) -> None:
    if not items:
        drawing.say("No fuse and no breaker.", STRONG, 2)
    shown = items[:MOST_FUSES]
    column = max((LARGE.width(one.rating) for one in shown), default=0) + GAP
    for one in shown:
        drawing.beside(one.rating, column, f"{one.what}, {one.note}")
    if left := len(items) - len(shown):
        drawing.say(f"{left} more: see diagnose rig sheet.", BODY, 2)


def _body(drawing: _Drawing, label: Label) -> None:
    parts = (
        ("Wire", label.wire),
        ("In the motor's line", label.pump_line),
        ("In the coil's line", label.coil_line),
    )
    for title, told in parts:
        if told:
            drawing.title(title)
            drawing.say(told, BODY, MOST_LINES)
    drawing.title("What it should read, pump asked to run, charger off")
    for one in label.values:
        name = f"{one.name}: {one.points}" if one.points else one.name
        drawing.before(name, one.sound)
    drawing.say(label.sheet.held, SMALL, 3)
    if label.usual:
        drawing.say(label.usual, SMALL, 4)


def _framed(drawing: _Drawing, name: str) -> str:
    """The picture with its edge, along which it is cut."""
    width, height = drawing.width, drawing.y + MARGIN
    edge = {"x": "0.2", "y": "0.2", "rx": "2", "stroke": "black", "stroke_width": "0.3"}
    size = {"width": f"{width - 0.4:.2f}", "height": f"{height - 0.4:.2f}"}
    svg = tag(
        "svg",
        tag("title", f"Label of {name}"),
        tag("rect", **edge, **size, fill="white"),
        *drawing.drawn,
        xmlns="http://www.w3.org/2000/svg",
        width=f"{width:.2f}mm",
        height=f"{height:.2f}mm",
        viewBox=f"0 0 {width:.2f} {height:.2f}",
        font_family=FAMILY,
    )
    return svg.encode("ascii", "xmlcharrefreplace").decode() + "\n"


@dataclass
class _Drawing:
    """A label as it grows downwards. width: of the label; y: how far down it is; taken: what stands
    at its right edge takes of the lines above `lowest` [mm]."""

    width: float
    y: float = MARGIN
    taken: float = 0.0
    lowest: float = 0.0
    drawn: list[Html] = field(default_factory=list)

    @property
    def room(self) -> float:
        """How long a line may be here."""
        return self.width - 2 * MARGIN - (self.taken if self.y < self.lowest else 0.0)

    def say(self, words: str, letters: Letters, most: int) -> None:
        """A paragraph over the whole room."""
        self._lines(words, letters, most, MARGIN, self.room)

    def title(self, words: str) -> None:
        """What comes below, with a line above it."""
        self.y += GAP / 2
        ends = {"x1": f"{MARGIN:.2f}", "x2": f"{MARGIN + self.room:.2f}"}
        level = {"y1": f"{self.y:.2f}", "y2": f"{self.y:.2f}"}
        self.drawn.append(tag("line", **ends, **level, stroke="black", stroke_width="0.2"))
        self.y += GAP / 4
        self.say(words, TITLE, 2)

    def beside(self, first: str, column: float, words: str) -> None:
        """Something large, and what it is behind it."""
        room, below = self.room - column, self.y + LEADING * LARGE.size
        self._put(first, LARGE, MARGIN, self.y + BASE * LARGE.size)
        self.y += BASE * (LARGE.size - BODY.size)
        self._lines(words, BODY, MOST_ROWS, MARGIN + column, room)
        self.y = max(self.y, below)

    def before(self, words: str, value: str) -> None:
        """A name, and its value at the end of the line; below it where there is little room."""
        room = min(self.room, TABLE)
        left = room - STRONG.width(value) - GAP
        little = len(broken(words, BODY, left, 2)) > 1
        self._lines(words, BODY, MOST_ROWS, MARGIN, room if little else left)
        if little:
            self.y += LEADING * BODY.size
        baseline = self.y - (LEADING - BASE) * BODY.size
        self._put(value, STRONG, MARGIN + room, baseline, "end")

    def boxed(self, words: str) -> None:
        """A sentence in a frame, on one line where that can still be read."""
        room, middle = self.room - 2 * GAP, MARGIN + self.room / 2
        size = min(LARGE.size, max(SMALL.size, room / Letters(1, bold=True).width(words)))
        letters = Letters(size, bold=True)
        top, self.y = self.y, self.y + GAP / 2
        self._lines(words, letters, 3, middle, room, "middle")
        self.y += GAP / 2
        place = {"x": f"{MARGIN:.2f}", "y": f"{top:.2f}", "width": f"{self.room:.2f}"}
        look = {"fill": "none", "stroke": "black", "stroke_width": "0.6"}
        self.drawn.append(tag("rect", **place, height=f"{self.y - top:.2f}", **look))

    def code(self, code: Code, caption: str, x: float, room: float) -> None:
        """A code, and below it what it is of, in lines of that room."""
        move = f"translate({x:.3f} {self.y:.3f}) scale({code.side / code.modules:.5f})"
        rows = [tag("path", d=path) for path in code.paths]
        self.drawn.append(tag("g", *rows, transform=move, shape_rendering="crispEdges"))
        self.y += code.side
        self._lines(caption, SMALL, MOST_OF_ADDRESS, x + code.side / 2, room, "middle")

    def _lines(
        self, words: str, letters: Letters, most: int, x: float, room: float, anchor: str = ""
    ) -> None:
        for line in broken(words, letters, room, most):
            self._put(line, letters, x, self.y + BASE * letters.size, anchor)
            self.y += LEADING * letters.size

    def _put(self, line: str, letters: Letters, x: float, y: float, anchor: str = "") -> None:
        """One line; what may be wider than it was taken for is pressed into that."""
        pressed = {"textLength": f"{letters.width(line):.2f}", "lengthAdjust": "spacingAndGlyphs"}
        look = {
            "font_size": f"{letters.size:.2f}",
            "font_weight": "bold" if letters.bold else None,
            "text_anchor": anchor or None,
        }
        place = {"x": f"{x:.2f}", "y": f"{y:.2f}"}
        more = {} if is_known(line) else pressed
        self.drawn.append(tag("text", line, **place, **look, **more))
