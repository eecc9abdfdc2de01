"""Whatever a person types: one sentence a mistake, status 2, and never a traceback."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.terminal.app import main

Run = Callable[..., Result]

VOLTS = "voltage motor+ motor- calling"
BAD = {
    "unknown rig": (["rank", "bowzer"], "no rig called 'bowzer'. Did you mean 'bowser'?"),
    "missing file": (["rank", "missing.yaml"], "there is no such file"),
    "long name": (["rank", "a" * 5000], "no rig called"),
    "a folder": (["rank", "."], "cannot be read"),
    "a long file": (["rank", "a" * 300 + ".yaml"], "the file cannot be read"),
    "a home of nobody": (["cases", "list", "--casebook", "~nosuch/x"], "leads to no home folder"),
    "a long casebook": (["rank", "bowser", "--casebook", "a" * 300], "the file cannot be used"),
    "a drill's folder of nobody": (["drill", "progress", "--folder", "~nosuch"], "no home folder"),
    "a drill's folder too long": (["drill", "progress", "--folder", "a" * 300], "cannot be used"),
    "a picture with no name": (["rig", "draw", "bowser", "--svg", ""], "is no ordinary file"),
    "a long picture": (["rig", "draw", "bowser", "--svg", "a" * 300], "the file cannot be used"),
    "a page in a device": (["handbook", "--html", "/dev/null"], "is no ordinary file"),
    "answers with a long name": (["rank", "bowser", "--answers", "a" * 300], "cannot be read"),
    "a zero byte": (["rank", "a\0b"], "no rig called"),
    "escapes": (["rank", "\x1b[2J[bold]x"], "no rig called '\\x1b[2J[bold]x'"),
    "no equals sign": (["rank", "bowser", "--seen", "relay-sound"], "is not observation=answer"),
    "unknown observation": (
        ["rank", "bowser", "--seen", "relay-sond=chatters"],
        "Did you mean 'relay-sound'?",
    ),
    "unknown answer": (
        ["rank", "bowser", "--seen", "relay-sound=chatter"],
        "Did you mean 'chatters'?",
    ),
    "not on this rig": (
        ["rank", "mist-bench", "--seen", "relay-sound=chatters"],
        "relay-sound needs topology relay; this rig has direct.",
    ),
    "no value": (["rank", "bowser", "--read", VOLTS], "is not 'reading = value'"),
    "huge": (["rank", "bowser", "--read", f"{VOLTS} = 1e999 V"], "is not a usable number"),
    "not a number": (["rank", "bowser", "--read", f"{VOLTS} = nan"], "is not a number with a unit"),
    "wrong unit": (["rank", "bowser", "--read", f"{VOLTS} = 12 A"], "another kind of quantity"),
    "impossible": (["rank", "bowser", "--read", f"{VOLTS} = 300 V"], "is not possible here"),
    "unknown point": (
        ["rank", "bowser", "--read", "voltage motr+ motor- calling = 3"],
        "Did you mean 'motor+'?",
    ),
    "same point": (
        ["rank", "bowser", "--read", "voltage motor+ motor+ calling = 3"],
        "both probes on the same point",
    ),
    "no condition": (
        ["rank", "bowser", "--read", "voltage motor+ motor- = 3"],
        "needs a condition",
    ),
    "markup": (["rank", "bowser", "--seen", "[red]x[/]=\x1b]0;title\x07"], "[red]x[/]"),
    "missing answers": (["rank", "bowser", "--answers", "gone.yaml"], "there is no such file"),
    "unknown fault": (
        ["expect", "bowser", "--fault", "fuse-holder-corrodd"],
        "Did you mean 'fuse-holder-corroded'?",
    ),
    "impossible fault": (["expect", "mist-bench", "--fault", "relay-coil-open"], "cannot happen"),
    "unknown severity": (
        ["expect", "bowser", "--fault", "motor-seized", "--severity", "sever"],
        "Did you mean 'severe'?",
    ),
    "lines without a rig": (["walk", "--json-lines"], "begins a walk on a RIG"),
    "a complaint with resume": (["walk", "--resume", "--complaint", "x"], "give nothing else"),
    "nothing to resume": (["walk", "--resume"], "there is no walk to go on with"),
    "resume and more": (["walk", "bowser", "--resume"], "give nothing else with it"),
}


@pytest.mark.parametrize("name", BAD)
def test_one_sentence_and_status_2(run: Run, name: str) -> None:
    words, sentence = BAD[name]

    done = run(*words)

    said = done.stderr.splitlines()
    assert done.exit_code == 2, done.output
    assert done.exception is None or isinstance(done.exception, SystemExit)
    assert len(said) == 1
    assert sentence in said[0]
    assert "\x1b" not in done.stderr
    assert "Traceback" not in done.output
    assert done.stdout == ""


def test_all_problems_of_options_and_file_in_one_run(run: Run, tmp_path: Path) -> None:
    answers = tmp_path / "answers.yaml"
    answers.write_text(
        "seen:\n  relay-sound: chatter\n  nonsense: 'x'\n"
        "read:\n  - voltage a b calling = 3\nrest: 1\n"
    )

    done = run("rank", "bowser", "--answers", str(answers), "--seen", "x=y", "--read", "z")

    said = done.stderr.splitlines()
    assert done.exit_code == 2
    assert len(said) == 6
    assert sum("answers.yaml, line" in line for line in said) == 4


def test_each_reading_of_an_answer_file_names_its_own_line(run: Run, tmp_path: Path) -> None:
    answers = tmp_path / "answers.yaml"
    answers.write_text(
        "seen: {relay-sound: chatters}\nread:\n  - voltage a b calling = 3\n"
        f"  - {VOLTS} = 11 V\n  - {VOLTS} = nan\n  - nonsense\n"
    )

    done = run("rank", "bowser", "--answers", str(answers))

    said = done.stderr.splitlines()
    assert [line.split(": ")[0].partition(", ")[2] for line in said] == [
        "line 3, key read[1]",
        "line 5, key read[3]",
        "line 6, key read[4]",
    ]


@pytest.mark.parametrize(
    "text", ["", "\0", "[]", "seen: [a]", "seen: {relay-sound: on}", "read: x", "a: &x 1\nb: *x"]
)
def test_a_broken_answer_file(run: Run, tmp_path: Path, text: str) -> None:
    answers = tmp_path / "answers.yaml"
    answers.write_text(text)

    done = run("rank", "bowser", "--answers", str(answers))

    assert done.exit_code == 2
    assert all("answers.yaml" in line for line in done.stderr.splitlines())
    assert done.stderr.strip()


def test_a_file_of_answers_is_read_and_options_come_after_it(run: Run, tmp_path: Path) -> None:
    answers = tmp_path / "answers.yaml"
    answers.write_text(
        "seen: {fuse-holder-look: clean}\nread: ['voltage fuse.in fuse.out calling = 1.2 V']\n"
    )

    done = run(
        "rank", "bowser", "--answers", str(answers), "--seen", "fuse-holder-look=corroded", "--json"
    )

    assert done.exit_code == 0
    assert "fuse holder look: corroded" in done.stdout
    assert "voltage fuse.in fuse.out, asked to run = 1.2 V" in done.stdout
    assert "fuse holder look: clean" not in done.stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["rank"], "Missing argument 'RIG'. See: "),
        (["rank", "bowser", "--nonsense"], "No such option: --nonsense"),
        (["rank", "bowser", "--seen"], "requires an argument"),
        (["nonsense"], "No such command 'nonsense'"),
        (["rank", "bowser", "mist-bench"], "extra argument"),
        (["\x1b[31m"], "No such command '\\x1b[31m'"),
    ],
)
def test_a_command_called_wrongly(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: list[str],
    said: str,
) -> None:
    monkeypatch.setattr("sys.argv", ["diagnose", *words])

    with pytest.raises(SystemExit) as end:
        main()

    shown = capsys.readouterr()
    assert end.value.code == 2
    assert len(shown.err.splitlines()) == 1
    assert said in shown.err
    assert shown.out == ""
