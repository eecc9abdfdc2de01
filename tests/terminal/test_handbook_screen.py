"""The handbook on the screen and as a page, and the report of a case, as commands."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.bench import Bench, Shop
from diagnose.casebook.store import Casebook
from diagnose.casebook.walk_case import case_of
from diagnose.circuit.reading_words import reading_of
from diagnose.outcome import conclude
from diagnose.reasoning.evidence import Seen
from diagnose.reasoning.words import band
from diagnose.walkthrough import Walk

Run = Callable[..., Result]


def test_the_contents_name_everything(run: Run, shop: Shop) -> None:
    said = " ".join(run("handbook").stdout.split())
    book = shop.catalogue
    for name in (*book.failure_modes, *book.observations, *book.readings, *book.cautions):
        assert name in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("fuse-holder-corroded",), "Spread or heat-softened fuse holder (fuse-holder-loose)"),
        (("fuse-holder-corroded",), "voltage fuse.in fuse.out, asked to run {sound}"),
        (("float-inverted",), "Computed for header-tank transfer pump"),
        (("float-inverted", "--rig", "bowser"), "cannot have it; it needs control: float switch"),
        (("voltage fuse.in fuse.out calling",), "a sound rig reads {sound}"),
        (("voltage relay.30 relay.87 calling", "--rig", "mist-bench"), "has no such point"),
        (("fuse-holder-look",), "Not when the master switch is on."),
        (("why-a-relay",), "A click proves only that this second circuit works."),
        (("main-fuse",), "Corroded main fuse holder (fuse-holder-corroded)"),
        (("Main fuse",), "Corroded main fuse holder (fuse-holder-corroded)"),
        (("corroded main fuse holder",), "Corroded main fuse holder (fuse-holder-corroded)"),
        (("Why it is read under load",), "An ohmmeter sends a thousandth of an ampere."),
        (("battery-short",), "insulate the tool"),
    ],
)
def test_entries(words: tuple[str, ...], said: str, run: Run, bowser: Bench) -> None:
    reading = reading_of("voltage fuse.in fuse.out calling")
    sound = bowser.healthy.expected(reading)
    result = run("handbook", *words)
    assert result.exit_code == 0, result.output
    wanted = said.format(sound=band(sound.low, sound.high, reading))
    assert wanted in " ".join(result.stdout.split())


def test_an_unknown_entry_is_one_sentence(run: Run) -> None:
    result = run("handbook", "why-relay")
    assert result.exit_code == 2
    assert "Did you mean 'why-a-relay'" in result.output


def test_at_40_columns(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    for name in ("", "relay-contacts-resistive", "fuse-holder-look", "where-the-volts-go"):
        shown = run("handbook", *filter(None, [name])).stdout.splitlines()
        assert max(map(len, shown)) <= 40


def test_the_book_as_a_page(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "book.html"
    result = run("handbook", "--html", str(file), "--rig", "mist-bench")
    assert result.exit_code == 0, result.output
    assert "propagation mist bench" in file.read_text("utf-8")
    refused = run("handbook", "--html", str(file / "x.html"), "--rig", "mist-bench")
    assert refused.exit_code == 2
    assert len(refused.output.strip().splitlines()) == 1


def test_a_case_as_a_page(run: Run, bowser: Bench, tmp_path: Path) -> None:
    walk = Walk(bowser)
    walk.tell([Seen("relay-sound", "chatters"), Seen("fuse-holder-look", "corroded")])
    case = case_of(walk, conclude(walk), ("relay-chatters",), notes="Ask Rosa for the key.")
    Casebook.open(tmp_path / "cases").save(case)
    file = tmp_path / "case.html"
    assert run("cases", "report", case.id, "--html", str(file)).exit_code == 0
    assert "The relay clicks fast" in file.read_text("utf-8")
    assert "Rosa" not in file.read_text("utf-8")
    run("cases", "report", case.id, "--html", str(file), "--notes", "--force")
    assert "Rosa" in file.read_text("utf-8")


def test_a_report_goes_into_a_page_and_into_nothing_else(
    run: Run, bowser: Bench, tmp_path: Path
) -> None:
    case = case_of(Walk(bowser), conclude(Walk(bowser)))
    path = Casebook.open(tmp_path / "cases").save(case)
    before = path.read_text("utf-8")
    result = run("cases", "report", case.id, "--html", str(path))
    assert result.exit_code == 2
    assert path.read_text("utf-8") == before
