"""The handbook: everything of the book is in it, and every link leads somewhere."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from diagnose.bench import Bench, Shop
from diagnose.errors import DiagnoseError
from diagnose.figures import shipped_figures
from diagnose.reasoning.information import information_gain
from diagnose.report.handbook_html import handbook_html
from diagnose.report.lessons import lessons_for, load_lessons, shipped_lessons
from diagnose.report.mode_page import mode_page
from diagnose.report.telling_apart import Apart
from tests import once

ReadPage = Callable[[str], Any]


def test_everything_of_the_book_is_in_it(handbook: str, bowser: Bench, read_page: ReadPage) -> None:
    page, book = read_page(handbook), bowser.shop.catalogue
    assert set(book.failure_modes) <= set(page.ids)
    assert set(book.observations) <= set(page.ids)
    said = page.said
    for mode in book.failure_modes.values():
        assert mode.title in said
    for entry in (*book.readings, *book.sources):
        assert entry in said
    for caution in book.cautions.values():
        assert " ".join(caution.text.split()) in said


def test_links_lead_somewhere_and_targets_are_there_once(
    handbook: str, read_page: ReadPage
) -> None:
    page = read_page(handbook)
    assert [name for name, count in Counter(page.ids).items() if count > 1] == []
    assert all(link.startswith("#") for link in page.links)
    assert {link[1:] for link in page.links} <= set(page.ids)


def test_nothing_is_fetched(handbook: str, read_page: ReadPage) -> None:
    """Addresses may be named in a text; nothing loads one."""
    assert not re.search(r"(src|href|action|url)\s*[=(]\s*[\"']?(https?:|//)", handbook)
    assert read_page(handbook).kinds.count("script") == 1
    assert "@import" not in handbook


def test_a_rigs_name_cannot_speak_html(
    bench_of: Callable[[str], Bench], read_page: ReadPage
) -> None:
    evil = '<script>alert(1)</script>"><img src=x onerror=alert(1)>\x1b[31m'
    bench = bench_of("bilge")
    made = handbook_html(replace(bench, rig=replace(bench.rig, name=evil)))
    page = read_page(made)
    assert page.kinds.count("script") == 1
    assert page.kinds.count("img") == 1
    assert "\x1b" not in made


def test_lessons_rest_on_sources_and_are_kept_to_rigs_that_need_them(
    shop: Shop, bench_of: Callable[[str], Bench]
) -> None:
    lessons = {one.id: one for one in shipped_lessons()}
    assert {"why-a-relay", "why-a-control-fuse", "holder-faces-down"} <= set(lessons)
    for one in lessons.values():
        assert set(one.sources) <= set(shop.catalogue.sources)
        assert one.paragraphs
    direct = {one.id for one in lessons_for(bench_of("mist-bench").hypotheses.facts)}
    assert "direct-switch" in direct
    assert "why-a-relay" not in direct


def test_figures_of_the_lessons_are_right() -> None:
    """Ohm's and Joule's laws: 14 A through 0.3 ohm. Charge at rest: handbook figures of the
    battery (12.65, 12.24, 12.06 V at 100, 50, 25 %). Fuse distance: 33 CFR 183.455."""
    lessons = {one.id: " ".join(one.paragraphs) for one in shipped_lessons()}
    assert 14 * 0.3 > 4.0
    assert pytest.approx(60, rel=0.03) == 14**2 * 0.3
    assert "more than 4 V at 14 A, and turns them into some 60 W" in lessons["where-the-volts-go"]
    assert "about 12.6 V or more is full, 12.2 V is half" in lessons["the-battery"]
    assert round(7 * 2.54) == 18
    assert "7 in (18 cm)" in lessons["fuse-protects-the-wire"]


def test_one_rest_before_the_battery_is_read_is_told_everywhere(shop: Shop) -> None:
    """At least 4 h without charge or load, from a public mailing list on lead-acid batteries; the
    short way after charging is common practice."""
    figures = shipped_figures()
    rest = figures.get("battery-rest-time", "h")
    short = [figures.get(f"surface-charge-{step}", "min") for step in ("run", "wait")]
    lesson = next(one for one in shipped_lessons() if one.id == "the-battery")
    reading = shop.catalogue.readings["voltage battery+ battery- rest"].how

    assert (rest, short) == (4, [2, 10])
    assert "four hours without charge or load" in lesson.paragraphs[0]
    assert "pump for two minutes, wait ten" in lesson.paragraphs[0]
    assert "4 hours without charge or load" in reading
    assert "pump for two minutes, everything off for ten" in reading


def test_a_slip_in_the_lessons_is_named(tmp_path: Path) -> None:
    file = tmp_path / "lessons.yaml"
    file.write_text("lessons:\n  - id: a\n    titel: b\n    text: [c]\n    sources: [d]\n", "utf-8")
    with pytest.raises(DiagnoseError, match=r"line 3, .*titel"):
        load_lessons(file)


def test_what_tells_two_apart_is_the_information_of_the_walks_own_measure(bowser: Bench) -> None:
    """Against the mutual information by which the walk chooses (next_test.gain), test by test.

    What a battery gives at its posts or at its clamps knows nothing of a fuse holder behind it;
    common practice.
    """
    modes = ("fuse-holder-corroded", "battery-discharged")
    found = Apart(bowser).by(*modes)
    assert [one for one in found if "battery+ battery-" in one.test.id or "lug-" in one.test.id]
    h, chances = bowser.hypotheses, bowser.chooser.outcomes
    whole = chances.columns
    for one in found:
        row = list(chances.tests).index(one.test)
        columns = whole[:, chances.start[row] : chances.start[row + 1]]
        here = [h.mode == h.modes.index(mode) for mode in modes]
        pair = [np.average(columns[each], axis=0, weights=h.weight[each]) for each in here]
        assert one.bits == pytest.approx(information_gain(np.array(pair).T / 2), abs=1e-6)


def test_a_corroded_holder_takes_volts_where_a_sound_one_takes_millivolts(bowser: Bench) -> None:
    page = mode_page(Apart(bowser), bowser.shop.catalogue.failure_modes["fuse-holder-corroded"])
    line = next(one for one in page.reads if one.reading.points == ("fuse.in", "fuse.out"))
    assert line.sound.endswith("mV")
    assert " V to " in line.here
    assert page.proof is not None
    looks = [sign.option for sign in page.signs if sign.entry.id == "fuse-holder-look"]
    assert looks == ["corroded"]
    volts = {one.point: one.faulty or 0.0 for one in page.volts}
    assert volts["fuse.in"] - volts["fuse.out"] > 0.5
    plumbing = bowser.shop.catalogue.failure_modes["outlet-leak"]
    assert mode_page(Apart(bowser), plumbing).volts == ()


def test_every_failure_mode_has_its_page(bench_of: Callable[[str], Bench]) -> None:
    """On rigs that between them have every kind of control and a list of parts; each on the first
    of them that can have it, and elsewhere what is missing there."""
    whole: set[str] = set()
    for bench in map(bench_of, ("bowser", "header-tank", "spray-trailer")):
        apart = Apart(bench)
        for mode in bench.shop.catalogue.failure_modes.values():
            here = mode.id in bench.hypotheses.modes
            if here and mode.id in whole:
                continue
            page = once.page(apart, mode)
            assert bool(page.needs) == (not here)
            if here:
                whole.add(mode.id)
                assert page.signs or page.reads
                assert all(0 < sign.share < 1 + 1e-9 for sign in page.signs)
    assert whole
