"""The drawing of a rig inside a page: one picture, its looks shared, and where its points are."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.circuit.rig import Rig
from diagnose.design.drawing_svg import draw_svg
from diagnose.design.layouts import laid_out
from diagnose.design.schematic import schematic
from diagnose.report.markup import Html

INKS = {"black": "currentColor", "white": "var(--paper)"}
"""Colours of the drawing, and what they are on a page that may be dark."""

_STYLE = re.compile(r' style="([^"]*)"')
_LONG = re.compile(r"-?[0-9]+\.[0-9]{2,}")
_DOT = re.compile(r'<circle cx="([^"]*)" cy="([^"]*)" r="[^"]*" style="[^"]*fill:black')


@dataclass(frozen=True)
class Drawing:
    """svg: the picture, an element; style: the looks that its parts share; places: test point to
    where it is in the picture."""

    svg: Html
    style: str
    places: Mapping[str, tuple[float, float]]


def drawing_of(rig: Rig) -> Drawing:
    """The picture of a rig. The page's policy allows no styles in single elements: each look
    becomes a class."""
    drawn = draw_svg(rig)
    names = [spot.name for spot in laid_out(schematic(rig)).spots]
    dots = [(round(float(x), 1), round(float(y), 1)) for x, y in _DOT.findall(drawn)]
    places = dict(zip(names, dots, strict=True)) if len(dots) == len(names) else {}
    looks = [*dict.fromkeys(_STYLE.findall(drawn))]
    classed = _STYLE.sub(lambda found: f' class="d{looks.index(found[1])}"', drawn)
    short = _LONG.sub(lambda found: f"{float(found[0]):.1f}".removesuffix(".0"), classed)
    rules = [f"#circuit .d{number} {{ {_ink(look)} }}" for number, look in enumerate(looks)]
    head = re.sub(r"<svg[^>]*?(viewBox=\"[^\"]*\")[^>]*>", _opened, short, count=1)
    body = head.replace("</svg>", f"{_MARKS}</svg>")
    return Drawing(Html(body), "\n".join(rules), places)


_MARKS = (
    '<g id="red" class="probe"><circle r="13"/><text x="-16" y="-12">R</text></g>'
    '<g id="black" class="probe"><rect x="-12" y="-12" width="24" height="24"/>'
    '<text x="-16" y="-12">B</text></g>'
)
"""What marks the probes: told apart by their shapes and letters, not by colour."""


def _opened(found: re.Match[str]) -> str:
    return f'<svg xmlns="http://www.w3.org/2000/svg" id="circuit" role="img" {found[1]}>'


def _ink(look: str) -> str:
    for plain, ink in INKS.items():
        look = look.replace(f":{plain};", f":{ink};")
    return look.replace("stroke-dasharray:-;", "").strip()
