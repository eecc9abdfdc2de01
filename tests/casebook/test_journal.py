"""A walk with a journal under it: stopped at any moment, and gone on with anywhere."""

import errno
import shutil

import pytest

from diagnose.casebook import lines
from diagnose.casebook.journal import Journal, unfinished
from diagnose.casebook.store import Casebook
from diagnose.errors import DiagnoseError, UnknownName
from diagnose.outcome import conclude
from diagnose.walkthrough import Contradiction, Walk

BATTERY = "voltage battery+ battery- calling"


def answer_three(journal):
    ask = journal.walk.ask
    journal.walk.answer(ask("relay-sound"), "silent")
    journal.walk.answer(ask(BATTERY), "12,41 V")
    journal.walk.pass_over(ask("main-fuse-history"), "unknown")


def state(walk):
    return walk.told, walk.steps, walk.belief().ranking


def resumed(path, bench, **options):
    journal = Journal.resume(path, lambda rig: bench, **options)
    journal.close()
    return journal


def test_every_step_is_on_the_disk_when_the_next_question_may_be_shown(begun, bowser):
    """After each step a copy of the file alone gives the whole walk back."""
    for step in (
        lambda ask: begun.walk.answer(ask("relay-sound"), "silent"),
        lambda ask: begun.walk.answer(ask(BATTERY), "0.3"),
        lambda ask: begun.walk.pass_over(ask("main-fuse-history"), "skipped"),
        lambda ask: begun.walk.back(),
        lambda ask: begun.walk.answer(ask("resistance relay.86 relay.85"), "OL"),
        lambda ask: begun.walk.answer(ask("relay-sound"), "silent"),  # asked twice: now it is sure
    ):
        step(begun.walk.ask)
        copy = begun.path.with_name("copy.jsonl")
        shutil.copy(begun.path, copy)
        assert state(resumed(copy, bowser).walk) == state(begun.walk)


def test_a_walk_goes_on_as_if_it_had_never_stopped(casebook, bowser, begun, clock):
    answer_three(begun)
    begun.close()

    again = Journal.resume(begun.path, lambda rig: bowser, clock=clock)
    again.walk.answer(again.walk.ask("smell"), "none")
    again.close()

    begun.walk.answer(begun.walk.ask("smell"), "none")
    assert state(resumed(begun.path, bowser).walk) == state(begun.walk)


def test_what_was_typed_is_kept_and_resumed(begun, bowser):
    """With its digits: 12 says less than 12.00."""
    begun.walk.answer(begun.walk.ask("voltage lug+ lug- calling"), "about 12")
    begun.close()

    (again,) = (
        item for item in resumed(begun.path, bowser).walk.evidence if item.id.startswith("voltage")
    )
    assert (again.value, again.resolution, again.typed) == (12.0, 2.0, "about 12 V")
    assert '"value": 12.0, "typed": "about 12 V"' in begun.path.read_text()


def test_a_reading_of_before_is_as_exact_as_the_meter(begun, bowser):
    begun.walk.answer(begun.walk.ask("voltage lug+ lug- calling"), "12")
    begun.close()
    text = begun.path.read_text()
    begun.path.write_text(text.replace(', "typed": "12 V"', ""))

    (again,) = (
        item for item in resumed(begun.path, bowser).walk.evidence if item.id.startswith("voltage")
    )
    assert (again.value, again.resolution, again.typed) == (12.0, 0.0, "")


def test_a_value_that_is_not_what_was_typed_is_refused(begun, bowser):
    begun.walk.answer(begun.walk.ask("voltage lug+ lug- calling"), "12")
    begun.close()
    text = begun.path.read_text()
    begun.path.write_text(text.replace('"value": 12.0', '"value": 11.0'))

    with pytest.raises(DiagnoseError, match="the value is not what was typed"):
        resumed(begun.path, bowser)


def test_the_journal_needs_nothing_but_itself_on_another_machine(begun, bowser, tmp_path):
    answer_three(begun)
    elsewhere = tmp_path / "elsewhere.jsonl"
    shutil.copy(begun.path, elsewhere)
    rigs = []

    journal = Journal.resume(elsewhere, lambda rig: rigs.append(rig) or bowser)
    path = journal.finish(Casebook.open(tmp_path / "other"), conclude(journal.walk))

    assert rigs == [bowser.rig]
    assert path.parent == tmp_path / "other" / "2026"
    assert not elsewhere.exists()
    assert begun.path.exists()


def test_a_new_walk_never_takes_the_id_of_another(casebook, bowser, begun, made, monkeypatch):
    taken = made(1, id="2026-03-02-tree-watering-bowser-0a0a0a")
    casebook.save(taken)
    names = iter([begun.id[-6:], "0a0a0a", "0b0b0b"])
    monkeypatch.setattr("diagnose.casebook.walk_case.secrets.token_hex", lambda size: next(names))
    monkeypatch.setattr(
        "diagnose.casebook.journal.write_whole", lambda path, text: path.write_text(text)
    )

    journal = Journal.start(casebook, Walk(bowser), clock=lambda: begun.opening.opened)
    journal.close()

    assert journal.id == "2026-03-02-tree-watering-bowser-0b0b0b"


def test_an_answer_that_was_refused_is_not_written(begun):
    size = begun.path.stat().st_size

    with pytest.raises(UnknownName):
        begun.walk.answer(begun.walk.ask("relay-sound"), "sings")
    with pytest.raises(Contradiction):
        begun.walk.answer(begun.walk.ask("flow"), "normal")
    assert begun.path.stat().st_size == size

    begun.walk.answer(begun.walk.ask("flow"), "normal")  # given a second time, it stands
    assert b'"option": "normal"' in begun.path.read_bytes()[size:]


