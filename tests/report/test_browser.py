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
from diagnose.report.case_html import MOST, case_html

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
@pytest.mark.parametrize("mode", ["fuse-holder-corroded", "relay-miswired", "pump-valves-fouled"])
def test_a_case_prints_on_two_sheets(
    size: str, mode: str, made: Callable[..., Case], browse: Browse, tmp_path: Path
) -> None:
    case = fullest(made(true_cause=mode, cause=mode))
    page = written(tmp_path, case_html(case, BOOK), style=f"@page {{ size: {size}; }}")
    browse(page, f"--print-to-pdf={tmp_path / 'case.pdf'}", "--no-pdf-header-footer")
    sheets = re.findall(rb"/Type\s*/Page\b", (tmp_path / "case.pdf").read_bytes())
    assert len(sheets) == 2


def framed(page: Path, width: int) -> Path:
    """A page in a frame of a phone's width: a browser window itself cannot be so narrow."""
    outer = page.with_name("frame.html")
    told = "addEventListener('message', e => { document.title = e.data; });"
    frame = f"<iframe src='{page.name}' width={width} height=800></iframe>"
    outer.write_text(f"<script>{told}</script>{frame}", "utf-8")
    return outer


@pytest.mark.parametrize("what", ["handbook", "case"])
def test_nothing_is_wider_than_a_phone(
    what: str, handbook: str, made: Callable[..., Case], browse: Browse, tmp_path: Path
) -> None:
    text = handbook if what == "handbook" else case_html(fullest(made()), BOOK)
    script = "parent.postMessage(document.documentElement.scrollWidth + ' of ' + innerWidth, '*');"
    page = framed(written(tmp_path, text, script), 390)
    shown = browse(page, "--dump-dom", "--virtual-time-budget=5000")
    found = re.search(r"<title>(\d+) of (\d+)</title>", shown)
    assert found
    assert int(found[2]) == 390
    assert int(found[1]) <= 390


def test_search_shows_what_has_all_the_words(handbook: str, browse: Browse, tmp_path: Path) -> None:
    script = (
        "const box = document.querySelector('#search input');"
        "box.value = 'chatters  Corroded HOLDER'; box.dispatchEvent(new Event('input'));"
        "document.title = [...document.querySelectorAll('.entry')].filter(e => !e.hidden)"
        ".map(e => e.id).join(' ') + ' | ' + document.querySelector('[role=status]').textContent;"
    )
    shown = browse(written(tmp_path, handbook, script), "--dump-dom")
    title = re.search(r"<title>(.*?)</title>", shown, re.DOTALL)
    assert title
    names, count = title[1].split(" | ")
    assert "fuse-holder-corroded" in names.split()
    assert "nozzle-too-small" not in names.split()
    assert count.strip().startswith(f"{len(names.split())} of")


def test_the_policy_lets_the_pages_own_search_run(
    handbook: str, browse: Browse, tmp_path: Path
) -> None:
    """Unchanged, with its policy in force: the box is there, so its script has run."""
    shown = browse(written(tmp_path, handbook), "--dump-dom")
    assert '<input type="search"' in shown


def test_a_foreign_script_does_not_run(handbook: str, browse: Browse, tmp_path: Path) -> None:
    evil = handbook.replace("</body>", "<script>document.title = 'foreign'</script></body>")
    shown = browse(written(tmp_path, evil), "--dump-dom")
    assert "<title>foreign" not in shown
