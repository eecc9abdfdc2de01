"""What a journal says and is not understood is kept and said; what is saved was read back first."""

import json
import shutil
from dataclasses import replace

import pytest

from diagnose.casebook.journal import Journal, unfinished
from diagnose.casebook.store import Casebook, ChangedMeanwhile, NotKept
from diagnose.errors import DiagnoseError
from diagnose.outcome import conclude

READING = "voltage battery+ battery- calling"


@pytest.fixture
def ended(begun):
    """A walk with a line of every kind, left by its terminal."""
    ask = begun.walk.ask
    begun.walk.answer(ask("fuse-holder-heat"), "too-hot-to-hold")
    begun.walk.made_safe("too-hot")
    begun.walk.answer(ask(READING), "12,41 V")
    begun.walk.pass_over(ask("smell"), "unknown")
    begun.walk.pass_over(ask("main-fuse-history"), "skipped")
    begun.walk.back()
    begun.close()
    return begun


def changed(journal, number, change):
    """The journal with one line changed by hand: its bytes."""
    lines = journal.path.read_text().splitlines()
    entry = json.loads(lines[number - 1])
    change(entry)
    lines[number - 1] = json.dumps(entry)
    journal.path.write_text("\n".join([*lines, ""]))
    return journal.path.read_bytes()


def check_refused(journal, casebook, bowser, number, words, body):
    """Refused in one sentence with its line; the file and the folder are as they were."""
    with pytest.raises(DiagnoseError) as caught:
        Journal.resume(journal.path, lambda rig: bowser, casebook)
    assert f", line {number}" in str(caught.value)
    assert words in str(caught.value)
    assert journal.path.read_bytes() == body
    assert casebook.cases().good == ()


DAMAGED = "the file was changed or damaged here"


@pytest.mark.parametrize(
    ("number", "key", "value", "words"),
    [
        (2, "minutes", -1.5, f"key minutes: {DAMAGED}: should be at least 0"),
        (2, "minutes", 1e9, "should be at most 525600"),
        (2, "minutes", 10**400, "is not a line of a walk"),
        (2, "minutes", True, "should be a bare number, such as 0.5, not true"),
        (2, "minutes", None, f"key minutes: {DAMAGED}: has no value"),
        (2, "how", "guessed", "there is no way to deal with a question called 'guessed'"),
        (2, "how", "skipped", "an answer needs its finding, and nothing else has one"),
        (2, "how", [], f"key how: {DAMAGED}: should be one of answered"),
        (2, "at", "yesterday", "'yesterday' is not a time"),
        (2, "at", "0026-03-02 09:05:00 UTC", "is not a time from 1970 to 2200"),
        (2, "at", 5, f"key at: {DAMAGED}: should be text"),
        (2, "step", "smell", "the finding is not of 'smell'"),
        (2, "finding", None, f"key finding: {DAMAGED}: has no value"),
        (2, "finding", {"seen": "fuse-holder-heat", "optoin": "cool"}, "Did you mean 'option'?"),
        (3, "step", "too-hott", "Did you mean 'too-hot'?"),
        (4, "finding", {"read": READING, "value": 1e308, "typed": "12,41 V"}, "at most 1e+08"),
        (4, "finding", {"read": READING, "value": "12", "typed": "12 V"}, "not '12'"),
        (4, "finding", {"read": READING, "value": 12.41, "sure": "yes"}, "not 'yes'"),
        (5, "step", "smel", "Did you mean 'smell'?"),
        (7, "back", False, f"key back: {DAMAGED}: should be true"),
        (7, "back", 1, f"key back: {DAMAGED}: should be true"),
        (7, "more", 1, f"key more: {DAMAGED}: there is no key called 'more'"),
        (1, "id", "../../x", "'../../x' is not the id of a walk"),
        (1, "told", "pump-action", f"key told: {DAMAGED}: should be a list"),
        (1, "told", [{"seen": "pump-action", "option": "silent", "sur": True}], "'sure'?"),
        (1, "complaint", "slow", f"key complaint: {DAMAGED}: should be"),
        (1, "assumed", "remote", f"key assumed: {DAMAGED}: should be"),
        (1, "knowlege", "", "Did you mean 'knowledge'?"),
        (1, "opened", "0026-03-02 09:05:00 UTC", "is not a time from 1970 to 2200"),
    ],
)
def test_a_value_that_cannot_be_is_said(ended, casebook, bowser, number, key, value, words):
    body = changed(ended, number, lambda entry: entry.update({key: value}))
    check_refused(ended, casebook, bowser, number, words, body)


def test_no_key_of_any_line_can_be_misspelt_in_silence(ended, casebook, bowser):
    """Each key of each line in turn, those inside the findings too."""
    whole, count = ended.path.read_bytes(), 0
    for number, text in enumerate(whole.decode().splitlines(), 1):
        for trail in trails(json.loads(text)):
            body = changed(ended, number, lambda entry, trail=trail: misspell(entry, trail))
            check_refused(ended, casebook, bowser, number, "", body)
            ended.path.write_bytes(whole)
            count += 1
    assert count > 30


