"""Command lines spoiled by chance: words that people, scripts and enemies put there."""

from __future__ import annotations

import json
import random
from collections.abc import Sequence
from functools import cache
from typing import Any

import typer

from diagnose.terminal.app import app
from tests.terminal.every_command import CALLS, OPEN
from tests.tools.fuzz.in_process import judged, room

ODD = (
    "", " ", "-", "--", "-1", "0", "-0", "3", "1e999", "1e-320", "nan", "inf", "9" * 400,
    "18446744073709551616", "٣", "½", "²", "12 V", "12 parsec", "14 A", "0 A", "-3 A", "1e308 A",
    "1e-320 A", "0.3 mm^2", "99 AWG", "300 ft", "105 degC", "-274 degC", "\0", "a\0b", "x" * 300,
    "x" * 5_000, "a/" * 2_500, "水" * 300, "насос", "\udcff", "\u202eabc", "\n", "a\nb", "\x1b[2J",
    "[bold]x", "%s", "{0}", "$(x)", "=1+1", "=", "x=", "=x", "a=b", "relay-sound=chatters", "~",
    "~nosuch", "~nosuch/x", ".", "..", "../x.html", "/proc/nowhere/x", "pump.yaml", "answers.yaml",
    "papers/keys.txt", "cases", "cases/2026", f"cases/2026/{OPEN}.yaml", OPEN, "2026", "drills",
    "drills/ana.jsonl", "new.yaml", "bowser", "mist-bench", "fuse-holder-corroded", "yes", "no",
    "2026-02-30", "0001-01-01", "9999-12-31", "--seen", "-h", "--json", "--version", "--no-such",
    "--casebook=~nosuch", "-x", "-" * 300, "rank", "not-in-the-book", "too-hot", "x.svg",
)  # fmt: skip

SOUND = {
    "--seen": "flow=weak", "--read": "voltage fuse.in fuse.out calling = 1.2 V",
    "--answers": "answers.yaml", "--casebook": "cases", "--made-safe": "too-hot",
    "--complaint": "it hums", "--fault": "fuse-holder-corroded", "--severity": "mild",
    "--rig": "pump.yaml", "--html": "out.html", "--out": "out", "--svg": "out.svg",
    "--reading": "fuse.in fuse.out", "--insulation": "105 degC", "--air": "50 degC",
    "--bundle": "3", "--duty": "2 h", "--switch-rating": "10 A", "--since": "2026-01-01",
    "--until": "2026-12-31", "--group": "main-fuse", "--mode": "battery-aged", "--status": "open",
    "--cause": "battery-aged", "--words": "it was old", "--confirmed-by": "part-swapped",
    "--measured": "12.4 V", "--runs": "yes", "--load": "in-use", "--behind": "rust",
    "--part": "a fuse", "--notes": "again", "--trainee": "ana", "--folder": "drills",
    "--level": "1", "--seed": "3", "--world": "home", "--wrong": "0.1",
}  # fmt: skip
"""A value that each option takes; of others a number."""

ENDLESS = ("serve",)
"""Commands that go on until they are broken off."""


@cache
def options_of(name: str) -> tuple[tuple[str, bool], ...]:
    """The options of a command, and whether each takes a value."""
    command: Any = typer.main.get_command(app)
    for word in name.split():
        command = command.commands[word]
    found = [(one.opts, getattr(one, "is_flag", False)) for one in command.params]
    return tuple((opts[0], not flag) for opts, flag in found if opts[0].startswith("--"))


def samples() -> list[str]:
    """The calls of the table, as JSON: the command's name, and the words."""
    return [
        json.dumps([name, *call.words])
        for name, calls in CALLS.items()
        for call in calls
        if name not in ENDLESS
    ]


def spoiled_words(calls: Sequence[str], draw: random.Random) -> bytes:
    """One of the calls with options of its command, spoiled in one to three ways."""
    name, *words = json.loads(draw.choice(calls))
    for _ in range(draw.choice((0, 1, 1, 2))):
        words += _option(name, draw)
    for _ in range(draw.choice((1, 1, 1, 2, 3))):
        words = _spoiled(name, words, draw)
    return json.dumps([name, *words]).encode()


def _option(name: str, draw: random.Random) -> list[str]:
    known = options_of(name)
    if not known:
        return []
    option, takes = draw.choice(known)
    return [option, SOUND.get(option, "2")] if takes else [option]


def _spoiled(name: str, words: list[str], draw: random.Random) -> list[str]:
    place = draw.randrange(len(words)) if words else 0
    first, last = words[:place], words[place + 1 :]
    old = words[place] if words else ""
    way = draw.randrange(9)
    if way < 4:
        return [*first, draw.choice(ODD), *last]
    if way == 4:
        return [*words, *_option(name, draw), draw.choice(ODD)]
    if way == 5:
        return [*first, old, old, *last]
    if way == 6:
        return [*first, *last]
    if way == 7:
        cut = draw.randrange(len(old) + 1)
        return [*first, old[:cut] + draw.choice(ODD) + old[cut:], *last]
    option = _option(name, draw)
    return [*words, *option, *option]


def read_words(body: bytes) -> None:
    """Call it, with a few lines to its prompts, and see that nothing is harmed."""
    words = json.loads(body)[1:]
    here, typed = room(), "3\nunknown\nquit\nyes\n"
    if any("json-lines" in word for word in words):
        typed = '{"answer": "unknown"}\n{"give_up": true}\n{"answer": "stop"}\n'
    try:
        came = here.call(words, typed)
        harmed = [one for one in here.box.changed() if not _meant(one, words)]
        assert not harmed, f"harms {harmed}"
        judged(came, (0, 1, 2, 130) if _talks(words) else (0, 1, 2), words)
    finally:
        if here.box.changed() or here.box.made():
            here.box.lay_out()


def _talks(words: Sequence[str]) -> bool:
    return bool({"walk", "drill", "new", "--ask"} & {*words})


def _meant(file: str, words: Sequence[str]) -> bool:
    """Whether a file of before is one that such a call may change: the case that is closed, the
    walk that is gone on with, the file of who drills; or what was given up with --force."""
    kinds = {"close": "cases/2", "walk": "cases/walks/", "drill": "drills/"}
    return "--force" in words or any(
        word in words and file.startswith(place) for word, place in kinds.items()
    )
