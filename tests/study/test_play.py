"""Cases played from complaint to conclusion."""

import pytest

from diagnose.reasoning.hypotheses import OTHER
from diagnose.simulate.draw import faulty
from diagnose.simulate.policies import CHECKLIST, POLICIES, own
from diagnose.simulate.truth import Person
from diagnose.study.play import NoComplaint, play
from diagnose.study.run import hold_out, without
from diagnose.walkthrough import Walk

HONEST = Person(wrong=0.0)


def played(bench, mode, policy=own, person=HONEST, mismatch=1.0, number=0):
    book = bench.shop.catalogue.failure_modes
    for attempt in range(50):
        truth = faulty(bench.model, [book[mode]], (11, number, attempt), mismatch)
        try:
            return play(Walk(bench), truth, person, policy)
        except NoComplaint:
            continue
    raise AssertionError(f"nobody ever complains of {mode}")


@pytest.fixture(scope="module")
def weak_ground(bowser):
    return played(bowser, "ground-resistive")


def test_a_case_is_played_to_a_verdict(bowser, weak_ground):
    figures = bowser.model.figures

    assert weak_ground.told
    assert weak_ground.asked
    assert weak_ground.minutes == pytest.approx(sum(step.minutes for step in weak_ground.asked))
    assert weak_ground.why_stopped
    assert weak_ground.verdict.stated >= figures.get("stop-at")
    assert weak_ground.left is None


def test_the_same_case_is_played_alike(bowser, weak_ground):
    assert played(bowser, "ground-resistive") == weak_ground


def test_scores_of_a_verdict_belong_together(weak_ground):
    verdict = weak_ground.verdict

    assert weak_ground.right
    assert verdict.repair_rank == 1
    assert verdict.repair_p == pytest.approx(verdict.stated)
    assert (1 - verdict.p) ** 2 <= verdict.brier <= 2 * (1 - verdict.p)
    assert verdict.p <= verdict.repair_p


def test_nobody_walks_a_fault_that_nobody_notices(bowser):
    # A clamp that has only begun to corrode takes a few hundredths of a volt.
    mode = bowser.shop.catalogue.failure_modes["terminal-positive-corroded"]
    truth = faulty(bowser.model, [mode], (11, 1), 0.0)

    with pytest.raises(NoComplaint):
        play(Walk(bowser), truth, HONEST, own)


def test_a_question_that_nobody_can_answer_is_passed_over(bowser):
    found = played(bowser, "ground-resistive", person=Person(0.0, unsure=0.5))

    assert "" in {step.answer for step in found.asked}
    assert all(step.minutes > 0 for step in found.asked)


def test_the_card_names_tests_of_the_book(shop):
    book = shop.catalogue

    assert [name for name in CHECKLIST if name not in {*book.observations, *book.readings}] == []
    assert len(set(CHECKLIST)) == len(CHECKLIST)


@pytest.mark.parametrize("name", sorted(POLICIES))
def test_policies_ask_only_what_is_allowed(bowser, name):
    walk = Walk(bowser)
    walk.tell([walk.read(walk.ask("pump-action"), "slow")])
    for _ in range(3):
        allowed = walk.allowed(walk.conclusions())
        question = POLICIES[name](walk)
        assert question.id in allowed
        walk.pass_over(question, "unknown")


def test_two_faults_are_both_looked_for(bowser):
    book = bowser.shop.catalogue.failure_modes
    pair = [book["ground-resistive"], book["suction-strainer-clogged"]]
    truth = faulty(bowser.model, pair, (3, 1), 0.0)

    found = play(Walk(bowser), truth, HONEST, own)

    assert found.modes == ("ground-resistive", "suction-strainer-clogged")
    assert 0 <= found.verdict.in_first_three <= 2


def test_a_mode_taken_out_of_the_book_is_not_ranked(bench_of, shop):
    blind = without(shop, "motor-seized")

    assert "motor-seized" not in blind.catalogue.failure_modes
    assert len(blind.catalogue.failure_modes) == len(shop.catalogue.failure_modes) - 1
    outcome = hold_out(bench_of("mist-bench"), "motor-seized", (5, 5), HONEST)
    named = outcome.played.verdict.cause
    assert named != "motor-seized"
    assert outcome.leads == (named == OTHER)
