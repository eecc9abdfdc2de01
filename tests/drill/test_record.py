"""A trainee's file: whole at every moment, read strictly, replayed into dates."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from fsrs import Card, Rating, Scheduler

import diagnose
from diagnose.drill.progress import progress, rating, weak
from diagnose.drill.record import Drilled, Trainee, trainees
from diagnose.errors import DiagnoseError

MONDAY = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
GOOD = {"cause": 1.0, "proven": 1.0, "safety": 1.0}
DRILL = Drilled(
    at=MONDAY,
    rig="tree-watering bowser",
    level=1,
    seed=7,
    group="",
    modes=("ground-open",),
    named=("ground-open",),
    marks=GOOD,
    score=90,
    right=True,
    minutes=9.5,
    advised=8.0,
    dangers=0,
)
MISSED = replace(DRILL, named=("motor-seized",), marks={"cause": 0.0, "safety": 0.5}, right=False)


def test_what_was_written_is_read(tmp_path: Path) -> None:
    trainee = Trainee.of("Zoë", tmp_path)
    assert trainee.drills() == ()
    trainee.add(DRILL)
    trainee.add(MISSED)
    assert trainee.drills() == (DRILL, MISSED)
    assert [one.name for one in trainees(tmp_path)[0]] == ["Zoë"]


def test_names_stay_inside_the_folder(tmp_path: Path) -> None:
    for name in ("../../etc/passwd", "a/b", "\x1b[31mred", ""):
        assert Trainee.of(name, tmp_path).path.parent == tmp_path


NAMES = (
    *(
        "ada",
        "Ada B.",
        "ada-b",
        "ada b",
        "ada_b",
        "zoe",
        "Zoë",
        "зоя",
        "李",
        "李雷",
        "महिमा",
        "rig",
    ),
    *(
        "me",
        "",
        "-",
        "?",
        "a" * 41,
        "a" * 42,
        "x" * 600 + "1",
        "x" * 600 + "2",
        "\x1b[31m",
        "\\x1b[31m",
    ),
)


def test_no_two_names_share_a_file(tmp_path: Path) -> None:
    """Letters of other scripts, signs, spaces and length all tell names apart."""
    paths = [Trainee.of(name, tmp_path).path.name.lower() for name in NAMES]
    assert len({*paths}) == len(NAMES)
    assert all(len(path.encode()) < 100 for path in paths)


def test_a_name_that_looks_like_the_file_of_another(tmp_path: Path) -> None:
    other = Trainee.of("Зоя", tmp_path).path.stem
    assert Trainee.of(other, tmp_path).path.stem != other


def test_capitals_and_how_a_letter_is_put_together_make_no_other_person(tmp_path: Path) -> None:
    assert Trainee.of("Ada", tmp_path).path == Trainee.of("ADA", tmp_path).path
    assert Trainee.of("Zo\u00eb", tmp_path).path == Trainee.of("Zoe\u0308", tmp_path).path


def test_records_under_the_names_of_before_are_found(tmp_path: Path) -> None:
    """Once a name's plain letters named the file, and a name without any was called "rig"."""
    for file, name in (("zoe", "Zoë"), ("rig", "Зоя")):
        Trainee(name, tmp_path / f"{file}.jsonl").add(DRILL)

    assert Trainee.of("Zoë", tmp_path).drills() == (DRILL,)
    assert Trainee.of("Зоя", tmp_path).drills() == (DRILL,)
    assert Trainee.of("李", tmp_path).drills() == ()
    assert Trainee.of("zoe", tmp_path).drills() == ()
    Trainee.of("zoe", tmp_path).add(MISSED)
    assert Trainee.of("zoe", tmp_path).drills() == (MISSED,)
    assert sorted(one.name for one in trainees(tmp_path)[0]) == ["Zoë", "zoe", "Зоя"]


