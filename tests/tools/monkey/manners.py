"""How a monkey answers: sensibly, at random, rudely, or with back and skip, as its mood has it."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Callable, Mapping, Sequence
from typing import Any

Record = Mapping[str, Any]

MOODS: Mapping[str, Mapping[str, int]] = {
    "patient": {"sensible": 16, "anything": 4, "unknown": 2, "skip": 1, "tell": 2, "confirm": 1},
    "random": {"anything": 12, "extreme": 4, "unknown": 1, "skip": 1, "back": 1, "can": 1},
    "rude": {"rude": 8, "anything": 6, "extreme": 4, "back": 1, "skip": 1, "note": 1, "tell": 1},
    "contrary": {"anything": 8, "sensible": 4, "back": 5, "extreme": 2, "rude": 1, "can": 2},
    "talkative": {"tell": 8, "confirm": 8, "note": 3, "can": 3, "sensible": 6, "back": 2},
    "restless": {"back": 6, "skip": 6, "unknown": 4, "sensible": 6, "rude": 1},
    "hasty": {"skip": 10, "unknown": 6, "sensible": 2, "stop": 1},
}
"""What a mood does, in parts."""

DEALT_WITH = 0.3
"""Share of lines that say, while a stop stands, that it has been dealt with."""

NONSENSE = (
    "",
    "\n",
    "no",
    "you useless heap",
    "; rm -rf / #",
    "<script>alert(1)</script>",
    "\x1b[2J\x1b]0;title\x07",
    "[bold red]x[/]",
    "{0.__class__}",
    "%s%n",
    "NaN",
    "1e999 V",
    "-0",
    "12 V 13 V",
    "1,500",
    "OL",
    "\N{ROCKET}\N{ZERO WIDTH JOINER}\u202e",
    "\ud800",
    "0" * 400,
    "9" * 5000,
    "../../etc/passwd",
)
LINES = (
    b"\n",
    b"{\n",
    b"null\n",
    b"[]\n",
    b'"chatters"\n',
    b"{}\n",
    b'{"answer": null}\n',
    b'{"answer": true}\n',
    b'{"answer": [1, 2]}\n',
    b'{"answer": NaN}\n',
    b'{"answer": -Infinity}\n',
    b'{"answer": 7, "unit": 3}\n',
    b'{"answer": 7, "unit": "parsec"}\n',
    b'{"made_safe": null}\n',
    b'{"made_safe": 7}\n',
    b'{"made_safe": ""}\n',
    b'{"made_safe": "battery-may-burst"}\n',
    b'{"made_safe": ["too-hot"], "answer": "stop"}\n',
    b'{"made_safe": "too-hot", "answer": "unknown"}\n',
    b'{"answer": "' + b"x" * 70_000 + b'"}\n',
    b"[" * 50_000 + b"\n",
    b"\xff\xfe\x00\n",
    b"\x00\n",
)


def line(answer: object, **more: object) -> bytes:
    """One line of the protocol."""
    return json.dumps({"answer": answer, **more}).encode() + b"\n"


def _sensible(question: Record, draw: random.Random) -> bytes:
    """The first options are the likeliest words; a reading inside or a little beside its band."""
    if question["kind"] == "observation":
        options = question["options"]
        return line(options[min(int(draw.expovariate(0.8)), len(options) - 1)])
    low, high = question["expected"]
    value = draw.gauss((low + high) / 2, (high - low) / 2 or 0.1)
    return line(round(value, 3), unit=question["unit"])


def _anything(question: Record, draw: random.Random) -> bytes:
    if question["kind"] == "observation":
        return line(draw.choice(question["options"]))
    if question["quantity"] == "resistance" and draw.random() < 0.3:
        return line("OL")
    low, high = question["expected"]
    return line(draw.uniform(min(low, 0.0), 1.5 * high), unit=question["unit"])


def _extreme(question: Record, draw: random.Random) -> bytes:
    value = draw.choice((-1, 1)) * 10 ** draw.uniform(-9, 18)
    units = ("", "V", "mV", "kV", "A", "ohm", "Mohm", "degF", "psi", "", question.get("unit", ""))
    written = draw.choice((value, math.trunc(value), f"{value:.3f}".replace(".", ",")))
    return line(written, unit=draw.choice(units))


def _rude(question: Record, draw: random.Random) -> bytes:
    kind = draw.randrange(4)
    if kind == 0:
        return draw.choice(LINES)
    if kind == 1:
        return draw.randbytes(draw.randrange(1, 60)).replace(b"\n", b" ") + b"\n"
    if kind == 2:
        body = bytearray(_anything(question, draw))
        body[draw.randrange(len(body) - 1)] = draw.randrange(32, 127)
        return bytes(body)
    return draw.choice((line, safe))(draw.choice(NONSENSE))


def safe(stop: object) -> bytes:
    """The line that says that a stop has been dealt with."""
    return json.dumps({"made_safe": stop}).encode() + b"\n"


SENTENCES = (
    "the relay clicks and the fuse holder is hot",
    "motor- lug- 2.2",
    "no it was fine yesterday, i think",
    "12.4 at the battery with it off",
    "the truck runs fine",
    "main fuse is blown",
    "there is smoke",
    "it ran on and on",
    "nothing",
    *NONSENSE,
)
ABLE = ("phone", "rig", "no meter", "a clamp", "nothing", "everything", "only lamp", "fly", 7, [])


def _tell(question: Record, draw: random.Random) -> bytes:
    return json.dumps({"tell": draw.choice(SENTENCES)}).encode() + b"\n"


def _confirm(question: Record, draw: random.Random) -> bytes:
    reply = draw.choice((True, True, True, [], ["relay-sound"], ["main-fuse-element"], 7, None))
    return json.dumps({"confirm": reply}).encode() + b"\n"


def _note(question: Record, draw: random.Random) -> bytes:
    return json.dumps({"note": draw.choice(SENTENCES)}).encode() + b"\n"


def _can(question: Record, draw: random.Random) -> bytes:
    said = draw.choice(ABLE)
    return json.dumps({"can": draw.choice((said, [said]))}).encode() + b"\n"


ACTS: Mapping[str, Callable[[Record, random.Random], bytes]] = {
    "sensible": _sensible,
    "anything": _anything,
    "extreme": _extreme,
    "rude": _rude,
    "back": lambda question, draw: line("back"),
    "skip": lambda question, draw: line("skip"),
    "unknown": lambda question, draw: line("unknown"),
    "stop": lambda question, draw: line("stop"),
    "tell": _tell,
    "confirm": _confirm,
    "note": _note,
    "can": _can,
}


def act(
    mood: str, question: Record, stops: Sequence[str], draw: random.Random
) -> tuple[str, bytes]:
    """What is done to one question while these stops stand: its name, and the line that is sent."""
    if stops and draw.random() < DEALT_WITH:
        return "safe", safe(draw.choice(stops))
    names = MOODS[mood]
    (name,) = draw.choices([*names], [*names.values()])
    return name, ACTS[name](question, draw)
