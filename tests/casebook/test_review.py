"""Choosing cases, finding similar ones, and what a casebook says as a whole. All invented."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from diagnose.casebook.brief import Filter, brief_of, day_of, selected
from diagnose.casebook.closure import reopen
from diagnose.casebook.index import opened_index
from diagnose.casebook.record import PassedOver, ReadAt, SeenAt
from diagnose.casebook.review import Hits, Use, review
from diagnose.casebook.similar import answers_kept, answers_of_case, answers_of_walk, similar
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import open_rig
from diagnose.errors import BadQuantity, UnknownName
from diagnose.reasoning.evidence import Seen
from diagnose.walkthrough import Walk

GROUPS = {
    "fuse-holder-corroded": "main-fuse",
    "fuse-holder-loose": "main-fuse",
    "motor-seized": "motor",
}
BATTERY = reading_of("voltage battery+ battery- calling")


@pytest.fixture
def opened(casebook):
    """Saves cases and gives the open index of the casebook."""
    contexts = []

    def save(*cases):
        for case in cases:
            casebook.save(case)
        context = opened_index(casebook)
        contexts.append(context)
        return context.__enter__()

    yield save
    for context in contexts:
        context.__exit__(None, None, None)


@pytest.mark.parametrize(
    ("wanted", "numbers"),
    [
        (Filter(), [1, 2, 3, 30]),
        (Filter(since=date(2026, 3, 3)), [30]),
        (Filter(until=date(2026, 3, 2)), [1, 2, 3]),
        (Filter(since=date(2026, 3, 2), until=date(2026, 3, 2)), [1, 2, 3]),
        (Filter(rig="MIST"), [3]),
        (Filter(group="motor"), [2]),
        (Filter(mode="fuse-holder-loose"), [30]),
        (Filter(mode="fuse-holder-corroded"), [1, 3]),
        (Filter(status="closed"), [2, 30]),
        (Filter(group="main-fuse", status="closed"), [30]),
        (Filter(group="not-in-the-book"), []),
    ],
)
def test_a_filter_chooses_by_day_rig_group_mode_and_status(made, mended, wanted, numbers):
    """What a case was is its true cause, and while that is unknown, what the walk ended on."""
    cases = {
        1: made(1),
        2: mended(2, "motor-seized"),
        3: made(3, rig=open_rig("mist-bench")),
        30: mended(30, "fuse-holder-loose"),
    }
    briefs = {brief_of(case): number for number, case in cases.items()}

    assert [briefs[b] for b in selected(briefs, wanted.checked(GROUPS), GROUPS)] == numbers


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        (Filter(group="moter"), "no component group called 'moter'. Did you mean 'motor'"),
        (Filter(mode="motor-siezed"), "no failure mode called .* Did you mean 'motor-seized'"),
        (Filter(status="done"), "no status called 'done'. Known here: closed, open, reopened"),
    ],
)
def test_a_filter_with_an_unknown_name_is_refused(wanted, words):
    with pytest.raises(UnknownName, match=words):
        wanted.checked(GROUPS)


def test_days_are_checked():
    assert day_of(" 2026-03-02") == date(2026, 3, 2)
    with pytest.raises(BadQuantity, match=r"'2\.3\.2026' is not a day; write it as 2026-03-02"):
        day_of("2.3.2026")
    with pytest.raises(BadQuantity, match="exchange the two"):
        Filter(date(2026, 3, 2), date(2026, 3, 1)).checked(GROUPS)


def saw(**answers):
    return tuple(SeenAt(name.replace("_", "-"), option) for name, option in answers.items())


def test_similar_cases_share_answers_and_say_which(opened, made, mended):
    index = opened(
        mended(1, seen=saw(relay_sound="chatters", smell="burnt"), read=()),
        mended(2, "motor-seized", seen=saw(relay_sound="one-click", smell="burnt"), read=()),
        mended(3, "motor-seized", seen=saw(relay_sound="one-click", smell="none"), read=()),
        made(4, seen=saw(relay_sound="silent", smell="none"), read=()),
        made(5, seen=saw(flow="weak"), read=()),
    )

    found = similar(index, {"relay-sound": "one-click", "smell": "burnt", "onset": "sudden"})

    best, second = found.cases[0], found.cases[1]
    assert best.brief.mode == "motor-seized"
    assert best.shared == (("relay-sound", "one-click"), ("smell", "burnt"))
    assert best.differing == ()
    assert second.bits < best.bits
    assert [case.brief.id for case in found.cases].count(made(5).id) == 0
    assert found.shared == (("relay-sound", "one-click", 2), ("smell", "burnt", 2))


def test_a_rare_answer_in_common_weighs_more_than_a_usual_one(opened, made):
    """By hand: 8 of 10 silent, shared: -log2(9/12) = 0.415 bits; 1 of 10 buzzing: 2.585 bits."""
    usual = [made(n, seen=saw(smell="none"), read=()) for n in range(8)]
    index = opened(
        *usual,
        made(20, seen=saw(smell="ozone"), read=()),
        made(21, seen=saw(smell="burnt"), read=()),
    )

    assert similar(index, {"smell": "none"}).cases[0].bits == 0.415
    assert similar(index, {"smell": "ozone"}).cases[0].bits == 2.585


def test_a_question_that_is_seldom_needed_says_something_by_being_needed(opened, made):
    """By hand: two of ten cases looked at the remote, alike: -log2(3/12) = 2 bits."""
    index = opened(
        *[made(n, seen=saw(smell="none"), read=()) for n in range(8)],
        *[made(n, seen=saw(remote_light="lights"), read=()) for n in (20, 21)],
    )

    assert similar(index, {"remote-light": "lights"}).cases[0].bits == 2.0


def test_what_differs_counts_against_a_case(opened, made):
    index = opened(
        made(1, seen=saw(relay_sound="chatters", smell="none"), read=()),
        made(2, seen=saw(relay_sound="chatters", smell="burnt"), read=()),
    )

    found = similar(index, {"relay-sound": "chatters", "smell": "burnt"})

    assert found.cases[0].brief.id == made(2).id
    assert [case.differing for case in found.cases[1:]] in ([], [(("smell", "burnt", "none"),)])


def test_readings_are_alike_when_they_stand_alike_to_the_healthy_band(opened, made):
    low = ReadAt(BATTERY, 10.9, 12.2, 12.9, "low")
    index = opened(
        made(1, seen=(), read=(low,)),
        made(2, seen=(), read=(replace(low, value=12.6, verdict="within"),)),
    )

    found = similar(index, {str(BATTERY): "low"})

    assert [case.shared for case in found.cases] == [((str(BATTERY), "low"),)]


def test_a_case_is_not_similar_to_itself(opened, made):
    case = made(1)
    index = opened(case, made(2))

    found = similar(index, answers_of_case(case), leave_out=case.id)

    assert [alike.brief.id for alike in found.cases] == [made(2).id]
    assert answers_kept(index, case.id) == answers_of_case(case)
    assert answers_kept(index, "2026-03-02-elsewhere-000000") == {}


def test_nothing_answered_or_nothing_there_is_no_trouble(opened, made):
    assert similar(opened(), {"smell": "none"}).cases == ()
    assert similar(opened(made(1)), {}).cases == ()


def test_a_walk_in_progress_is_compared_by_its_answers(bowser):
    walk = Walk(bowser)
    walk.tell([Seen("relay-sound", "chatters")])
    walk.answer(walk.ask("voltage fuse.in fuse.out calling"), "4.5 V")

    assert answers_of_walk(walk) == {
        "relay-sound": "chatters",
        "voltage fuse.in fuse.out calling": "high",
    }


def test_a_review_counts_what_occurred_and_where(opened, made, mended):
    direct = open_rig("mist-bench")
    cases = [
        mended(1),
        mended(2, minutes=7.5),
        made(3, rig=direct),
        mended(4, "motor-seized"),
        mended(5, "not-in-the-book", true_words="a snail"),
    ]
    index = opened(*cases)

    found = review(index, index.briefs(), GROUPS)

    assert (found.cases, found.minutes) == (5, 57.5)
    assert found.statuses == {"closed": 4, "open": 1}
    assert found.months == {"2026-03": 5}
    assert found.groups == {"main-fuse": 3, "motor": 1, "not-in-the-book": 1}
    first = found.modes[0]
    assert (first.mode, first.cases, first.confirmed) == ("fuse-holder-corroded", 3, 2)
    assert first.minutes == pytest.approx(10.8)
    assert first.topologies == {"relay": 2, direct.topology: 1}


def test_a_review_says_how_often_the_ranking_was_right(opened, made, mended):
    index = opened(
        mended(1),
        mended(2, "fuse-holder-loose"),
        mended(3, "motor-seized"),
        mended(4, "not-in-the-book", true_words="a snail"),
        made(5),
    )

    assert review(index, index.briefs(), GROUPS).hits == Hits(4, 1, 2, 1)


def test_a_review_says_which_questions_did_not_help(opened, made):
    def case(number, moved, **changes):
        return made(number, seen=(SeenAt("smell", "none", None, 1.0, moved),), read=(), **changes)

    index = opened(
        case(1, 0.001),
        case(2, 0.9, passed_over=(PassedOver("onset", "unknown", None, 0.5),)),
        case(3, 0.002, passed_over=(PassedOver("onset", "skipped"),)),
    )

    found = review(index, index.briefs(), GROUPS).questions

    assert found == (
        Use("onset", asked=2, answered=0, helped=0, bits=0.0, minutes=0.25),
        Use("smell", asked=3, answered=3, helped=1, bits=0.301, minutes=1.0),
    )
    only = review(index, index.briefs()[1:2], GROUPS).questions
    assert [(use.test, use.asked, use.helped) for use in only] == [("onset", 1, 0), ("smell", 1, 1)]


@pytest.mark.parametrize(("days", "back"), [(0, True), (90, True), (91, False)])
def test_a_fault_on_the_same_rig_within_90_days_came_back(opened, mended, days, back):
    first = mended(1)
    again = mended(2, opened=first.closed + timedelta(days=days))
    index = opened(first, again, mended(3, "motor-seized"))

    found = review(index, index.briefs(), GROUPS).returns

    assert [(r.first.id, r.again.id, r.days) for r in found] == (
        [(first.id, again.id, days)] if back else []
    )


def test_a_case_that_was_opened_again_came_back(opened, mended):
    case = mended(1)
    index = opened(reopen(case, clock=lambda: case.closed + timedelta(days=12)))

    (found,) = review(index, index.briefs(), GROUPS).returns

    assert (found.first.id, found.again.id, found.days) == (case.id, case.id, 12)


def test_a_review_counts_the_parts_that_were_fitted(opened, made, mended):
    index = opened(
        mended(1, parts=("fuse", "holder")), mended(2, parts=("fuse",)), made(3, parts=("pump",))
    )

    assert review(index, index.briefs(), GROUPS).parts == {"fuse": 2, "holder": 1}


def test_a_review_of_nothing_is_empty(opened):
    found = review(opened(), (), GROUPS)

    assert (found.cases, found.modes, found.hits) == (0, (), Hits(0, 0, 0, 0))
