"""Marks and debrief: checked against the ranking, and on conclusions right and wrong."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import suppress

import pytest

from diagnose.drill.choices import (
    Conclusion,
    Form,
    NotAVerification,
    causes_of,
    form,
    verification,
)
from diagnose.drill.debrief import Debrief, debrief
from diagnose.drill.moves import moves, needed, provable_from
from diagnose.drill.scenario import Scenario, mended
from diagnose.drill.session import Found, Session
from diagnose.errors import DiagnoseError, UnknownName
from diagnose.reasoning.evidence import Evidence
from diagnose.reasoning.posterior import by_repair, posterior

Work = Callable[..., Session]
Draw = Callable[..., Scenario]
HOLDER = (
    *("volts battery", "listen relay", "volts fuse holder"),
    *("ask fuse", "look fuse holder", "look fuse"),
)


def right(offered: Form, modes: Sequence[str], repairs: frozenset[str]) -> Conclusion:
    """The right answers of a form."""
    root = next(one for one in offered.root_causes if one.of in modes)
    fix = next(one for one in offered.fixes if one.repair in repairs)
    return Conclusion(tuple(modes), root, fix)


def concluded(session: Session, verify: str = "") -> Debrief:
    """A drill with the right conclusion."""
    scenario = session.scenario
    offered = form(scenario, scenario.truth.modes)
    conclusion = right(offered, scenario.truth.modes, scenario.repairs)
    reading = verification(session, verify) if verify else None
    ended = Conclusion(conclusion.causes, conclusion.root_cause, conclusion.fix, reading)
    return debrief(session, ended)


def marks(ended: Debrief) -> dict[str, float]:
    return {mark.skill: round(mark.share, 2) for mark in ended.score.marks}


def test_all_marks_for_a_drill_well_done(at_work: Work) -> None:
    session = at_work(*HOLDER)
    ended = concluded(session, "volts fuse holder calling")
    assert ended.score.right
    full = marks(ended)
    assert full.pop("minutes") > 0
    assert set(full.values()) == {1.0}


def test_provable_from_is_where_the_ranking_says_so(at_work: Work) -> None:
    """The ranking worked out anew from the findings, act by act."""
    session = at_work(*HOLDER)
    scenario, ended = session.scenario, concluded(session)
    findings = [one.item for one in session.found if one.item is not None]
    repair = next(iter(scenario.repairs))
    sure = []
    for count in range(len(findings) + 1):
        items = [*scenario.findings(), *findings[:count]]
        ranking = posterior(scenario.bench.predictions, items).ranking
        sure.append(by_repair(ranking, scenario.bench.shop.repair)[repair])
    enough = scenario.bench.model.figures.get("stop-at")
    assert ended.provable is not None
    assert all(chance >= enough for chance in sure[ended.provable :])
    assert sure[ended.provable - 1] < enough
    assert [move.after for move in ended.moves] == pytest.approx(sure[1:])


def test_a_reading_rules_out_what_it_contradicts(at_work: Work) -> None:
    """What the holder takes is lost nowhere else (Kirchhoff's voltage law)."""
    made = moves((session := at_work("volts fuse holder calling")).scenario, session.found)
    ruled_out = {name: (before, after) for name, before, after in made[0].ruled_out}
    assert ruled_out
    assert all(after < before / 3 for before, after in ruled_out.values())


def test_never_provable_without_a_measurement(at_work: Work) -> None:
    ended = concluded(at_work())
    assert ended.provable is None
    assert ended.missing is not None
    assert marks(ended)["cause"] == 1.0
    assert marks(ended)["proven"] < 0.5
    assert marks(ended)["minutes"] == 0.0


def test_wrong_everywhere(at_work: Work) -> None:
    session = at_work("ohms coil", "jumper fuse fused", "volts battery")
    offered = form(session.scenario, ("motor-seized",))
    trap = next(one for one in offered.fixes if one.trap and one.trap.dangerous)
    root = next(one for one in offered.root_causes if one.of == "motor-seized")
    reading = verification(session, "psi satisfied")
    ended = debrief(session, Conclusion(("motor-seized",), root, trap, reading))
    assert not ended.score.right
    assert marks(ended)["cause"] == marks(ended)["safety"] == marks(ended)["fix"] == 0.0
    assert "only sounds right" in ended.score.marks[3].why
    assert ended.score.total <= 10


def test_giving_up_is_no_error(at_work: Work) -> None:
    ended = debrief(at_work(), Conclusion())
    assert ended.score.total == 10  # nothing was done that had to be stopped
    assert ended.path.steps


def test_the_same_repair_is_as_good_as_the_very_cause(at_work: Work) -> None:
    session = at_work(*HOLDER)
    ended = debrief(session, Conclusion(("fuse-holder-loose",)))
    assert ended.score.right
    assert "same repair" in ended.score.marks[0].why


def test_a_result_is_named_as_one(at_work: Work) -> None:
    """A blown fuse is what a short has done (result_of in the book)."""
    session = at_work(mode="feed-wire-shorted")
    ended = debrief(session, Conclusion(("main-fuse-blown",)))
    assert not ended.score.right
    assert "That was the result" in ended.score.marks[0].why


def test_half_of_two_faults_is_half_the_mark(drawn_on: Callable[..., Scenario]) -> None:
    scenario = next(
        found for seed in range(20) if len((found := drawn_on("bowser", 3, seed)).repairs) == 2
    )
    session = Session(scenario)
    ended = debrief(session, Conclusion(scenario.truth.modes[:1]))
    assert marks(ended)["cause"] == 0.5
    assert needed(scenario) == 0.5
    assert provable_from(scenario, ended.moves) is None


def test_each_of_two_faults_has_its_own_figures(drawn_on: Callable[..., Scenario]) -> None:
    """And the advised path goes on to the second, once the first is mended."""
    drawn = (drawn_on("bowser", 3, seed) for seed in range(40))
    sessions = (Session(scenario) for scenario in drawn if len(scenario.repairs) == 2)
    session = next(one for one in sessions if isinstance(one.do("volts battery"), Found))
    scenario = session.scenario
    ended = debrief(session, Conclusion(scenario.truth.modes))
    assert [name for name, _, _ in ended.moves[0].each] == [*scenario.truth.modes]
    ranking = posterior(scenario.bench.predictions, [*scenario.findings(), *items(session)]).ranking
    chances = by_repair(ranking, scenario.bench.shop.repair)
    for mode, _, after in ended.moves[0].each:
        assert after == pytest.approx(chances[scenario.bench.shop.repair[mode]])
    path = ended.path
    assert path.then is not None
    assert {path.repair, path.then.repair} == scenario.repairs
    steps = (*path.steps, *path.then.steps)
    assert path.minutes == pytest.approx(sum(step.minutes for step in steps))


def items(session: Session) -> list[Evidence]:
    return [one.item for one in session.found if one.item is not None]


def test_what_is_mended_is_out_of_the_rig(drawn_on: Callable[..., Scenario]) -> None:
    scenario = next(
        found for seed in range(20) if len((found := drawn_on("bowser", 3, seed)).repairs) == 2
    )
    repair = scenario.bench.shop.repair
    first, second = scenario.truth.modes
    rest = mended(scenario, repair[first])
    assert rest is not None
    assert rest.truth.modes == (second,)
    assert mended(scenario, "no-such-repair") is None
    assert mended(rest, repair[second]) is None


def test_slower_than_the_advised_path_costs_marks(at_work: Work) -> None:
    quick = concluded(at_work(*HOLDER))
    slow = concluded(at_work(*HOLDER, "swap pump", "bench motor"))
    assert marks(slow)["minutes"] < marks(quick)["minutes"]


def test_a_reading_proves_when_it_is_wrong_now(at_work: Work) -> None:
    session = at_work()
    for typed, proves in (
        ("volts fuse holder calling", 1.0),
        ("volts 87 lug- calling", 1.0),
        ("volts battery rest", 0.0),
    ):
        reading = verification(session, typed)
        ended = debrief(session, Conclusion(("fuse-holder-corroded",), verify=reading))
        assert marks(ended)["verify"] == proves


def test_a_verification_is_named_not_done(at_work: Work) -> None:
    session = at_work()
    assert str(verification(session, "ohms coil")) == "resistance relay.86 relay.85"
    assert session.done == []
    with pytest.raises(NotAVerification):
        verification(session, "look fuse holder")


def test_what_is_offered_follows_from_the_cause_named(at_work: Work) -> None:
    scenario = at_work().scenario
    book = scenario.bench.shop.catalogue.failure_modes
    for cause in ("fuse-holder-corroded", "motor-seized"):
        offered = form(scenario, (cause,))
        assert sum(one.of == cause for one in offered.root_causes) == 1
        assert len({one.say for one in offered.root_causes}) == 4
        assert sum(book[one.of].group == book[cause].group for one in offered.root_causes) == 1
        assert sum(one.trap is not None for one in offered.fixes) == 2
        assert offered == form(scenario, (cause,))


@pytest.mark.parametrize(
    ("typed", "causes"),
    [
        ("fuse-holder-corroded", ("fuse-holder-corroded",)),
        ("Corroded main fuse holder", ("fuse-holder-corroded",)),
        ("seized", ("motor-seized",)),
        ("ground-open and motor-seized", ("ground-open", "motor-seized")),
        ("ground-open, ground-open", ("ground-open",)),
    ],
)
def test_causes_are_named_as_people_do(typed: str, causes: tuple[str, ...], at_work: Work) -> None:
    assert causes_of(typed, at_work().scenario) == causes


@pytest.mark.parametrize("typed", ["", "relay", "gremlins", "a and b and c", "float-inverted"])
def test_no_cause_or_an_unclear_one_is_refused(typed: str, at_work: Work) -> None:
    with pytest.raises(UnknownName):
        causes_of(typed, at_work().scenario)


def test_the_debrief_names_every_answer_that_was_chance(drawn_on: Draw) -> None:
    for seed in range(8):
        session = Session(drawn_on("bowser", 3, seed))
        scenario = session.scenario
        looks = ("look terminals", "look wiring", "look battery", "look ground", "ask pattern")
        for act in looks:
            with suppress(DiagnoseError):
                session.do(act)
        named = {one.test: (one.found, one.usual) for one in debrief(session, Conclusion()).strays}
        found = {one.test.id: one.answer for one in session.found} | {**scenario.told.seen}
        for name, answer in found.items():
            most = scenario.strayed(scenario.bench.tests[name], answer)
            assert named.get(name) == ((answer, most) if most else None)
        if named:
            return
    raise AssertionError("nothing strayed in eight drills")


def test_the_volts_of_the_debrief_end_where_the_fault_is(at_work: Work) -> None:
    ended = debrief(at_work(), Conclusion())
    volts = {level.point: level for level in ended.volts}
    lost = (volts["fuse.in"].faulty or 0) - (volts["fuse.out"].faulty or 0)
    assert lost > 10 * (volts["fuse.in"].sound - volts["fuse.out"].sound)