def test_a_full_disk_takes_the_answer_back_and_keeps_the_others(begun, bowser, monkeypatch):
    answer_three(begun)
    before = list(begun.walk.steps)

    def full(number):
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(lines.os, "fsync", full)
    with pytest.raises(DiagnoseError, match="the disk is full; what was saved is unharmed"):
        begun.walk.answer(begun.walk.ask("smell"), "none")
    monkeypatch.undo()

    assert begun.walk.steps == before == resumed_copy(begun, bowser).walk.steps
    begun.walk.answer(begun.walk.ask("smell"), "none")
    assert resumed_copy(begun, bowser).walk.steps == begun.walk.steps


def resumed_copy(journal, bench):
    copy = journal.path.with_name("copy.jsonl")
    shutil.copy(journal.path, copy)
    return resumed(copy, bench)


def test_taking_back_when_there_is_nothing_writes_nothing(begun):
    size = begun.path.stat().st_size

    assert begun.walk.back() is None
    assert begun.path.stat().st_size == size


def test_one_walk_is_open_in_one_terminal_at_a_time(begun, bowser):
    with pytest.raises(DiagnoseError, match="this walk is open in another terminal"):
        Journal.resume(begun.path, lambda rig: bowser)
    begun.close()

    resumed(begun.path, bowser)


def test_finishing_saves_the_case_and_removes_the_journal(casebook, begun, bowser):
    answer_three(begun)
    result = conclude(begun.walk)

    path = begun.finish(casebook, result, notes="Rang back at noon.")

    case = casebook.load(path.stem)
    assert case.id == begun.id
    assert case.complaint == ("nothing-happens",)
    assert case.notes == "Rang back at noon."
    assert f"{case.opened:%H:%M}" == "09:00"
    assert [(item.test, f"{item.at:%H:%M}") for item in case.found] == [
        ("pump-action", "09:00"),
        ("relay-sound", "09:01"),
        (BATTERY, "09:02"),
    ]
    assert [(item.test, f"{item.at:%H:%M}") for item in case.passed_over] == [
        ("main-fuse-history", "09:03")
    ]
    assert not begun.path.exists()
    assert unfinished(casebook) == ((), ())


def test_a_full_disk_at_the_end_leaves_the_journal(casebook, begun, bowser, monkeypatch):
    answer_three(begun)

    def full(path, text):
        raise DiagnoseError("the disk is full")

    monkeypatch.setattr("diagnose.casebook.store.write_whole", full)
    with pytest.raises(DiagnoseError, match="the disk is full"):
        begun.finish(casebook, conclude(begun.walk))
    monkeypatch.undo()

    assert [walk.id for walk in unfinished(casebook)[0]] == [begun.id]
    begun.finish(casebook, conclude(begun.walk))
    assert [case.id for case in casebook.cases()] == [begun.id]


def test_a_journal_whose_case_was_saved_before_the_kill_does_not_come_back(casebook, begun, bowser):
    casebook.save(begun.case(conclude(begun.walk)))
    begun.close()

    with pytest.raises(DiagnoseError, match=f"this walk became the case {begun.id}"):
        Journal.resume(begun.path, lambda rig: bowser, casebook)
    assert unfinished(casebook) == ((), ())
    assert not begun.path.exists()


def test_the_unfinished_walks_are_listed_and_a_broken_one_is_named(casebook, begun):
    answer_three(begun)
    begun.walk.back()
    begun.path.with_name("zzz.jsonl").write_text('{"journal": 1}\n{}\n')
    begun.path.with_name("empty.jsonl").write_text("")

    good, problems = unfinished(casebook)

    assert [(w.id, w.rig, w.answered, f"{w.last:%H:%M}") for w in good] == [
        (begun.id, "tree-watering bowser", 2, "09:03")
    ]
    empty, broken = map(str, problems)
    assert "empty.jsonl, line 1: is empty; nothing was written here yet" in empty
    assert "zzz.jsonl, line 1, key id: the file was changed or damaged here: this key is" in broken


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"relay-sound"', '"relay-song"', "line 2: there is no observation called 'relay-song'"),
        ('"silent"}, "how"', '"sings"}, "how"', "line 2: there is no answer to relay-sound"),
        ("12.41", "99", "line 3: voltage battery+ battery-, asked to run: 99 V is not possible"),
        (
            '"minutes": ',
            '"minuts": ',
            "line 2, key minuts: the file was changed or damaged here: there is no key called "
            "'minuts'. Did you mean 'minutes'",
        ),
        ('"journal": 1', '"journal": 2', "line 1: is no journal of this version"),
        (
            "topology: relay",
            "topology: relays",
            "line 1, the rig there, line 2, key topology: .*: there is no topology",
        ),
        (
            '"told": [{',
            '"told": [{"seen": "x"}, {',
            r"line 1, key told\[1\].option: the file was changed or damaged here: this key is",
        ),
    ],
)
def test_a_changed_journal_is_refused_with_its_line(begun, bowser, old, new, words):
    answer_three(begun)
    begun.close()
    text = begun.path.read_text()
    assert old in text
    begun.path.write_text(text.replace(old, new))

    with pytest.raises(DiagnoseError, match=words.replace("+", r"\+")):
        Journal.resume(begun.path, lambda rig: bowser)


def test_a_walk_that_is_not_there_is_not_made(casebook, bowser):
    path = casebook.folder / "walks" / "x.jsonl"

    with pytest.raises(DiagnoseError, match="there is no such walk to resume"):
        Journal.resume(path, lambda rig: bowser)
    assert not path.exists()
