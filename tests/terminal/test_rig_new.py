"""The command rig new: the interview, and the file that comes of it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import Result

from diagnose.circuit.form import shipped_form
from diagnose.circuit.rig import open_rig

Run = Callable[..., Result]
USUAL = shipped_form().order("usual")
ENTERS = "\n" * 25


def test_enter_all_the_way_makes_a_rig_that_passes(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"

    done = run("rig", "new", str(path), typed="\nhose reel\n16 A\n" + ENTERS)

    assert done.exit_code == 0, done.stderr
    rig = open_rig(str(path))
    assert (rig.name, rig.pump_current, rig.assumed) == ("hose reel", 16, ())
    assert run("rig", "check", str(path)).exit_code == 0


def test_answers_can_be_taken_back_and_nonsense_is_asked_again(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    typed = "usual\nhose reel\n16 V\nabc\n?\nwhy\n9 A\nback\n7\n" + ENTERS

    done = run("rig", "new", str(path), typed=typed)

    assert done.exit_code == 0, done.stderr
    assert "'16 V'" in done.stdout
    assert open_rig(str(path)).pump_current == 7


def test_a_file_that_is_there_stays(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    path.write_text("mine")

    done = run("rig", "new", str(path))

    assert done.exit_code == 2
    assert "already" in done.stderr
    assert path.read_text() == "mine"


DIRECT = "\nHose reel\n4 A\n" + "\n" * 10
"""Answers that end at the file's name: a small pump is asked nothing about a relay."""


