"""The pages in a real browser: search, the width of a phone, and sheets of paper."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from diagnose.casebook.record import Case, ReadAt, SeenAt, Verification
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import open_rig
from diagnose.report.case_html import MOST, case_html
from tests.report.labels import NAMES, svg_of, worst

BOOK = shipped_catalogue()
POLICY = re.compile(r'<meta http-equiv="Content-Security-Policy"[^>]*>')
Browse = Callable[..., str]


def written(folder: Path, made: str, script: str = "", style: str = "") -> Path:
    """A page with something of the test's own in it, its policy taken out for that."""
    if script or style:
        made = POLICY.sub("", made).replace("</head>", f"<style>{style}</style></head>")
        made = made.replace("</body>", f"<script>{script}</script></body>")
    path = folder / "page.html"
    path.write_text(made, "utf-8")
    return path


def fullest(case: Case) -> Case:
    """The longest first sheet: as many findings as fit, with long questions and long readings."""
    longest = sorted(BOOK.observations.values(), key=lambda one: -len(one.ask))[: MOST // 2]
    readings = sorted(
        (one.reading for one in BOOK.readings.values() if one.reading.quantity == "voltage"),
        key=lambda reading: -len(str(reading)),
    )[: MOST - len(longest)]
    return replace(
        case,
        complaint=("It rattled all morning, and then stood still in the middle of the beds.",) * 3,
        seen=tuple(SeenAt(one.id, max(one.options, key=len), moved=1.0) for one in longest),
        read=tuple(ReadAt(one, 12.34, 11.9, 12.7, "within", moved=1.0) for one in readings),
        verification=Verification(reading_of("voltage fuse.in fuse.out calling"), 0.06, 0.0, 0.13),
    )


@pytest.mark.parametrize("size", ["A4", "letter"])
def test_a_case_prints_on_two_sheets(
    size: str, made: Callable[..., Case], browse: Browse, tmp_path: Path
) -> None:
    """Three cases one after the other: six sheets, or one of them takes more than its two."""
    modes = ("fuse-holder-corroded", "relay-miswired", "pump-valves-fouled")
    pages = [case_html(fullest(made(true_cause=mode, cause=mode)), BOOK) for mode in modes]
    bodies = [page.partition("<body>")[2].partition("</body>")[0] for page in pages]
    assert all(body.count('class="sheet"') == 2 for body in bodies)
    whole = pages[0].replace(bodies[0], "".join(bodies))
    page = written(tmp_path, whole, style=f"@page {{ size: {size}; }}")
    browse(page, f"--print-to-pdf={tmp_path / 'cases.pdf'}", "--no-pdf-header-footer")
    sheets = re.findall(rb"/Type\s*/Page\b", (tmp_path / "cases.pdf").read_bytes())
    assert len(sheets) == 6


WIDE = "document.documentElement.scrollWidth + ' of ' + innerWidth"
SEARCH = """
const box = document.querySelector('#search input');
box.value = 'chatters  Corroded HOLDER'; box.dispatchEvent(new Event('input'));
const found = [...document.querySelectorAll('.entry')].filter(e => !e.hidden).map(e => e.id);
const count = document.querySelector('[role=status]').textContent;
"""


def in_frames(folder: Path, scripts: dict[str, tuple[str, str]]) -> Path:
    """Pages in frames of a phone's width, since a browser window itself cannot be so narrow; what
    their scripts send stands in an element of that name. scripts: page and script by name."""
    frames = ""
    for name, (made, script) in scripts.items():
        (folder / name).mkdir()
        path = written(folder / name, made, script)
        frames += (
            f"<iframe src='{name}/{path.name}' width=390 height=800></iframe><p id={name}></p>"
        )
    told = "addEventListener('message', e => { for (const name in e.data) "
    told += "document.getElementById(name).textContent = e.data[name]; });"
    outer = folder / "frames.html"
    outer.write_text(f"<script>{told}</script>{frames}", "utf-8")
    return outer


def test_on_a_phone_nothing_is_wider_and_search_shows_what_has_all_the_words(
    handbook: str, made: Callable[..., Case], browse: Browse, tmp_path: Path
) -> None:
    searched = "handbook: wide + ' | ' + found.join(' ') + ' | ' + count"
    scripts = {
        "handbook": (
            handbook,
            f"const wide = {WIDE}; {SEARCH} parent.postMessage({{ {searched} }}, '*');",
        ),
        "case": (case_html(fullest(made()), BOOK), f"parent.postMessage({{ case: {WIDE} }}, '*');"),
    }
    page = in_frames(tmp_path, scripts)
    shown = browse(page, "--dump-dom", "--virtual-time-budget=5000")
    said = dict(re.findall(r'<p id="(\w+)">(.*?)</p>', shown, re.DOTALL))
    wide, names, count = said["handbook"].split(" | ")
    for width in (wide, said["case"]):
        page_is, frame = map(int, width.split(" of "))
        assert frame == 390
        assert page_is <= 390
    assert "fuse-holder-corroded" in names.split()
    assert "nozzle-too-small" not in names.split()
    assert count.strip().startswith(f"{len(names.split())} of")


def test_the_policy_lets_the_pages_own_script_run_and_no_other(
    handbook: str, browse: Browse, tmp_path: Path
) -> None:
    """With its policy in force: the box for search is there, so its own script has run."""
    evil = handbook.replace("</body>", "<script>document.title = 'foreign'</script></body>")
    shown = browse(written(tmp_path, evil), "--dump-dom")
    assert '<input type="search"' in shown
    assert "<title>foreign" not in shown
    assert "document.title = 'foreign'" in shown


MEASURED = """
const told = [...document.querySelectorAll('svg')].map(svg => {
  const paper = svg.getBoundingClientRect();
  const lines = [...svg.querySelectorAll('text, g')].map(e => [e, e.getBoundingClientRect()]);
  const out = lines.filter(([e, at]) => at.left < paper.left + 3 || at.right > paper.right - 3
    || at.top < paper.top + 3 || at.bottom > paper.bottom - 3);
  const on = (at, to) => at.left < to.right - 1 && to.left < at.right - 1
    && at.top < to.bottom - 3 && to.top < at.bottom - 3;
  const over = lines.filter(([e, at], n) => lines.slice(n + 1).some(([f, to]) => on(at, to)));
  return lines.length + ' ' + [...out, ...over].map(([e]) => e.textContent || 'code').join(', ');
});
document.title = told.join(' | ');
"""
"""How many lines each label has, and which of them go beyond its edge or lie on one another."""

RIGS = ("bowser", "spray-trailer", "van-shower")


def test_labels_have_their_words_inside_and_a_code_that_is_read_off_the_screen(
    browse: Browse, tmp_path: Path
) -> None:
    addresses = {name: f"https://example.org/rigs/{name}" for name in RIGS}
    labels = [svg_of(open_rig(name), 100, address) for name, address in addresses.items()]
    strange = [replace(open_rig("bowser"), name=name) for name in NAMES.values()]
    labels += [svg_of(rig, width, "x:") for rig in (worst(), *strange) for width in (60, 150)]
    page = tmp_path / "labels.html"
    body = "".join(f"<p>{one}</p>" for one in labels)
    page.write_text(f"<body>{body}<script>{MEASURED}</script>", "utf-8")
    options = (f"--screenshot={tmp_path / 'labels.png'}", "--force-device-scale-factor=2")
    shown = browse(page, "--dump-dom", *options, "--window-size=700,1500")
    title = re.search(r"<title>(.*?)</title>", shown, re.DOTALL)
    assert title
    for one in title[1].split(" | "):
        count, wrong = one.split(" ", 1)
        assert int(count) >= 15
        assert wrong == ""
    zxing, images = pytest.importorskip("zxingcpp"), pytest.importorskip("PIL.Image")
    found = zxing.read_barcodes(images.open(tmp_path / "labels.png").convert("L"))
    assert {one.text for one in found} == {*addresses.values()}