def trails(part, trail=()):
    """The way to every key in a line."""
    for key, value in part.items() if isinstance(part, dict) else enumerate(part):
        if isinstance(key, str):
            yield (*trail, key)
        if isinstance(value, dict | list):
            yield from trails(value, (*trail, key))


def misspell(entry, trail):
    for key in trail[:-1]:
        entry = entry[key]
    entry[trail[-1] + "x"] = entry.pop(trail[-1])


def test_a_whole_last_line_that_is_damaged_is_not_cut_off(ended, casebook, bowser):
    """A torn line has no end; this one has, so somebody was told that it is kept."""
    body = ended.path.read_bytes().rstrip()[:-1] + b"\n"
    ended.path.write_bytes(body)
    check_refused(ended, casebook, bowser, 7, "is not a line of a walk", body)


def test_a_step_back_from_nowhere_is_said(ended, casebook, bowser):
    lines = ended.path.read_text().splitlines(keepends=True)
    body = (lines[0] + lines[-1]).encode()
    ended.path.write_bytes(body)
    check_refused(ended, casebook, bowser, 2, "takes a step back where there is none", body)


def test_a_broken_walk_is_named_beside_the_others(ended, casebook):
    broken = ended.path.with_name("2026-03-02-other-000000.jsonl")
    shutil.copy(ended.path, broken)
    text = broken.read_text().replace('"how"', '"hwo"', 1)
    broken.write_text(text)

    good, (problem,) = unfinished(casebook)

    assert [walk.path for walk in good] == [ended.path]
    assert str(problem).startswith(
        f"{broken}, line 2, key hwo: {DAMAGED}: there is no key called 'hwo'."
    )
    assert broken.read_text() == text


IMPOSSIBLE = [
    {"minutes": -1.5},
    {"questions": 2**63},
    {"rest": 0.5},
    {"status": "closed", "closed": None},
]


@pytest.mark.parametrize("changes", IMPOSSIBLE, ids=str)
def test_a_case_that_could_not_be_read_back_is_not_written(casebook, made, changes):
    with pytest.raises(NotKept, match="the case was not written, since it could not be read again"):
        casebook.save(made(1, **changes))
    assert not casebook.path_of(made(1).id).exists()


def test_a_change_that_could_not_be_read_back_leaves_the_case(casebook, made):
    body = casebook.save(made(1)).read_bytes()

    with pytest.raises(NotKept, match="key minutes: should be at least 0"):
        casebook.update(made(1).id, lambda case: made(1, minutes=-1.5))
    assert casebook.path_of(made(1).id).read_bytes() == body


def test_the_journal_stays_when_its_case_cannot_be_read_back(casebook, begun, monkeypatch):
    result = conclude(begun.walk)
    real = begun.case
    monkeypatch.setattr(begun, "case", lambda *told: replace(real(*told), minutes=-1.5))
    body = begun.path.read_bytes()

    with pytest.raises(NotKept):
        begun.finish(casebook, result)
    assert begun.path.read_bytes() == body


def test_the_journal_stays_when_the_disk_gives_back_something_else(casebook, begun, monkeypatch):
    """A disk, or a program in between, that loses what it was given."""
    monkeypatch.setattr(
        "diagnose.casebook.store.write_whole",
        lambda path, text: (path.parent.mkdir(parents=True), path.write_text(text[:40])),
    )
    body = begun.path.read_bytes()

    with pytest.raises(DiagnoseError):
        begun.finish(casebook, conclude(begun.walk))
    assert begun.path.read_bytes() == body


def test_a_walk_whose_case_cannot_be_read_keeps_its_journal(casebook, begun):
    path = casebook.save(begun.case(conclude(begun.walk)))
    begun.close()
    path.write_text("half of a")

    assert unfinished(casebook)[0] == ()
    assert path.name in str(unfinished(casebook)[1][0])
    assert begun.path.exists()


def test_a_case_that_is_another_keeps_the_journal_of_the_same_name(casebook, begun, made):
    casebook.save(made(5, id=begun.id))
    begun.close()

    (problem,) = unfinished(casebook)[1]
    assert f"another case is called {begun.id}; both stay" in str(problem)
    assert begun.path.exists()


def test_a_case_that_changed_meanwhile_is_not_written_over(casebook, made):
    casebook.save(made(1))
    known = casebook.load(made(1).id)
    casebook.update(known.id, lambda case: made(1, notes="theirs"), known)

    with pytest.raises(ChangedMeanwhile, match="nothing was written over it"):
        Casebook(casebook.folder).update(known.id, lambda case: made(1, notes="mine"), known)
    assert casebook.load(known.id).notes == "theirs"
