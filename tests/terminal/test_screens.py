"""What is shown: never wider than the screen, never a command to the terminal, always readable."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from rich.cells import cell_len
from rich.console import Console
from typer.testing import Result

from diagnose.bench import Bench
from diagnose.circuit.reading_words import reading_of
from diagnose.outcome import conclude
from diagnose.pages.reasons import likeliest
from diagnose.reasoning import words
from diagnose.terminal.layout import shares_view
from diagnose.terminal.plain import Screen, safe, spelled_out
from diagnose.terminal.walk.command import rank_view
from diagnose.terminal.walk.question import help_view, question_view
from diagnose.walkthrough import Walk
from tests.terminal.told import BAD_HOLDER, whole_result

Run = Callable[..., Result]
TextOf = Callable[[Screen], str]


def widest(text: str) -> int:
    return max(cell_len(line) for line in text.splitlines())


def test_every_question_fits_40_columns(bowser: Bench, narrow: Screen, text_of: TextOf) -> None:
    walk, quantities = Walk(bowser), bowser.shop.catalogue.quantities
    for test in bowser.tests:
        question = walk.ask(test)
        quantity = quantities[question.reading.quantity] if question.reading else None
        narrow.show(*question_view(narrow, question, 1), *help_view(narrow, question, quantity))

    assert widest(text_of(narrow)) <= 40


@pytest.mark.parametrize("size", ["narrow", "wide"])
def test_results_and_rankings_fit(
    bowser: Bench, request: pytest.FixtureRequest, text_of: TextOf, size: str
) -> None:
    screen: Screen = request.getfixturevalue(size)
    walk = Walk(bowser, BAD_HOLDER)
    result = conclude(walk)

    screen.show(*whole_result(screen, bowser, result), *rank_view(screen, walk, result))

    assert widest(text_of(screen)) <= screen.width


def test_the_proof_stays_under_its_heading(bowser: Bench, narrow: Screen, text_of: TextOf) -> None:
    """Also where its line is broken."""
    narrow.show(*whole_result(narrow, bowser, conclude(Walk(bowser, BAD_HOLDER))))

    proof = text_of(narrow).partition("Proof that it is mended\n")[2].partition("\n\n")[0]
    assert len(proof.splitlines()) > 2
    assert all(line.startswith("  ") for line in proof.splitlines())


@pytest.mark.parametrize("width", [12, 20, 40, 79])
def test_a_whole_walk_is_never_wider_than_the_screen(
    converse: Callable[..., Any], width: int
) -> None:
    held = converse("?", "1", "3", "", "why", "list", "", "?", "quit", "no", width=width)

    assert widest(held.text) <= width


def test_bars_read_without_colour(wide: Screen) -> None:
    assert wide.bar(0.5, 10) == "#####....."
    assert wide.bar(0.02, 10) == "#........."
    assert wide.bar(0.0, 10) == ".........."
    assert wide.bar(1.0, 10) == "##########"


def test_a_ranking_shows_words_numbers_and_bars(
    bowser: Bench, wide: Screen, text_of: TextOf
) -> None:
    wide.show(
        shares_view(
            wide, likeliest(bowser, [("fuse-holder-corroded", 0.5), ("motor-seized", 0.004)])
        )
    )

    first, second = (" ".join(line.split()) for line in text_of(wide).splitlines())
    assert first == "50 % ######...... Corroded main fuse holder"
    assert second == "<1 % ............ Motor seized"


@pytest.mark.parametrize(
    ("probability", "shown"),
    [(0.0, "<1 %"), (0.0099, "<1 %"), (0.01, "1 %"), (0.5, "50 %"), (0.99, "99 %"), (1.0, ">99 %")],
)
def test_a_probability_is_never_shown_as_certain(probability: float, shown: str) -> None:
    assert words.per_cent(probability) == shown


@pytest.mark.parametrize(
    ("low", "high", "reading", "shown"),
    [
        (12.1, 12.6, "voltage battery+ battery- calling", "12.1 to 12.6 V"),
        (0.031, 0.138, "voltage fuse.in fuse.out calling", "31 to 138 mV"),
        (0.5, 1.5, "voltage fuse.in fuse.out calling", "500 mV to 1.5 V"),
        (-0.04, 0.04, "voltage motor+ motor- rest", "-40 to 40 mV"),
        (-0.0053, 0.122, "voltage pswitch.in pswitch.out calling", "0 to 122 mV"),
        (-0.05, 0.02, "voltage pswitch.in pswitch.out calling", "-50 to 20 mV"),
        (0.0, 0.4, "resistance fuse.in fuse.out", "0 to 400 mohm"),
        (1e6, 4e7, "resistance motor+ ground", "above 1 Mohm"),
        (13.58, 45.19, "temperature fuse-holder", "14 to 45 degC"),
        (9.043, 18.49, "current motor-feed calling", "9.04 to 18.5 A"),
    ],
)
def test_bands(low: float, high: float, reading: str, shown: str) -> None:
    assert words.band(low, high, reading_of(reading)) == shown


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("\x1b[31mred", "\\x1b[31mred"),
        ("[bold]x[/bold]", "[bold]x[/bold]"),
        ("a\x07\x08b", "a\\x07\\x08b"),
        ("two\nlines", "two\nlines"),
        ("\u202eabc", "\\u202eabc"),
        ("Bäume", "Bäume"),
        ("\x9b2J", "\\x9b2J"),
    ],
)
def test_harmless_text(text: str, shown: str) -> None:
    assert safe(text) == shown


RIG = """
name: {name}
topology: direct
pump: {{current: 7 A}}
"""


def test_a_rig_file_cannot_command_the_terminal(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "rig.yaml"
    file.write_text(RIG.format(name='"[red]x[/red] \\u202e木 [link=x]pump"'), "utf-8")

    done = run("expect", str(file))

    assert done.exit_code == 0, done.stderr
    assert done.stdout.startswith("[red]x[/red] \\u202e木 [link=x]pump: direct")
    assert widest(done.stdout) <= 80


def test_escapes_in_a_rig_file_are_refused(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "rig.yaml"
    file.write_text(RIG.format(name='"\\e[2J pump"'))

    done = run("expect", str(file))

    assert done.exit_code == 2
    assert "\x1b" not in done.output
    assert "rig.yaml, line 2, key name" in done.stderr


def test_signs_that_the_output_lacks_are_spelled_out() -> None:
    body = io.BytesIO()
    stream = io.TextIOWrapper(body, encoding="ascii")
    spelled_out(stream)

    stream.write("20 °C ± 2 \u2265 5 Ω … 木")
    stream.flush()

    assert body.getvalue() == b"20 deg C +/- 2 >= 5 ohm ... ?"


@pytest.mark.parametrize(
    ("variables", "drawn"),
    [
        ({}, True),
        ({"NO_COLOR": "1"}, False),
        ({"TERM": "dumb"}, False),
        ({"PYTHONUTF8": "0", "PYTHONIOENCODING": "ascii"}, False),
    ],
)
def test_what_may_be_drawn(
    monkeypatch: pytest.MonkeyPatch, variables: dict[str, str], drawn: bool
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    encoding = variables.get("PYTHONIOENCODING", "utf-8")
    monkeypatch.setattr(sys, "stdout", Terminal(io.BytesIO(), encoding=encoding))

    assert Screen.standard().drawn is drawn


class Terminal(io.TextIOWrapper):
    """Standard output that says it is a terminal."""

    def isatty(self) -> bool:
        return True


def test_a_pipe_gets_ascii_and_80_columns(run: Run) -> None:
    done = run("rank", "bowser", "--seen", "relay-sound=chatters")

    assert done.exit_code == 0
    assert done.stdout.isascii()
    assert widest(done.stdout) <= 80


def test_the_console_is_no_wider_than_80(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "200")
    wide = Screen.standard().width
    monkeypatch.setenv("COLUMNS", "53")

    assert (wide, Screen.standard().width) == (80, 53)
    assert isinstance(Screen.standard().console, Console)
