"""The page: one file, the same twice, that walks in a browser from the complaint to the outcome."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from html import unescape
from pathlib import Path

import pytest

from diagnose.bench import Bench
from diagnose.handout.code import read, rig_code
from diagnose.handout.growing import Grove, grow
from diagnose.handout.page import page_html
from diagnose.handout.taking import take_over
from diagnose.handout.tree import Asked, Ended, Halted, Node
from diagnose.reasoning.evidence import Measured
from diagnose.walkthrough import Walk
from tests.report.test_browser import written

Browse = Callable[..., str]

WALK = """
const told = [];
for (const step of %(steps)s) {
  told.push(document.querySelector("h1").textContent);
  if (step.startsWith("r")) {
    document.getElementById("value").value = step.slice(1);
    document.getElementById("read").click();
    if (document.getElementById("said").textContent) document.getElementById("read").click();
    continue;
  }
  const tap = () => document.querySelector(`button[data-step="${step}"]`).click();
  tap();
  if (document.getElementById("said").textContent) tap();
}
document.title = JSON.stringify([told, document.getElementById("message").value,
  document.querySelectorAll("main h2").length, location.hash.length]);
"""


def way_to_a_reading(node: Node) -> list[tuple[str, Node]] | None:
    """The steps, as the page calls them, to an end that has a reading on its way."""
    if isinstance(node, Ended):
        return None
    for number, way in enumerate(getattr(node, "ways", ())):
        step = {"?": "u", "!": "s", ">": "n"}.get(way.answer, f"o{number}")
        if way.bin:
            return [("r0,42", node), *to_the_end(way_of_value(node, 0.42))]
        if (found := way_to_a_reading(way.to)) is not None:
            return [(step, node), *found]
    return None


def way_of_value(node: Node, value: float) -> Node:
    assert isinstance(node, Asked)
    bins = [way for way in node.ways if way.bin]
    return next(way.to for way in bins if way.bin and (way.bin.high or 1e9) > value)


def to_the_end(node: Node) -> list[tuple[str, Node]]:
    """Straight on: done what a stop asks, and nothing can be told."""
    if isinstance(node, Ended):
        return []
    if isinstance(node, Halted):
        first = node.ways[0]
        return [("s" if first.answer == "!" else "n", node), *to_the_end(first.to)]
    assert isinstance(node, Asked)
    return [("u", node), *to_the_end(node.ways[-1].to)]


def walked(page: str, browse: Browse, folder: Path, steps: list[str]) -> tuple[list[str], str]:
    """The heads of all views, and the message at the end."""
    shown = browse(written(folder, page, WALK % {"steps": json.dumps(steps)}), "--dump-dom")
    title = re.search(r"<title>(\[.*?\])</title>", shown, re.DOTALL)
    assert title
    heads, message, parts, address = json.loads(unescape(title[1]))
    assert parts >= 5
    assert address > 1
    return heads, message


@pytest.mark.parametrize(("kind", "complaint"), [(0, 0), (1, 1)])
def test_it_walks_from_the_complaint_to_what_is_sent_back(
    bowser: Bench,
    grove: Grove,
    page: str,
    browse: Browse,
    tmp_path: Path,
    kind: int,
    complaint: int,
) -> None:
    tree = grove.trees[kind][complaint]
    way = way_to_a_reading(tree) or to_the_end(tree)
    steps = [f"m{kind}", f"g{complaint}", f"c{complaint}", *(step for step, _ in way)]
    heads, message = walked(page, browse, tmp_path, steps)

    sent = read(message)
    assert (sent.rig, sent.means) == (rig_code(bowser.rig), grove.able[kind])
    assert sent.complaint == grove.complaints[complaint].id
    walk = Walk(bowser, able=sent.means)
    assert take_over(walk, sent) == ()
    asked = [node.question for _, node in way if isinstance(node, Asked)]
    assert [step.test for step in walk.steps if step.is_question] == [one.id for one in asked]
    assert [one.sentence for one in asked] == [h for h in heads if h in {a.sentence for a in asked}]
    read_there = [one for one in walk.evidence if isinstance(one, Measured)]
    assert [one.value for one in read_there] == [0.42] * (kind == 0)


def test_with_its_policy_in_force_a_reload_goes_on_and_no_other_script_runs(
    page: str, browse: Browse, tmp_path: Path
) -> None:
    evil = page.replace("</body>", "<script>document.title = 'foreign'</script></body>")
    file = written(tmp_path, evil)

    class Reloaded:
        """The page with an address behind it, as a reload has it; its last step leads nowhere."""

        @staticmethod
        def as_uri() -> str:
            return f"{file.as_uri()}#m1/g0/c0/o99"

    shown = browse(Reloaded, "--dump-dom")
    assert 'data-step="o0"' in shown
    assert 'id="back"' in shown
    assert "<title>foreign" not in shown


def framed(page: Path, width: int) -> Path:
    """A page in a frame of a phone's width: a browser window itself cannot be so narrow."""
    outer = page.with_name("frame.html")
    told = "addEventListener('message', e => { document.title = e.data; });"
    frame = f"<iframe src='{page.name}' width={width} height=800></iframe>"
    outer.write_text(f"<script>{told}</script>{frame}", "utf-8")
    return outer


def test_nothing_is_wider_than_a_small_phone(page: str, browse: Browse, tmp_path: Path) -> None:
    script = (
        "const most = [];"
        "for (const at of ['', '#m0', '#m0/g0', '#m0/g0/c0', '#m0/g0/c0/o0']) {"
        "  steps = at.slice(1).split('/').filter(Boolean); show();"
        "  most.push(document.documentElement.scrollWidth); }"
        "parent.postMessage(Math.max(...most) + ' of ' + innerWidth, '*');"
    )
    outer = framed(written(tmp_path, page, script), 320)
    shown = browse(outer, "--dump-dom", "--virtual-time-budget=5000")
    found = re.search(r"<title>(\d+) of (\d+)</title>", shown)
    assert found
    assert int(found[2]) == 320
    assert int(found[1]) <= 320


def test_the_same_rig_gives_the_same_file(bowser: Bench, grove: Grove, page: str) -> None:
    one = grove.complaints[:1]
    twice = [page_html(bowser, grow(bowser, "phone", 1, workers=1, complaints=one)) for _ in "ab"]
    assert twice[0] == twice[1]
    assert page_html(bowser, grove) == page


def test_it_is_one_file_without_a_network(page: str) -> None:
    assert "default-src 'none'" in unescape(page)
    addresses = set(re.findall(r"https?://[^\"'\s<]+", page))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"\b(?:src|href)=", page)
    assert "style=" not in page.split("<script")[0].split("</style>")[1]


def test_one_tree_is_of_somebody_with_a_meter_and_one_without(grove: Grove) -> None:
    assert grove.able == ("phone, voltmeter, ohmmeter", "phone no voltmeter, ohmmeter")
