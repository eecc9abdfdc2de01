"""The handbook as one page: circuits explained, failure modes, tests, cautions, sources."""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Iterator

from diagnose.bench import Bench
from diagnose.catalogue.records import FailureMode
from diagnose.design.drawing import healthy_volts
from diagnose.design.drawing_svg import draw_svg
from diagnose.reasoning.words import rig_line, spaced
from diagnose.report.lessons import Lesson, lessons_for
from diagnose.report.markup import Html, anchor, joined, line, link, listed, table, tag
from diagnose.report.mode_html import mode_html, stop_html, tests_html
from diagnose.report.mode_page import mode_page
from diagnose.report.page import page
from diagnose.report.telling_apart import Apart

SCRIPT = """
'use strict';
(function () {
  var entries = Array.prototype.slice.call(document.querySelectorAll('.entry'));
  var parts = Array.prototype.slice.call(document.querySelectorAll('.part'));
  var texts = entries.map(function (one) { return one.textContent.toLowerCase(); });
  var place = document.getElementById('search');
  var label = document.createElement('label');
  var box = document.createElement('input');
  var count = document.createElement('span');
  label.textContent = 'Search ';
  box.type = 'search';
  box.placeholder = 'such as: chatters fuse holder';
  count.setAttribute('role', 'status');
  label.appendChild(box);
  place.appendChild(label);
  place.appendChild(count);
  function look() {
    var words = box.value.toLowerCase().split(/\\s+/).filter(Boolean), found = 0;
    entries.forEach(function (one, n) {
      one.hidden = !words.every(function (word) { return texts[n].indexOf(word) >= 0; });
      if (!one.hidden) { found += 1; }
    });
    parts.forEach(function (part) {
      part.hidden = words.length > 0 && !part.querySelector('.entry:not([hidden])');
    });
    document.getElementById('contents').hidden = words.length > 0;
    count.textContent = words.length ? ' ' + found + ' of ' + entries.length : '';
  }
  box.addEventListener('input', look);
  window.addEventListener('hashchange', function () {
    var aim = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (aim && aim.closest('[hidden]')) { box.value = ''; look(); aim.scrollIntoView(); }
  });
}());
"""
"""Hides every `.entry` that has not all the words typed, and every `.part` left without entries."""


STYLE = """
.entry { margin: 0 0 1.4rem; padding-top: .2rem; }
.entry, .part { scroll-margin-top: 3.2rem; }
#contents ul { columns: 2; margin-bottom: .8rem; }
#search { position: sticky; top: 0; background: #fff; padding: .4rem 0; }
#search input { font: inherit; width: min(22rem, 60%); padding: .2rem .4rem;
  border: 1px solid var(--line); border-radius: 3px; }
figure { margin: .6rem 0; overflow-x: auto; }
figure img { display: block; max-width: 100%; height: auto; }
[hidden] { display: none !important; }
@media screen and (max-width: 34rem) {
  #contents ul { columns: 1; }
  figure img { max-width: none; width: 36rem; }
}
@media print { .part { break-before: page; } }
"""

TITLE = "Handbook of the 12 V pump circuit"


def handbook_html(bench: Bench) -> str:
    """The whole book, computed for one rig."""
    apart = Apart(bench)
    lessons = lessons_for(bench.hypotheses.facts)
    body = joined(
        [
            _head(bench),
            tag("div", id="search", class_="screen"),
            _contents(bench, lessons),
            _circuits(bench, lessons),
            *_modes(apart),
            *tests_html(bench),
            _stops(bench),
            _cautions(bench),
            _sources(bench),
        ]
    )
    return page(f"{TITLE}: {bench.rig.name}", body, STYLE, SCRIPT)


def _head(bench: Bench) -> Html:
    computed = (
        "What this rig reads and shows is computed from its circuit, with each fault in it, from "
        "barely noticed to total. Chances are estimates of the book where it says nothing else."
    )
    return tag(
        "header",
        tag("h1", TITLE),
        tag("p", rig_line(bench.rig)),
        tag("p", computed, class_="soft"),
        tag("p", line(bench.shop.catalogue.cautions["local-codes"].text), class_="caution"),
    )


