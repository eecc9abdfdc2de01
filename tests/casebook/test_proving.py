"""What a case keeps of what was said and proved, and when a reading proves nothing."""

import pytest

from diagnose.casebook.case_file import from_yaml, to_yaml
from diagnose.casebook.closure import TooCoarse, doubt, judged, verdict, verified, with_verification
from diagnose.casebook.record import LOADS
from diagnose.casebook.walk_case import case_of
from diagnose.circuit.reading_words import reading_of
from diagnose.outcome import Proof, conclude
from diagnose.reasoning.evidence import Measured, Seen, check_reading
from diagnose.walkthrough import Walk

DROP = Proof(reading_of("voltage fuse.in fuse.out calling"), 0.0, 0.14, "It carries the current.")
MOTOR = Proof(reading_of("voltage motor+ motor- calling"), 11.9, 12.6, "It has its volts.")
PRESSURE = Proof(reading_of("pressure outlet calling"), 40.0, 60.0, "It pumps.")
REST = Proof(reading_of("voltage battery+ battery- rest"), 12.4, 12.9, "It is full.")


def read(bowser, proof, text, runs=True, load=""):
    item = check_reading(bowser.shop.catalogue, bowser.rig, proof.reading, text)
    return judged(proof, item, runs, load)


@pytest.mark.parametrize(
    ("proof", "text", "runs", "load", "proves", "says"),
    [
        (DROP, "0.05", True, "in-use", True, "0.05 V is within 0 to 140 mV: the repair holds."),
        (DROP, "0.05", True, "shut", True, "the repair holds"),
        (DROP, "0.00", True, "still", False, "Nothing flows, so nothing can be lost: a drop of"),
        (DROP, "0", False, "", False, "a drop of 0 V on a rig that does not run proves nothing"),
        (DROP, "0.05", False, "in-use", False, "but the pump does not do its job"),
        (DROP, "1.2", True, "in-use", False, "1.2 V is outside"),
        (DROP, "1.2", False, "", False, "1.2 V is outside"),
        (MOTOR, "12.4", False, "still", False, "almost any joint shows good volts"),
        (PRESSURE, "50", True, "shut", False, "Against a shut outlet the pump does another work"),
        (PRESSURE, "50", True, "in-use", True, "the repair holds"),
        (REST, "12.7", True, "", True, "the repair holds"),
        (REST, "12.7", False, "", False, "but the pump does not do its job"),
    ],
)
def test_what_a_reading_proves(bowser, proof, text, runs, load, proves, says):
    """No current, no drop: Ohm's law. What else a load changes is common practice."""
    found = read(bowser, proof, text, runs, load)

    assert found.proves is proves
    assert says in verdict(found)
    assert bool(doubt(found)) is (found.within and not proves)


@pytest.mark.parametrize(("runs", "load"), [(True, "in-use"), (False, "still")])
def test_a_pump_that_does_its_job_runs_as_in_use(bowser, runs, load):
    assert read(bowser, DROP, "0.05", runs).load == load
    assert read(bowser, REST, "12.7", runs).load == ""


def test_too_few_digits_prove_nothing(bowser):
    with pytest.raises(TooCoarse, match="type every digit the meter shows"):
        read(bowser, DROP, "0")

    assert not read(bowser, DROP, "1").proves  # outside, however it was rounded
    assert read(bowser, DROP, "0.1").proves
    assert judged(DROP, Measured(DROP.reading, 0.0), True).proves  # as exact as the meter


def test_a_case_is_closed_by_what_proves_and_by_nothing_else(bowser, made):
    dead = with_verification(made(), read(bowser, DROP, "0.00", False))
    runs = with_verification(made(), read(bowser, DROP, "0.05"))

    assert (dead.status, dead.confirmed_by) == ("open", "none")
    assert dead.verification.load == "still"
    assert (runs.status, runs.confirmed_by) == ("closed", "verification")


def test_a_proof_of_before_counts_as_it_did():
    """Case files of before say nothing of the pump."""
    old = verified(DROP, 0.05)

    assert (old.runs, old.load, old.typed) == (None, "", "")
    assert old.proves
    assert "in-use" in LOADS


def test_a_case_file_of_before_is_read(mended):
    text = to_yaml(mended(verification=verified(DROP, 0.05)))

    assert not any(key in text for key in ("runs:", "load:", "typed:", "findings:"))
    assert "root_cause_seen" not in text
    assert from_yaml(text, "case.yaml").verification.proves


def test_what_the_answers_say_together_is_kept(bowser):
    """With the figures as they were typed."""
    walk = Walk(bowser)
    walk.answer(walk.ask(str(DROP.reading)), "about 4")

    case = case_of(walk, conclude(walk))
    assert case.findings == ("about 4 V are lost across the main fuse and its holder.",)
    assert case.read[0].typed == "about 4 V"


def test_a_root_cause_is_a_question_until_somebody_looked(bowser):
    """The same rule speaks of the rig in both; a look alone makes it sure."""
    told = Walk(bowser)
    told.tell([Seen("fuse-holder-look", "corroded"), Seen("relay-sound", "chatters")])
    guessed = Walk(bowser)
    guessed.tell([Seen("fuse-holder-look", "corroded"), Seen("pump-action", "slow")])

    looked, assumed = conclude(told), conclude(guessed)
    assert looked.cause == assumed.cause == "fuse-holder-corroded"
    assert looked.root_causes[0].seen
    assert not assumed.root_causes[0].seen
    assert case_of(told, looked).root_cause_seen
    assert not case_of(guessed, assumed).root_cause_seen
