"""The commands rank, lint and --help: what they print, and what they cost."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.bench import Bench
from diagnose.catalogue.issues import Issue, Severity
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.errors import Place
from diagnose.terminal.handbook.quality import CHECKED
from diagnose.terminal.json_lines import written
from diagnose.terminal.walk.records import ranked_record
from diagnose.walkthrough import Walk
from tests.terminal.told import BAD_HOLDER, CHATTERS

Run = Callable[..., Result]

RIG = """
name: {name}
topology: direct
pump: {{current: 7 A}}
"""


def test_rank_shows_causes_shared_repairs_reasons_and_the_next_question(run: Run) -> None:
    text = run("rank", "bowser", "--seen", "relay-sound=chatters").stdout
    told = run("rank", "bowser", "--read", "voltage fuse.in fuse.out calling = 1.2 V").stdout

    assert "Corroded main fuse holder" in text
    assert "relay sound: chatters speaks" in text
    assert "\nNext\n" in text
    assert "replace fuse holder" in told
    assert "together" in told


def test_rank_names_the_values_it_leaned_on(run: Run, tmp_path: Path) -> None:
    file = tmp_path / "rig.yaml"
    file.write_text(RIG.format(name="a pump"))

    text = run("rank", str(file)).stdout

    assert "taken as usual" in text
    assert "wire gauge" in text
    assert "relay.coil" not in text


def test_rank_shows_what_does_not_go_together(run: Run) -> None:
    text = run("rank", "bowser", "--seen", "pump-action=silent", "--seen", "flow=normal").stdout

    assert "These do not go together" in text
    assert "A pump that stands gives no flow" in " ".join(text.split())


def test_rank_says_what_the_readings_say_together(run: Run) -> None:
    """2.4 V are missing at the motor, 2.2 V of them in the return."""
    read = ["voltage motor- lug- calling = 2.2", "voltage motor+ motor- calling = 10.0"]
    read.append("voltage battery+ battery- calling = 12.4")
    given = [word for one in read for word in ("--read", one)]
    command = ("rank", "bowser", "--seen", "pump-action=slow", *given)

    text = run(*command).stdout
    said = text.partition("What this says")[2].partition("Why the first of them")[0]
    assert said.splitlines()[1:3] == [
        "  -  The motor gets only 10.0 V and runs slowly.",
        "  -  2.2 V of 2.4 V are lost in the return.",
    ]
    assert "voltage motor- lug-, asked to run = 2.2 V (sound" in text

    findings = json.loads(run(*command, "--json").stdout)["findings"]
    assert [one["finding"] for one in findings] == ["motor-starved", "loss-on-return"]
    assert findings[1]["text"] == "2.2 V of 2.4 V are lost in the return."


def test_rank_shows_and_weighs_the_digits_that_were_typed(run: Run) -> None:
    """12 and 12.00 are different evidence."""

    def after(volts: str) -> dict[str, float]:
        read = f"voltage battery+ battery- rest = {volts}"
        record = json.loads(run("rank", "bowser", "--read", read, "--json").stdout)
        return {one["failure_mode"]: one["probability"] for one in record["ranking"]}

    assert after("12.00")["battery-discharged"] > after("12")["battery-discharged"]
    assert after("12")["battery-discharged"] > after("about 13")["battery-discharged"]
    text = run("rank", "bowser", "--read", "voltage motor- lug- calling = about 2 V").stdout
    assert "voltage motor- lug-, asked to run = about 2 V (sound" in " ".join(text.split())


def test_rank_as_json_is_the_result_alone(run: Run) -> None:
    record = json.loads(run("rank", "bowser", "--seen", "relay-sound=chatters", "--json").stdout)

    assert record["type"] == "result"
    assert record["next"]["type"] == "question"
    assert sum(one["probability"] for one in record["ranking"]) == pytest.approx(1, abs=1e-9)


ISSUE = Issue(
    "K123",
    Severity.NOTE,
    Place("fuse.yaml", 7, "shows"),
    "nobody [b]ever[/b] \x1b[2J saw " + "x" * 90,
)


@pytest.mark.parametrize(
    ("issues", "status", "summary"),
    [
        ((), 0, "nothing found."),
        ((ISSUE,), 0, "1 note."),
        ((replace(ISSUE, severity=Severity.MUST_FIX), ISSUE), 2, "1 must-fix, 1 note."),
    ],
)
def test_lint_shows_a_line_an_issue(
    run: Run,
    monkeypatch: pytest.MonkeyPatch,
    issues: tuple[Issue, ...],
    status: int,
    summary: str,
) -> None:
    monkeypatch.setattr("diagnose.terminal.handbook.quality.lint_folder", lambda: issues)

    done = run("lint", "--quick")

    lines = done.stdout.splitlines()
    assert done.exit_code == status
    assert lines[-1].endswith(f" checks: {summary}")
    said = "fuse.yaml, line 7, key shows: nobody [b]ever[/b] \\x1b[2J saw"
    assert [said in line for line in lines].count(True) == len(issues)


def test_lint_says_how_much_of_the_vocabulary_is_described(run: Run) -> None:
    words, book = shipped_vocabulary(), shipped_catalogue()
    modes, observations = len(words.group_of), len(words.observations)

    said = run("lint", "--quick").stdout.splitlines()[-2]

    assert said == (
        f"{modes} of {modes} failure modes, {observations} of {observations} observations, "
        f"{len(book.readings)} readings, {len(shipped_rules())} rules."
    )
    assert modes >= 79


def test_lint_says_what_no_test_separates_once_the_files_are_right(
    run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    found: list[Issue] = [ISSUE]
    monkeypatch.setattr("diagnose.terminal.handbook.quality.lint_folder", lambda: tuple(found))
    monkeypatch.setattr("diagnose.terminal.handbook.quality._computed", lambda: ((ISSUE, ISSUE), 2))

    assert run("lint").stdout.rstrip().endswith(f"{CHECKED + 2} checks: 3 note.")

    found.append(replace(ISSUE, severity=Severity.MUST_FIX))
    assert run("lint").stdout.rstrip().endswith(f"{CHECKED} checks: 1 must-fix, 1 note.")


HELP_IS_LIGHT = """
import sys
from diagnose.terminal.app import main
sys.argv = ["diagnose", *sys.argv[1:]]
try:
    main()
