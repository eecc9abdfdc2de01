"""Pages, taken apart: their elements, links and texts. Every rig and case here is invented."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime
from html.parser import HTMLParser
from pathlib import Path

import pytest

from diagnose.bench import Bench
from diagnose.casebook.record import Case, ReadAt, SeenAt
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import open_rig
from diagnose.report.handbook_html import handbook_html
from diagnose.report.markup import VOID

AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)


class Page(HTMLParser):
    """A page as it is read; raises AssertionError where elements do not nest."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.links: list[str] = []
        self.kinds: list[str] = []
        self._words: list[str] = []
        self._open: list[str] = []
        self.feed(text)
        assert self._open == []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = dict(attrs)
        self.kinds.append(tag)
        self.ids += [told["id"] or ""] if "id" in told else []
        self.links += [told["href"] or ""] if "href" in told else []
        assert not any(name.startswith("on") or name == "style" for name in told)
        if tag not in VOID | {"img"}:
            self._open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag

    def handle_data(self, data: str) -> None:
        if self._open and self._open[-1] not in ("style", "script"):
            self._words.append(data)

    @property
    def said(self) -> str:
        """The words of the page with every gap as one space."""
        return " ".join(" ".join(self._words).split())


@pytest.fixture(scope="session")
def read_page() -> Callable[[str], Page]:
    """Takes a page apart; fails where its elements do not nest."""
    return Page


@pytest.fixture(scope="session")
def handbook(bowser: Bench) -> str:
    """The handbook of the bowser."""
    return handbook_html(bowser)


@pytest.fixture(scope="session")
def made() -> Callable[..., Case]:
    """Makes a case of an invented workshop."""
    drop = reading_of("voltage fuse.in fuse.out calling")
    case = Case(
        id="2026-03-02-tree-watering-bowser-3fa91c",
        opened=AT,
        closed=AT.replace(hour=11),
        rig=open_rig("bowser"),
        complaint=("relay-chatters", "It rattled all morning."),
        seen=(SeenAt("fuse-holder-look", "corroded", AT, 2.5, 1.25),),
        read=(ReadAt(drop, 4.5, 0.03, 0.138, "high", AT, 1.5, 2.5),),
        ranking=(("fuse-holder-corroded", 0.94), ("fuse-holder-loose", 0.04)),
        rest=0.02,
        cause="fuse-holder-corroded",
        true_cause="fuse-holder-corroded",
        repair="replace-fuse-holder",
        root_cause="Holder mounted with its opening up",
        status="closed",
        confirmed_by="part-swapped",
        parts=("sealed blade fuse holder",),
        minutes=12.5,
        questions=7,
        knowledge="0123456789ab",
        notes="Ask Rosa for the key.",
    )
    return lambda **changes: replace(case, **changes)


@pytest.fixture(scope="session")
def browse(tmp_path_factory: pytest.TempPathFactory) -> Callable[..., str]:
    """Runs a headless browser on a page; gives what it printed. Skips where there is none."""
    names = ("chromium", "chromium-browser", "google-chrome")
    browser = next((found for name in names if (found := shutil.which(name))), None)
    if browser is None:
        pytest.skip("no headless browser here")

    def run(page: Path, *options: str) -> str:
        profile = tmp_path_factory.mktemp("profile")
        quiet = ("background-networking", "component-update", "sync", "gpu")
        done = subprocess.run(
            [
                *(browser, "--headless", "--no-sandbox", "--no-first-run", "--hide-scrollbars"),
                *(f"--disable-{name}" for name in quiet),
                *(f"--user-data-dir={profile}", *options, page.as_uri()),
            ],
            capture_output=True,
            text=True,
            timeout=120,
            check=True,
        )
        return done.stdout

    return run
