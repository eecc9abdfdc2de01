"""The page: one file with the trees, the drawing, the sentences and the script that walks them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from diagnose.bench import Bench
from diagnose.handout.code import opening, plain
from diagnose.handout.drawing import Drawing, drawing_of
from diagnose.handout.growing import Grove
from diagnose.handout.packing import Packing
from diagnose.handout.strings import page_strings
from diagnose.pages.cautions import SAFETY
from diagnose.reasoning import words
from diagnose.report.markup import Html, joined, tag
from diagnose.report.page import page

HERE = Path(__file__).parent
SCRIPTS = ("steps.js", "views.js")
"""The parts of the page's one script, in their order."""


def page_html(bench: Bench, grove: Grove) -> str:
    """The whole page of a rig."""
    said, drawing = page_strings(), drawing_of(bench.rig)
    title = said["title"].format(rig=bench.rig.name)
    parts = [
        tag("main", tag("p", said["codes"], class_="caution"), id="page"),
        tag("noscript", tag("p", said["needs-script"], class_="caution")),
        tag(
            "figure",
            drawing.svg,
            aria_label=said["drawing"],
            id="drawing",
            hidden="hidden",
            tabindex="0",
        ),
        _data(_contents(bench, grove, drawing)),
    ]
    style = f"{_file('page.css')}{drawing.style}\n"
    return page(title, joined(parts), style, "".join(map(_file, SCRIPTS)))


def _contents(bench: Bench, grove: Grove, drawing: Drawing) -> dict[str, Any]:
    return {
        "said": dict(page_strings()),
        "rig": words.rig_line(bench.rig),
        "opening": opening(bench.rig),
        "means": [plain(able) for able in grove.able],
        "safety": [*SAFETY],
        "places": drawing.places,
        **Packing(bench).packed(grove),
    }


def _data(contents: dict[str, Any]) -> Html:
    """Data as an element that no browser runs; nothing in it can end the element."""
    text = json.dumps(contents, ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c")
    return Html(f'<script type="application/json" id="data">{text}</script>')


def _file(name: str) -> str:
    return (HERE / name).read_text("utf-8")