KILLED_AGAIN_AND_AGAIN = """
import os, random, signal, sys, time
from pathlib import Path
from test_record import DRILL
from diagnose.drill.record import Trainee

trainee, chance, there = Trainee.of("Ada", Path(sys.argv[1])), random.Random(5), 0
for _ in range(60):
    inlet, outlet = os.pipe()
    child = os.fork()
    if not child:
        while True:
            trainee.add(DRILL)
            os.write(outlet, b".")
    os.close(outlet)
    os.read(inlet, 1)
    time.sleep(chance.uniform(0, 0.02))
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    promised = there + 1 + len(os.read(inlet, 10_000))
    os.close(inlet)
    drills = trainee.drills()
    assert all(drill == DRILL for drill in drills)
    assert len(drills) >= promised, (len(drills), promised)
    there = len(drills)
print(there)
"""
"""A process adds drills until it is killed, sixty times; what it said was added has to be there."""


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills a process that was forked")
def test_a_kill_at_any_moment_loses_nothing_that_was_added(tmp_path: Path) -> None:
    home, here = Path(diagnose.__file__).parents[1], Path(__file__).parent
    script = tmp_path / "script.py"
    script.write_text(KILLED_AGAIN_AND_AGAIN, "utf-8")
    done = subprocess.run(
        [sys.executable, str(script), str(tmp_path / "drills")],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(map(str, (home, here)))},
        capture_output=True,
        text=True,
        timeout=120,
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) >= 60


def test_a_torn_last_line_is_left_out_and_cut_off(tmp_path: Path) -> None:
    trainee = Trainee.of("Ada", tmp_path)
    trainee.add(DRILL)
    with trainee.path.open("ab") as file:
        file.write(b'{"at": "2026-03-0')
    assert trainee.drills() == (DRILL,)
    trainee.add(MISSED)
    assert trainee.drills() == (DRILL, MISSED)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ('"drills": 1', '"drills": 2', "line 1"),
        ('"level": 1', '"level": "hard"', "line 2"),
        ('"at": "2026', '"at": "20x6', "line 2"),
        ('"modes"', '"moods"', "line 2"),
    ],
)
def test_a_damaged_file_is_named_with_its_line(
    old: str, new: str, said: str, tmp_path: Path
) -> None:
    trainee = Trainee.of("Ada", tmp_path)
    trainee.add(DRILL)
    text = trainee.path.read_text("utf-8")
    assert old in text
    trainee.path.write_text(text.replace(old, new), "utf-8")
    with pytest.raises(DiagnoseError, match=said):
        trainee.drills()
    good, problems = trainees(tmp_path)
    assert (len(good), len(problems)) == (0, 1)


def test_the_dates_are_those_of_the_scheduler() -> None:
    """Two drills of one fault, reviewed by the fsrs package itself."""
    again = replace(MISSED, at=MONDAY + timedelta(days=3))
    found = progress([DRILL, again], MONDAY + timedelta(days=3)).modes[0]
    scheduler = Scheduler(
        desired_retention=0.85,
        learning_steps=(),
        relearning_steps=(),
        maximum_interval=180,
        enable_fuzzing=False,
    )
    card, _ = scheduler.review_card(Card(card_id=0), Rating.Good, MONDAY)
    card, _ = scheduler.review_card(card, Rating.Again, again.at)
    assert (found.due, found.seen, found.missed) == (card.due, 2, 1)
    assert found.strength == pytest.approx(1.0)


def test_what_was_missed_comes_back_sooner_than_what_was_found() -> None:
    other = replace(MISSED, modes=("pump-drive-worn",))
    found = {one.name: one for one in progress([DRILL, other], MONDAY).modes}
    assert found["pump-drive-worn"].due < found["ground-open"].due
    assert found["pump-drive-worn"].due >= MONDAY + timedelta(days=1)


def test_what_i_get_wrong_is_what_is_due_or_was_missed() -> None:
    other = replace(MISSED, modes=("pump-drive-worn",))
    found = progress([DRILL, other], MONDAY)
    assert weak(found, MONDAY) == {"pump-drive-worn": 4.0, "ground-open": 0.0}
    later = MONDAY + timedelta(days=400)
    assert weak(progress([DRILL, other], later), later)["ground-open"] == 6.0
    assert weak(progress([DRILL], MONDAY), MONDAY) == {"ground-open": 1.0}
    assert weak(progress([], MONDAY), MONDAY) == {}


def test_shares_of_the_marks_as_reviews() -> None:
    assert [rating(share) for share in (1.0, 0.9, 0.7, 0.5, 0.4, 0.0)] == [
        *(Rating.Good, Rating.Good, Rating.Hard, Rating.Hard, Rating.Again, Rating.Again)
    ]


def test_progress_counts() -> None:
    found = progress([DRILL, MISSED], MONDAY)
    assert (found.drills, found.right, found.score, found.dangers) == (2, 1, 90.0, 0)
    skills = {one.name: one for one in found.skills}
    assert (skills["cause"].seen, skills["cause"].missed) == (2, 1)
    assert skills["safety"].missed == 0