def grouped(bench: Bench) -> dict[str, list[FailureMode]]:
    """All failure modes of the book, by component group."""
    found: dict[str, list[FailureMode]] = {}
    for mode in bench.shop.catalogue.failure_modes.values():
        found.setdefault(mode.group, []).append(mode)
    return found


def _contents(bench: Bench, lessons: tuple[Lesson, ...]) -> Html:
    book, groups = bench.shop.catalogue, grouped(bench)
    return tag(
        "nav",
        tag("h2", "Contents"),
        tag("h3", link("circuits", "The circuits explained")),
        listed(link(f"lesson-{one.id}", one.title) for one in lessons),
        tag("h3", link("group-" + next(iter(groups)), "Failure modes")),
        *(_group_links(group, modes) for group, modes in groups.items()),
        tag("h3", link("looks", "Looking, listening, feeling, trying")),
        listed(link(anchor(one.id), one.ask) for one in book.observations.values()),
        tag("h3", link("readings", "Readings")),
        listed(link(anchor(one.id), one.id) for one in book.readings.values()),
        tag("h3", link("stops", "Stops")),
        listed(link(f"stop-{one.id}", one.title) for one in book.stops.values()),
        tag("h3", link("cautions", "Cautions")),
        tag("h3", link("sources", "Sources")),
        id="contents",
    )


def _group_links(group: str, modes: list[FailureMode]) -> Html:
    return joined(
        [
            tag("h4", link(f"group-{group}", spaced(group))),
            listed(link(mode.id, mode.title) for mode in modes),
        ]
    )


def _circuits(bench: Bench, lessons: tuple[Lesson, ...]) -> Html:
    said = "The circuit of this rig with its test points and healthy volts, the pump asked to run."
    return tag(
        "section",
        tag("h2", "The circuits explained"),
        tag("figure", drawing(bench), tag("figcaption", said, class_="soft")),
        *(_lesson(one) for one in lessons),
        id="circuits",
        class_="part",
    )


def drawing(bench: Bench) -> Html:
    """The drawing of the rig, as an image that brings its own styles."""
    svg = draw_svg(bench.rig, volts=healthy_volts(bench.rig))
    address = f"data:image/svg+xml;base64,{b64encode(svg.encode()).decode()}"
    return Html(f'<img src="{address}" alt="Circuit of this rig with its test points">')


def _lesson(one: Lesson) -> Html:
    return tag(
        "article",
        tag("h3", one.title),
        *(tag("p", part) for part in one.paragraphs),
        tag("p", f"Sources: {', '.join(one.sources)}", class_="soft"),
        id=f"lesson-{one.id}",
        class_="entry",
    )


def _modes(apart: Apart) -> Iterator[Html]:
    for group, modes in grouped(apart.bench).items():
        yield tag(
            "section",
            tag("h2", f"Failure modes: {spaced(group)}"),
            *(mode_html(apart.bench, mode_page(apart, mode)) for mode in modes),
            id=f"group-{group}",
            class_="part",
        )


def _stops(bench: Bench) -> Html:
    said = "While a stop stands nothing is done that needs power. What to do now comes first."
    stops = bench.shop.catalogue.stops.values()
    return tag(
        "section",
        tag("h2", "Stops"),
        tag("p", said),
        *(tag("div", stop_html(one), id=f"stop-{one.id}", class_="entry") for one in stops),
        id="stops",
        class_="part",
    )


def _cautions(bench: Bench) -> Html:
    return tag(
        "section",
        tag("h2", "Cautions"),
        *(
            tag("div", tag("h3", spaced(one.id)), tag("p", line(one.text), class_="caution"))
            for one in bench.shop.catalogue.cautions.values()
        ),
        id="cautions",
        class_="part",
    )


def _sources(bench: Bench) -> Html:
    rows = [
        (one.id, one.title, one.basis, line(one.note))
        for one in bench.shop.catalogue.sources.values()
    ]
    return tag(
        "section",
        tag("h2", "Sources"),
        table(("key", "what it is", "basis", "note"), rows),
        id="sources",
        class_="part",
    )