def test_a_file_name_is_asked_for_until_one_is_free(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("hose-reel.yaml").write_text("mine")

    done = run("rig", "new", typed=DIRECT + "hose-reel.yaml\n\n")

    assert done.exit_code == 0, done.stderr
    assert "already" in done.stdout
    assert "Written: hose-reel-2.yaml" in done.stdout
    assert Path("hose-reel.yaml").read_text() == "mine"


def test_leaving_writes_nothing(run: Run, tmp_path: Path) -> None:
    for typed in ("\nhose reel\nquit\n", "other\nhose reel\n", "quit\n"):
        done = run("rig", "new", str(tmp_path / "new.yaml"), typed=typed)

        assert done.exit_code == 130
        assert not list(tmp_path.iterdir())


def test_a_file_that_cannot_be_written_is_named_again_and_nothing_is_lost(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)

    done = run("rig", "new", typed=DIRECT + "no/such/x.yaml\nreel.yaml\n")

    assert done.exit_code == 0, done.stderr
    assert "no/such/x.yaml: cannot be written: there is no such folder" in " ".join(
        done.stdout.split()
    )
    assert open_rig("reel.yaml").pump_current == 4


def test_back_at_the_file_goes_to_the_last_question(run: Run, tmp_path: Path) -> None:
    folder = tmp_path / "no" / "such"
    typed = DIRECT + f"back\n33 A*h\n{tmp_path / 'reel.yaml'}\n"

    done = run("rig", "new", str(folder / "x.yaml"), typed=typed)

    assert done.exit_code == 0, done.stderr
    assert open_rig(str(tmp_path / "reel.yaml")).battery_capacity == 33


def test_unknown_leaves_a_value_open_and_the_file_says_so(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"

    done = run("rig", "new", str(path), typed="unknown\n" * 25)

    assert done.exit_code == 0, done.stderr
    assert "It cannot be left open: 10 A is taken." in done.stdout
    assert "not known" in path.read_text()
    assert "pump.pressure" in open_rig(str(path)).assumed


def test_every_question_has_a_help_and_a_reason(run: Run, tmp_path: Path) -> None:
    typed = "?\nwhy\n\n" * (len(USUAL) + 1)

    done = run("rig", "new", str(tmp_path / "new.yaml"), typed=typed)

    assert done.exit_code == 0, done.stderr
    told = " ".join(done.stdout.split())
    for field in (shipped_form()["circuit"], *USUAL):
        part = field.section.replace("_", " ")
        for words in (field.help, field.why):
            assert words.format(part=part) in told, field.key


# --- part by part ---------------------------------------------------------------------------------

BEFORE = "other\nspray trailer\n\n18 A\n" + "\n" * 10
"""Up to the first part: the pump, the wire, the battery and what charges it."""


def test_a_rig_is_built_part_by_part(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    feed = "plug: battery plug\n\n2\n25\n6 in\nmaster switch\n5\n\nsolenoid\n80\n90\ndone\n"
    control = "\nfuse\n\nany\nfloat\nhigh\nhand\nDone\nDone\n"
    after = "yes\nsection valves\nmaster.out\n2 A\nno\n\n\nbelow\n1, 3\nnozzle\nspraying\n"

    done = run("rig", "new", str(path), typed=BEFORE + feed + control + after)

    assert done.exit_code == 0, done.stderr + done.stdout[-2000:]
    rig = open_rig(str(path))
    assert [(part.kind, part.name) for part in rig.feed] == [
        ("plug", "battery plug"),
        ("fuse", "fuse"),
        ("master_switch", "master_switch"),
        ("low_voltage_cutout", "low_voltage_cutout"),
        ("relay", "relay"),
    ]
    small, either = rig.control_parts
    assert small.number("rating") == 3
    assert [(one.kind, *one.values) for one in either.branches] == [
        ("float_switch", ("closes", "high")),
        ("hand_switch",),
    ]
    assert (rig.control_tap, rig.use, rig.main_fuse_rating) == ("fuse.out", "spraying", 25)
    assert [(load.name, load.word("at")) for load in rig.loads] == [
        ("section valves", "master.out")
    ]
    assert dict(rig.water)["strainer"] == dict(rig.water)["reel"] == "yes"
    assert rig.assumed == ()


def test_the_rig_is_drawn_as_it_grows(run: Run, tmp_path: Path) -> None:
    typed = BEFORE + "breaker\n\n\n\ndraw\nquit\n"

    shown = run("rig", "new", str(tmp_path / "new.yaml"), typed=typed).stdout

    first, _, grown = shown.partition("breaker reset")
    assert "battery - ?" in first
    assert grown.count("● breaker.in") == grown.count("(M)") == 2


def test_the_whole_circuit_is_drawn_before_its_file_is_written(run: Run, tmp_path: Path) -> None:
    feed = "fuse\n\n\nhand switch\ndone\n"

    shown = run("rig", "new", str(tmp_path / "n.yaml"), typed=BEFORE + feed + ENTERS).stdout

    end = shown.partition("used for, Enter for unknown")[2]
    assert "● hand_switch.out" in end.partition("# A rig file.")[0]


def test_what_cannot_be_is_said_where_it_is_typed(run: Run, tmp_path: Path) -> None:
    wrong = "done\nfuse\n\n\nfuse: fuse\nplug: a/b\nfuze\n99\nrelay\n\n\nrelay\ndone\n\n"
    typed = BEFORE + wrong + "any\nhand\ndone\nquit\n"

    told = " ".join(run("rig", "new", str(tmp_path / "new.yaml"), typed=typed).stdout.split())

    for sentence in (
        "Name one part at the least.",
        "There is a 'fuse' already",
        "'a/b' cannot name a test point",
        "'fuze' is none of",
        "Did you mean fuse?",
        "Type a number from 1 to 16.",
        "Two relays cannot be worked out yet",
        "Side by side are two switches at the least.",
    ):
        assert sentence in told


def test_a_pump_that_nothing_starts_is_not_done(run: Run, tmp_path: Path) -> None:
    typed = BEFORE + "fuse\n\n\ndone\nquit\n"

    told = " ".join(run("rig", "new", str(tmp_path / "new.yaml"), typed=typed).stdout.split())

    assert "Nothing here starts and stops the pump; list a switch" in told


def test_a_part_can_be_taken_back_with_all_that_was_said_of_it(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "new.yaml"
    feed = "plug\n30 A\nback\nback\nfuse\n\n\nhand switch\ndone\n"

    done = run("rig", "new", str(path), typed=BEFORE + feed + "\n" * 10)

    assert done.exit_code == 0, done.stderr
    assert [part.kind for part in open_rig(str(path)).feed] == ["fuse", "hand_switch"]


def test_it_fits_the_screen(run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    feed = "?\nplug: battery plug\n\nfuse\n\n\n5\n\n\n\n\ndone\n\nany\n"
    for width in (80, 40):
        monkeypatch.setenv("COLUMNS", str(width))
        done = run("rig", "new", str(tmp_path / "n.yaml"), typed=BEFORE + feed + "quit\n")

        lines = [line for line in done.stdout.splitlines() if "> " not in line]
        assert max(len(line.rstrip()) for line in lines) <= width
