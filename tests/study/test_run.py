"""A whole study, as small as can be, and its report."""

import json
from concurrent.futures.process import BrokenProcessPool
from dataclasses import fields, replace

import pytest

from diagnose.simulate.truth import Person
from diagnose.study import run
from diagnose.study.plan import Plan, Task, Terms
from diagnose.study.report import as_json
from diagnose.study.run import AS_THEY_COME, Findings, LostWorkers, study
from tests.study.research import Research, summary, work
from tests.study.research_report import markdown


class OneMore:
    """A plan with one other way of asking."""

    @property
    def again(self):
        return ((Terms("0% wrong", person=Person(0.0)), 1),)


class Tiny(OneMore, Research):
    pass


class TinyAtHome(OneMore, Plan):
    pass


PLAN = Tiny(
    seed=5,
    wrong=0.05,
    cases=2,
    rigs=2,
    times=0,
    curve=0,
    compared=0,
    held=0,
    subsets=1,
    pairs=1,
    crowd=20,
)


@pytest.fixture(scope="module")
def alone():
    told = []
    return study(PLAN, lambda done, total: told.append((done, total)), workers=1, work=work), told


def test_everything_planned_is_played(alone):
    found, told = alone

    assert len([case for case in found.cases if case.terms == "own"]) == 3
    assert len([case for case in found.cases if case.terms == "0% wrong"]) == 1
    assert len(found.regrets) == 1
    assert len(found.informed) == 2
    assert told[-1] == (4, 4)


def test_two_processes_find_the_same_as_one(alone):
    """As `diagnose study` plays them, which is all but what only one who knows concludes."""
    found, _ = alone
    home = TinyAtHome(**{one.name: getattr(PLAN, one.name) for one in fields(Plan)})
    there = study(home, workers=2)

    assert there.cases == found.cases
    assert there.unnoticed == found.unnoticed


def test_other_terms_are_played_on_the_same_cases(alone):
    found, _ = alone
    drawn = [case for case in found.cases if case.drawn == AS_THEY_COME]
    own = {(c.rig, c.number): c.played.modes for c in drawn if c.terms == "own"}
    again = {(c.rig, c.number): c.played.modes for c in drawn if c.terms == "0% wrong"}

    assert len(again) == 1
    assert again.items() <= own.items()


def test_report_says_what_was_found(alone):
    found, _ = alone
    result = summary(PLAN, found)
    text = markdown(result)

    hits = sum(c.played.right for c in found.cases if c.drawn == AS_THEY_COME and c.terms == "own")
    assert f"| right repair first | {hits / 2:.3f} (" in text
    assert "Invented faults: 2, on 2 invented rigs, seed 5; 5% of answers" in text
    for mode in {c.played.modes[0] for c in found.cases if c.drawn == AS_THEY_COME}:
        assert f"| {mode} |" in text
    assert all(line.count("|") >= 3 for line in text.splitlines() if line.startswith("|"))


def test_json_report_holds_every_case_with_its_answers(alone):
    found, _ = alone
    whole = json.loads(as_json(summary(PLAN, found), found))

    assert whole["summary"]["whole"]["n"] == 2
    assert len(whole["cases"]) == 3
    assert whole["cases"][0]["played"]["asked"][0]["test"]


def test_a_report_without_subsets_or_pairs_leaves_them_out(alone):
    found, _ = alone
    cases = [case for case in found.cases if case.drawn == AS_THEY_COME]
    text = markdown(summary(PLAN, replace(found, regrets=[], cases=cases)))

    assert "## Against the exact optimum" not in text
    assert "## Two faults at once" not in text


def tasks_of(count):
    return [Task(PLAN, rig, 1, (), (), 0, ()) for rig in range(count)]


def test_cases_of_processes_that_were_ended_are_played_again(monkeypatch):
    started = []

    def pooled(todo, workers, work):
        started.append([task.rig for task in todo])
        for task in todo:
            if task.rig == 1 and len(started) == 1:
                raise BrokenProcessPool
            yield task, Findings()

    monkeypatch.setattr(run, "_pooled", pooled)
    played = [task.rig for task, _ in run._played(tasks_of(3), 2, work)]

    assert started == [[0, 1, 2], [1, 2]]
    assert played == [0, 1, 2]


def test_processes_that_are_ended_again_and_again_are_complained_of(monkeypatch):
    def pooled(todo, workers, work):
        raise BrokenProcessPool

    monkeypatch.setattr(run, "_pooled", pooled)
    with pytest.raises(LostWorkers, match="ended from outside"):
        list(run._played(tasks_of(2), 2, work))
