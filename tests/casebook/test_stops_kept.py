"""What stopped a walk, and what was made safe, in its journal: kept, and gone on with."""

import errno
import shutil
from datetime import timedelta

import pytest

from diagnose.casebook import lines
from diagnose.casebook.journal import Journal
from diagnose.errors import DiagnoseError
from diagnose.outcome import conclude
from diagnose.reasoning.evidence import Seen
from diagnose.walkthrough import NoSuchStop, Walk


def from_a_copy(journal, bench):
    """The walk as a copy of the file alone gives it back."""
    copy = journal.path.with_name("copy.jsonl")
    shutil.copy(journal.path, copy)
    again = Journal.resume(copy, lambda rig: bench)
    again.close()
    return again.walk


def standing(walk):
    return [one.id for one in walk.stops()]


def test_what_was_made_safe_stays_so_when_the_walk_goes_on(begun, bowser):
    begun.walk.answer(begun.walk.ask("fuse-holder-heat"), "too-hot-to-hold")
    assert standing(from_a_copy(begun, bowser)) == ["too-hot"]

    begun.walk.made_safe("too-hot")

    again = from_a_copy(begun, bowser)
    assert (again.stops(), again.questions) == ((), 1)
    assert again.steps == begun.walk.steps

    begun.walk.back()
    assert standing(from_a_copy(begun, bowser)) == ["too-hot"]


def test_a_stop_that_does_not_stand_writes_nothing(begun):
    size = begun.path.stat().st_size

    with pytest.raises(NoSuchStop):
        begun.walk.made_safe("too-hot")

    assert begun.path.stat().st_size == size


def test_a_full_disk_leaves_the_stop_standing(begun, monkeypatch):
    begun.walk.answer(begun.walk.ask("fuse-holder-heat"), "too-hot-to-hold")

    def full(number):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(lines.os, "fsync", full)
    with pytest.raises(DiagnoseError, match="the disk is full"):
        begun.walk.made_safe("too-hot")

    assert standing(begun.walk) == ["too-hot"]


def test_what_was_made_safe_beforehand_is_in_the_journal(casebook, bowser, clock):
    """As --made-safe on the command line does it, before the journal begins."""
    walk = Walk(bowser)
    walk.tell([Seen("smoke", "seen")])
    walk.made_safe("smoked")

    journal = Journal.start(casebook, walk, (), clock)
    journal.close()

    again = from_a_copy(journal, bowser)
    assert again.stops() == ()
    assert again.steps == walk.steps


def test_a_case_has_the_times_at_which_it_was_stopped_and_made_safe(casebook, begun):
    begun.walk.answer(begun.walk.ask("fuse-holder-heat"), "too-hot-to-hold")
    begun.walk.made_safe("too-hot")
    begun.walk.answer(begun.walk.ask("smell"), "burnt")

    case = casebook.load(begun.finish(casebook, conclude(begun.walk)).stem)

    at = begun.opening.opened
    hot, smelt = sorted(case.stops, key=lambda one: one.stop != "too-hot")
    minute = timedelta(minutes=1)
    assert (hot.stop, hot.raised, hot.lifted) == ("too-hot", at + minute, at + 2 * minute)
    assert (smelt.stop, smelt.raised, smelt.lifted) == ("burnt-smell", at + 3 * minute, None)
    assert case.passed_over == ()
