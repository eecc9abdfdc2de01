"""The line of answers: there and back, and spoiled on its way."""

from __future__ import annotations

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.bench import Bench
from diagnose.circuit.rig import open_rig
from diagnose.errors import DiagnoseError
from diagnose.handout.code import BadCode, Code, checksum, opening, read, rig_code, written
from diagnose.handout.taking import check_rig, take_over
from diagnose.reasoning.evidence import Measured
from diagnose.walkthrough import Walk

NAMES = st.text(string.ascii_letters + string.digits + " +-_.@;#=~!ßµ", min_size=1).map(
    lambda text: " ".join(text.split()) or "x"
)
ANSWERS = st.tuples(NAMES, st.sampled_from(["fine", "?", "420mV", "OL", "2gal/min", "-0.3V"]))


BOWSER = opening(open_rig("bowser")).split(":")


def code(*answers: tuple[str, str], complaint: str = "relay-chatters") -> Code:
    return Code(BOWSER[1], BOWSER[2], "phone, voltmeter, ohmmeter", complaint, answers)


def test_the_checksum_is_that_of_crc_32() -> None:
    """Source: the check value of CRC-32 (ISO 3309), CBF43926 for the signs 123456789, as catalogues
    of such sums have it (from memory), here its lower thirty bits in Crockford's alphabet."""
    left, value = 0xCBF43926 % 2**30, ""
    for _ in range(6):
        left, sign = divmod(left, 32)
        value = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"[sign] + value
    assert checksum("123456789") == value


@given(st.lists(ANSWERS, max_size=12))
def test_what_is_written_is_read_again(answers: list[tuple[str, str]]) -> None:
    one = code(*answers)
    assert read(written(one)) == one


def test_a_message_round_the_line_and_breaks_in_it_do_no_harm() -> None:
    one = code(("other-loads", "fine"), ("!", "too-hot"), ("voltage fuse.in fuse.out calling", "?"))
    line = written(one)
    broken = "\n> ".join([line[:31], line[31:70], line[70:]]).replace("> ", " ")
    assert read(f"Hello,\nit is like this: {broken}\n\nKind regards, A. Gardener") == one


@given(st.data())
def test_a_spoiled_line_is_refused_in_one_sentence(data: st.DataObject) -> None:
    line = written(code(("other-loads", "fine"), ("wiring-look", "?")))
    at = data.draw(st.integers(6, len(line) - 1))
    sign = data.draw(st.sampled_from(string.ascii_lowercase + string.digits + ";=#:"))
    spoiled = line[:at] + sign + line[at + 1 :]
    if spoiled.upper() == line.upper() or spoiled[: line.index("#")] == line[: line.index("#")]:
        return
    with pytest.raises(BadCode) as told:
        read(spoiled)
    assert "\n" not in str(told.value)


@pytest.mark.parametrize("text", ["", "hello", "pump1:", "#123456", "pump1:a:b:c#1"])
def test_a_text_without_a_line_is_refused(text: str) -> None:
    with pytest.raises(BadCode, match="There is no line of answers"):
        read(text)


def test_a_line_of_another_rig_is_refused() -> None:
    check_rig(code(), open_rig("bowser"))
    with pytest.raises(BadCode, match="another rig than 'propagation mist bench'"):
        check_rig(code(), open_rig("mist-bench"))
    assert rig_code(open_rig("bowser")) != rig_code(open_rig("mist-bench"))


def test_every_answer_is_evidence_as_it_was_typed(bowser: Bench) -> None:
    reading = "voltage fuse.in fuse.out calling"
    sent = read(written(code(("other-loads", "fine"), ("wiring-look", "?"), (reading, "420mV"))))
    walk = Walk(bowser, able=sent.means)
    assert take_over(walk, sent) == ()
    typed = [one for one in walk.evidence if isinstance(one, Measured)]
    assert [(one.value, one.typed, one.resolution) for one in typed] == [
        (pytest.approx(0.42), "420 mV", pytest.approx(0.001))
    ]
    assert [(step.test, step.how) for step in walk.steps] == [
        ("other-loads", "answered"),
        ("wiring-look", "unknown"),
        (reading, "answered"),
    ]
    assert walk.told


def test_what_is_unknown_is_refused_and_the_rest_is_kept(bowser: Bench) -> None:
    walk = Walk(bowser)
    sent = code(
        ("other-loads", "fine"),
        ("moon-phase", "full"),
        ("wiring-look", "purple"),
        ("voltage fuse.in fuse.out calling", "900V"),
        ("!", "no-such-stop"),
        ("battery-found", "?"),
    )
    problems = take_over(walk, sent)
    assert all(isinstance(one, DiagnoseError) and "\n" not in str(one) for one in problems)
    names = ("moon-phase", "purple", "900 V is not possible", "no-such-stop")
    assert [name in str(one) for name, one in zip(names, problems, strict=True)] == [True] * 4
    assert [step.test for step in walk.steps] == ["other-loads", "battery-found"]
