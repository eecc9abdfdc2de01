"""A build sheet as a page to print: the circuit and its parts on one, the proof on another."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator

from diagnose.design.drawing_svg import draw_svg
from diagnose.report.markup import Html, joined, listed, table, tag
from diagnose.report.page import page
from diagnose.report.sheet import Change, Sheet

STYLE = """
.sheet { margin-bottom: 2rem; }
.columns { display: grid; gap: 0 1.5rem; }
@media screen and (min-width: 48rem) { .columns { grid-template-columns: 1fr 1fr; } }
h2 { font-size: 1.1rem; margin: 1rem 0 .3rem; }
img { display: block; max-width: 100%; max-height: 24rem; margin: .4rem auto; }
ul.boxes { list-style: "\\2610  "; }
.blank { border-bottom: 1px solid var(--ink); display: inline-block; min-width: 6rem; }
.unsafe { border-left: 4px solid var(--stop); padding-left: .6rem; }
@media print {
  body { font-size: 8.5pt; line-height: 1.3; }
  h1 { font-size: 15pt; }
  .sheet { break-after: page; margin: 0; }
  .sheet:last-of-type { break-after: auto; }
  .columns { grid-template-columns: 1fr 1fr; }
  h2 { margin: .5rem 0 .2rem; }
  p, ul, ol { margin: .15rem 0 .3rem; }
  th, td { padding: .04rem .4rem .04rem 0; line-height: 1.25; }
  img { max-height: 88mm; }
  .caution { padding: .1rem .5rem; margin: .15rem 0; }
}
"""


def sheet_html(sheet: Sheet) -> str:
    """The whole page."""
    first = tag("section", *_built(sheet), class_="sheet")
    second = tag("section", *_proved(sheet), class_="sheet")
    return page(f"Build sheet {sheet.rig.name}", joined([first, second]), STYLE)


def _built(sheet: Sheet) -> Iterator[Html | None]:
    """The first sheet: what it is made of."""
    yield tag("h1", f"Build sheet: {sheet.rig.name}")
    yield tag("p", sheet.about, class_="soft")
    yield tag("p", "Built by ", _blank(), " on ", _blank(), " looked over by ", _blank())
    yield _drawing(sheet)
    parts = [(str(n), one.what, one.rating, one.note) for n, one in enumerate(sheet.parts, 1)]
    runs = [(run.start, run.end, run.size) for run in sheet.runs]
    left = (tag("h2", "Parts, along the copper"), table(("", "part", "rating", "how"), parts))
    right = (
        tag("h2", "Wire, crimps and fuses"),
        listed(sheet.wire),
        table(("from", "to", "wire"), runs),
    )
    yield tag("div", tag("div", *left), tag("div", *right), class_="columns")


def _proved(sheet: Sheet) -> Iterator[Html | None]:
    """The second sheet: what it should read, what was checked, what to mind."""
    volts = (
        tag("h2", "What it should read"),
        tag("p", sheet.held, class_="soft"),
        table(("asked to run, black on battery-", "reads"), sheet.points),
    )
    others = (
        tag("h2", "Read it while it is new, and keep it"),
        table(("reading", "sound", "read"), [(*one, _blank()) for one in sheet.readings]),
    )
    yield tag("div", tag("div", *volts), tag("div", *others), class_="columns")
    yield tag("h2", f"Checks: {sheet.verdict}")
    yield from map(_change, sheet.changes)
    yield listed(sheet.notes)
    if sheet.passed:
        yield tag("p", f"Passed: {', '.join(sheet.passed)}.")
    yield tag("h2", "To look at when it is built")
    yield listed(sheet.look, class_="boxes")
    yield tag("h2", "Cautions")
    yield from (tag("p", one, class_="caution") for one in sheet.cautions)
    if sheet.usual:
        keys = ", ".join(key.replace(".", " ").replace("_", " ") for key in sheet.usual)
        yield tag("p", f"Taken as usual, not from the rig file: {keys}.", class_="soft")


def _drawing(sheet: Sheet) -> Html:
    """The circuit, as an image that brings its own styles."""
    address = f"data:image/svg+xml;base64,{b64encode(draw_svg(sheet.rig).encode()).decode()}"
    return Html(f'<img src="{address}" alt="Circuit of this rig with its test points">')


def _change(one: Change) -> Html:
    usual = f" Taken as usual, so look first: {', '.join(one.usual)}." if one.usual else ""
    name = f"Unsafe: {one.name}. " if one.unsafe else f"Change: {one.name}. "
    told = (tag("b", name), f"{one.what} {one.do}{usual}")
    return tag("p", *told, class_="unsafe" if one.unsafe else None)


def _blank() -> Html:
    return tag("span", class_="blank")
