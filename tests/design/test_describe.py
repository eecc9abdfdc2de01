"""A new rig file: proposals that pass every check, and a text that is read back as it was meant."""

from __future__ import annotations

from itertools import product

import pytest

from diagnose.circuit.rig import read_rig
from diagnose.design.check import check_rig
from diagnose.design.describe import ENTRIES, HEAD, UNKNOWN, next_entry, proposal, rig_file, rig_of
from diagnose.design.finding import Severity
from diagnose.documents import parse
from diagnose.errors import Mistakes
from diagnose.figures import shipped_figures


def proposed(**said: str) -> dict[str, str]:
    """A rig of which only `said` was answered; dots of keys are written as double underscores."""
    answers = {key.replace("__", "."): value for key, value in said.items()}
    while (entry := next_entry(answers)) is not None:
        answers[entry.key] = proposal(entry, answers)
    return answers


@pytest.mark.parametrize(
    ("current", "feet"), list(product((2, 4, 7, 12, 16, 25, 40), (3, 12, 30, 60)))
)
def test_what_is_proposed_passes_every_check(current: int, feet: int) -> None:
    rig = rig_of(proposed(pump__current=f"{current} A", wire__length=f"{feet} ft"))

    bad = [
        one for one in check_rig(rig) if one.severity in (Severity.UNSAFE, Severity.SHOULD_CHANGE)
    ]

    assert bad == []


def test_nothing_is_left_to_assume() -> None:
    assert rig_of(proposed()).assumed == ()


def test_the_control_fuse_is_proposed_with_the_limits_of_its_check() -> None:
    least, most = (
        shipped_figures().get(f"control-fuse-{end}", "A") for end in ("least", "largest")
    )
    entry = next(one for one in ENTRIES if one.key == "control_fuse.rating")

    assert entry.comment == f"{least:g} to {most:g} A"


def test_a_small_pump_needs_no_relay_and_is_asked_nothing_about_one() -> None:
    answers = proposed(pump__current="4 A")

    assert answers["topology"] == "direct"
    assert not [key for key in answers if key.startswith(("relay", "control_", "remote"))]


def test_the_pump_and_its_way_are_asked_before_the_wire_and_the_wire_before_the_fuse() -> None:
    keys = [entry.key for entry in ENTRIES]
    order = ("pump.current", "wire.length", "wire.gauge", "main_fuse.rating", "relay.contact")

    assert [key for key in keys if key in order] == list(order)


@pytest.mark.parametrize("name", ["on", "1:30", "a: b # c", 'the "new" one', "Gießwagen", "010"])
def test_a_name_is_read_back_as_it_was_given(name: str) -> None:
    text = rig_file(proposed(name=name, remote="yes"))

    rig = read_rig(parse(text, "new.yaml"))

    assert (rig.name, rig.remote) == (name, True)


def test_every_value_of_the_file_has_its_comment() -> None:
    lines = rig_file(proposed()).splitlines()[len(HEAD) :]

    values = [line for line in lines if not line.endswith(":")]
    assert len(values) == len(ENTRIES)
    assert all("  # " in line for line in values)


def test_an_answer_that_no_rig_can_have_is_refused_with_its_key() -> None:
    with pytest.raises(Mistakes, match=r"pump\.current"):
        rig_of({"pump.current": "5 V"})


def test_what_nobody_knows_is_left_open_in_the_file_and_leaned_on_as_usual() -> None:
    answers = proposed(wire__gauge=UNKNOWN, relay__contact=UNKNOWN, relay__coil=UNKNOWN)

    text = rig_file(answers)

    assert "# relay:" in text.splitlines()
    assert read_rig(parse(text, "new.yaml")).assumed == (
        "wire.gauge",
        "relay.contact",
        "relay.coil",
    )


def test_the_file_fits_a_screen_of_80_columns() -> None:
    for answers in (proposed(), dict.fromkeys(proposed(), UNKNOWN)):
        assert max(map(len, rig_file(answers).splitlines())) <= 80
