"""From a walk to a case, and what it was in the end."""

from datetime import timedelta
from math import log

import pytest

from diagnose.casebook.case_file import from_yaml, to_yaml
from diagnose.casebook.closure import (
    StillStopped,
    check_stops,
    close,
    made_safe,
    reopen,
    verified,
    with_verification,
)
from diagnose.casebook.record import ComeBack, ReadAt, SeenAt, StopAt
from diagnose.casebook.walk_case import case_of, knowledge_version, new_id, slug
from diagnose.errors import DiagnoseError, UnknownName
from diagnose.outcome import conclude
from diagnose.reasoning.evidence import Seen
from diagnose.reasoning.posterior import posterior
from diagnose.walkthrough import Walk

DROP = "voltage fuse.in fuse.out calling"


@pytest.fixture
def walked(bowser):
    """A walk to a corroded fuse holder, and its result."""
    walk = Walk(bowser)
    walk.tell([Seen("relay-sound", "chatters")])
    walk.answer(walk.ask("fuse-holder-look"), "corroded")
    walk.answer(walk.ask("relay-sound"), "chatters")  # asked again, and the same: sure
    walk.answer(walk.ask(DROP), "9 V")
    walk.pass_over(walk.ask("smell"), "unknown")
    walk.answer(walk.ask(DROP), "4,5 V")  # read once more: the last one counts
    return walk, conclude(walk)


@pytest.fixture
def monday(made):
    return lambda: made().opened


@pytest.fixture
def later(made):
    return lambda: made().opened + timedelta(days=3)


def test_a_walk_becomes_an_open_case(walked, monday):
    walk, result = walked

    case = case_of(walk, result, ["relay-chatters"], "A note.", clock=monday)

    assert case.id.startswith("2026-03-02-tree-watering-bowser-")
    assert (case.opened, case.closed, case.status) == (monday(), None, "open")
    assert (case.cause, case.repair) == ("fuse-holder-corroded", "replace-fuse-holder")
    assert case.rig == walk.bench.rig
    assert [(item.test, item.answer) for item in case.found] == [
        ("relay-sound", "chatters"),
        ("fuse-holder-look", "corroded"),
        (DROP, "high"),
    ]
    assert [item.sure for item in case.found] == [True, False, False]
    assert case.read[0].value == 4.5
    assert case.read[0].low < 0.1 < case.read[0].high < 0.2
    assert [(item.test, item.how) for item in case.passed_over] == [("smell", "unknown")]
    assert (case.minutes, case.questions) == (round(walk.minutes, 2), 5)
    assert case.knowledge == knowledge_version()
    assert not case.confirmed


def test_the_ranking_keeps_ten_and_the_rest_as_a_sum(walked):
    walk, result = walked
    case = case_of(walk, result)

    assert [mode for mode, _ in case.ranking] == [mode for mode, _ in result.ranking[:10]]
    assert case.rest == pytest.approx(sum(p for _, p in result.ranking[10:]), abs=1e-5)


def test_each_finding_has_the_bits_by_which_it_moved_the_ranking(walked):
    """The sum over the way is not asked for: each step is checked against its own definition."""
    walk, result = walked
    told, look, _ = case_of(walk, result).found
    at_the_end = {item.id: item for item in result.evidence}
    first, second = at_the_end["relay-sound"], at_the_end["fuse-holder-look"]
    steps = [
        dict(posterior(walk.bench.predictions, items).ranking)
        for items in ((), (first,), (first, second))
    ]

    assert told.moved == pytest.approx(divergence(steps[1], steps[0]), abs=6e-4)
    assert look.moved == pytest.approx(divergence(steps[2], steps[1]), abs=6e-4)
    assert look.moved > 0.1


def divergence(after, before):
    """Cross entropy less entropy, in bits: the same by another way.

    Source: Cover and Thomas, Elements of Information Theory, chapter 2, from memory.
    """
    cross = -sum(p * log(before[mode]) for mode, p in after.items() if p)
    own = -sum(p * log(p) for p in after.values() if p)
    return (cross - own) / log(2)


def test_a_walks_case_comes_back_from_its_file(walked):
    case = case_of(*walked, notes="Wet inside.")

    assert from_yaml(to_yaml(case), "case.yaml") == case


def test_a_verification_within_its_band_closes_the_case(walked, later):
    walk, result = walked
    good = verified(result.verify, 0.05)

    case = case_of(walk, result, verification=good, clock=later)

    assert (case.status, case.confirmed_by) == ("closed", "verification")
    assert (case.true_cause, case.closed) == ("fuse-holder-corroded", later())
    assert case.confirmed
    assert case.in_the_book


def test_a_verification_outside_its_band_leaves_the_case_open(walked, made):
    _, result = walked

    case = with_verification(made(), verified(result.verify, 2.0))

    assert not case.verification.within
    assert (case.status, case.true_cause) == ("open", "")


def test_a_case_is_closed_with_another_cause_than_the_walk_found(made, later):
    case = close(
        made(notes="First."),
        "fuse-holder-loose",
        "part-swapped",
        notes="Second.",
        parts=["blade fuse holder"],
        known={"fuse-holder-loose"},
        clock=later,
    )

    assert case.confirmed
    assert (case.cause, case.true_cause) == ("fuse-holder-corroded", "fuse-holder-loose")
    assert (case.notes, case.parts) == ("First.\nSecond.", ("blade fuse holder",))