except SystemExit as end:
    assert end.code == 0, end.code
heavy = {"numpy", "experta", "pint", "yaml", "diagnose.catalogue.load", "diagnose.walkthrough"}
found = heavy & set(sys.modules)
assert not found, found
"""


@pytest.mark.parametrize("words", [["--help"], ["walk", "--help"], []])
def test_help_imports_nothing_heavy(environment: dict[str, str], words: list[str]) -> None:
    done = subprocess.run(
        [sys.executable, "-c", HELP_IS_LIGHT, *words],
        env=environment,
        capture_output=True,
        text=True,
        timeout=60,
    )

    assert done.returncode == 0, done.stderr
    assert "Usage: " in done.stdout


def test_help_costs_at_most_three_times_rich(
    command: list[str], environment: dict[str, str]
) -> None:
    """The mark of the design: three times an interpreter that imports rich's console."""
    base = [sys.executable, "-c", "import rich.console"]

    rich, ours = (seconds(words, environment) for words in (base, [*command, "--help"]))

    assert ours <= 3 * rich


def seconds(words: list[str], environment: dict[str, str]) -> float:
    """Processor time of a process; the least of three runs. [s]"""
    import resource

    def once() -> float:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(words, env=environment, check=True, capture_output=True, timeout=60)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    return min(once() for _ in range(3))


def test_rank_holds_the_question_it_would_ask(bowser: Bench) -> None:
    open_one, done = ranked_record(Walk(bowser, CHATTERS)), ranked_record(Walk(bowser, BAD_HOLDER))

    assert open_one["next"]["type"] == "question"
    assert open_one["why_stopped"] == ""
    assert done["next"] is None
    assert done["why_stopped"]


def test_all_that_is_written_is_ascii(bowser: Bench) -> None:
    text = written(ranked_record(Walk(bowser, CHATTERS)))

    assert text.isascii()
    assert text.isprintable()