@pytest.fixture
def stopped(made):
    """An open case with a stop that stands, one that was made safe, and one that nothing ends."""
    opened = made().opened
    stops = StopAt("too-hot", opened), StopAt("smoked", opened, opened), StopAt("vapour")
    return made(stops=stops)


def test_a_case_whose_stop_stands_is_neither_proved_nor_closed(walked, stopped):
    proof = verified(walked[1].verify, 0.05)

    with pytest.raises(StillStopped, match="stands stopped: too-hot, vapour") as caught:
        close(stopped, "fuse-holder-loose", "part-swapped")
    with pytest.raises(StillStopped):
        with_verification(stopped, proof)
    with pytest.raises(StillStopped):
        check_stops(made_safe(stopped, ["too-hot"]))
    assert "give --made-safe too-hot" in str(caught.value)


def test_a_stop_that_was_made_safe_keeps_its_time(stopped, later, monday):
    case = made_safe(stopped, ["too-hot", "vapour"], later)

    assert case.stops == (
        StopAt("too-hot", monday(), later()),
        StopAt("smoked", monday(), monday()),
        StopAt("vapour", None, later()),
    )
    check_stops(case)
    assert close(case, "fuse-holder-loose", "part-swapped").confirmed
    assert from_yaml(to_yaml(case), "case.yaml") == case


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("to-hot", "no stop that stands called 'to-hot'. Did you mean 'too-hot'?"),
        ("smoked", "no stop that stands called 'smoked'"),
    ],
)
def test_only_a_stop_that_stands_is_made_safe(stopped, name, words):
    with pytest.raises(UnknownName, match=words):
        made_safe(stopped, ["too-hot", name])


def test_the_stops_of_a_walk_are_in_its_case_with_their_times(bowser, monday, later):
    """One made safe at a time that was noted, one at a time that was not, one that stands."""
    walk = Walk(bowser)
    for test, answer in (
        ("fuse-holder-heat", "too-hot-to-hold"),
        ("smoke", "seen"),
        ("smell", "burnt"),
    ):
        walk.answer(walk.ask(test), answer)
    for stop in ("too-hot", "smoked"):
        walk.made_safe(stop)
    times = {"fuse-holder-heat": monday(), "too-hot": monday()}

    case = case_of(walk, conclude(walk), clock=later, times=times)

    assert set(case.stops) == {
        StopAt("too-hot", monday(), monday()),
        StopAt("smoked", None, later()),
        StopAt("burnt-smell", None, None),
    }
    assert case.standing == ("burnt-smell",)
    assert (case.passed_over, case.questions) == ((), 3)


def test_what_is_seen_again_stands_again_in_the_case(bowser, monday, later):
    walk = Walk(bowser)
    walk.answer(walk.ask("fuse-holder-heat"), "too-hot-to-hold")
    walk.made_safe("too-hot")
    walk.answer(walk.ask("relay-heat"), "too-hot-to-hold")
    times = {"fuse-holder-heat": monday(), "too-hot": monday(), "relay-heat": later()}

    case = case_of(walk, conclude(walk), times=times)

    assert case.stops == (StopAt("too-hot", later(), None),)


def test_what_is_not_in_the_book_needs_words(made):
    with pytest.raises(DiagnoseError, match="not in the book, so say in words what it was"):
        close(made(), "not-in-the-book", words=" ")

    case = close(made(), "not-in-the-book", "part-swapped", words="A snail in the\nswitch")
    assert case.true_words == "A snail in the switch"
    assert case.confirmed
    assert not case.in_the_book


@pytest.mark.parametrize(
    ("cause", "how", "words"),
    [
        ("fuse-holder-lose", "none", "no failure mode called 'fuse-holder-lose'. Did you mean"),
        ("fuse-holder-loose", "verify", "no confirmation called 'verify'"),
    ],
)
def test_unknown_names_are_refused(made, cause, how, words):
    with pytest.raises(UnknownName, match=words):
        close(made(), cause, how, known={"fuse-holder-loose"})


def test_a_repair_that_did_not_hold_opens_the_case_again(mended, later):
    case = reopen(mended(), "Chatters again.", later)

    assert (case.status, case.confirmed_by, case.closed) == ("reopened", "none", None)
    assert case.came_back == (ComeBack(later(), mended().closed),)
    assert case.came_back[0].days == 2
    assert not case.confirmed
    assert from_yaml(to_yaml(case), "case.yaml") == case


def test_an_id_is_fit_for_a_file_name_and_new_each_time(bowser, monday):
    first, second = new_id(bowser.rig, monday()), new_id(bowser.rig, monday())

    assert first != second
    assert slug("Bäume/gießen: ../NO. 1\x1b[31m") == "baume-gieen-no-1-31m"
    assert slug("水") == "rig"


def test_the_knowledge_version_changes_with_the_knowledge_alone(tmp_path):
    for name, end in (("unix", b"\n"), ("windows", b"\r\n")):
        (tmp_path / name / "a").mkdir(parents=True)
        (tmp_path / name / "a" / "x.yaml").write_bytes(b"id: x" + end)
        (tmp_path / name / "page.md").write_bytes(name.encode())
    assert knowledge_version(tmp_path / "unix") == knowledge_version(tmp_path / "windows")

    (tmp_path / "windows" / "a" / "x.yaml").rename(tmp_path / "windows" / "a" / "y.yaml")
    knowledge_version.cache_clear()
    assert knowledge_version(tmp_path / "unix") != knowledge_version(tmp_path / "windows")


def test_what_was_found_says_what_it_is(made):
    seen, read = made().found

    assert isinstance(seen, SeenAt)
    assert isinstance(read, ReadAt)
