"""The interview about a rig: proposals that pass every check, a file that is read back as meant."""

from __future__ import annotations

from itertools import product

import pytest

from diagnose.circuit.form import shipped_form
from diagnose.circuit.kinds import kinds
from diagnose.circuit.rig import read_rig
from diagnose.design.check import check_rig
from diagnose.design.describe import next_step, proposal, rig_of
from diagnose.design.draft import DONE, OTHER, UNKNOWN, menu
from diagnose.design.finding import Severity
from diagnose.design.rig_writer import HEAD, rig_file
from diagnose.documents import parse
from diagnose.errors import Mistakes
from diagnose.figures import shipped_figures

USUAL = shipped_form().order("usual")


def proposed(*listed: str, **said: str) -> dict[str, str]:
    """A rig of which only `said` was answered, dots of keys written as double underscores, and
    the parts that are `listed`, one after the other; the rest as proposed."""
    answers = {"circuit": "usual"} | {key.replace("__", "."): text for key, text in said.items()}
    parts = [*listed]
    while (step := next_step(answers)) is not None:
        answer = parts.pop(0) if step.place and parts else proposal(step, answers)
        kind, _, name = (UNKNOWN if answer == "unknown" else answer).partition(": ")
        answers[step.key] = kind
        if name:
            answers[f"{step.key}.name"] = name
    assert not parts
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
    listed = rig_of(proposed(circuit=OTHER))
    assert (listed.assumed, listed.water, listed.use) == ((), (), "")  # not guessed


def test_the_control_fuse_is_proposed_with_the_limits_of_its_check() -> None:
    least, most = (
        shipped_figures().get(f"control-fuse-{end}", "A") for end in ("least", "largest")
    )

    assert shipped_form()["control_fuse.rating"].beside == f"{least:g} to {most:g} A"


def test_a_small_pump_needs_no_relay_and_is_asked_nothing_about_one() -> None:
    answers = proposed(pump__current="4 A")

    assert answers["topology"] == "direct"
    assert not [key for key in answers if key.startswith(("relay", "control_", "remote"))]


def test_the_pump_and_its_way_are_asked_before_the_wire_and_the_wire_before_the_fuse() -> None:
    keys = [field.key for field in USUAL]
    order = ("pump.current", "wire.length", "wire.gauge", "main_fuse.rating", "relay.contact")

    assert [key for key in keys if key in order] == list(order)


@pytest.mark.parametrize("circuit", ["usual", OTHER])
@pytest.mark.parametrize("name", ["on", "1:30", "a: b # c", 'the "new" one', "Gießwagen", "010"])
def test_a_name_is_read_back_as_it_was_given(name: str, circuit: str) -> None:
    rig = read_rig(parse(rig_file(proposed(circuit=circuit, name=name)), "new.yaml"))

    assert rig.name == name


def test_every_value_of_the_file_has_its_comment() -> None:
    lines = rig_file(proposed(remote="yes")).splitlines()[len(HEAD) :]

    values = [line for line in lines if not line.endswith(":")]
    assert len(values) == len(USUAL)
    assert all("  # " in line for line in values)


def test_an_answer_that_no_rig_can_have_is_refused_with_its_key() -> None:
    with pytest.raises(Mistakes, match=r"pump\.current"):
        rig_of({"topology": "relay", "pump.current": "5 V"})


def test_what_nobody_knows_is_left_open_in_the_file_and_leaned_on_as_usual() -> None:
    answers = proposed(wire__gauge=UNKNOWN, relay__contact=UNKNOWN, relay__coil=UNKNOWN)

    text = rig_file(answers)

    assert "# relay:" in text.splitlines()
    assert set(read_rig(parse(text, "new.yaml")).assumed) == {
        "wire.gauge",
        "relay.contact",
        "relay.coil",
    }


@pytest.mark.parametrize("circuit", ["usual", OTHER])
def test_the_file_fits_a_screen_of_80_columns(circuit: str) -> None:
    told = proposed(circuit=circuit)
    open_ones = {key: UNKNOWN if key in {f.key for f in USUAL} else told[key] for key in told}
    for answers in (told, open_ones):
        assert max(map(len, rig_file(answers).splitlines())) <= 80


# --- part by part ---------------------------------------------------------------------------------

TRAILER = (
    "plug: battery plug", "fuse", "master_switch", "low_voltage_cutout", "relay", DONE,
    "fuse", "remote", "pressure_switch", DONE,
)  # fmt: skip
CART = (
    "fuse", "fuse: pump fuse", "relay", DONE,
    "fuse", "any", "float_switch", "hand_switch: test button", DONE, DONE,
)  # fmt: skip


@pytest.mark.parametrize("listed", [TRAILER, CART], ids=["trailer", "cart"])
def test_parts_are_read_back_in_the_order_of_the_copper(listed: tuple[str, ...]) -> None:
    rig = rig_of(proposed(*listed, circuit=OTHER))

    feed, control = listed[: listed.index(DONE)], listed[listed.index(DONE) + 1 :]
    assert [part.kind for part in rig.feed] == [one.partition(":")[0] for one in feed]
    names = [one.name for part in rig.control_parts for one in part.branches or (part,)]
    told = [one.partition(": ")[2] or one for one in control if one not in (DONE, "any")]
    assert [name.replace("control fuse", "fuse") for name in names] == told


def test_every_kind_can_be_listed_and_is_asked_what_its_file_can_say() -> None:
    form = shipped_form()
    for kind in menu("feed"):
        after = () if kinds()[kind].calls else ("hand_switch",) if kind != "relay" else ()
        rest = ("fuse", "pressure_switch", DONE) if kind == "relay" else ()
        answers = proposed(kind, *after, DONE, *rest, circuit=OTHER)

        part = rig_of(answers).feed[0]
        assert part.kind == kind
        assert {key for key, _ in part.values} == {field.name for field in form.of_part(kind)}


def test_a_second_part_of_a_kind_is_asked_for_its_name_and_the_first_is_not() -> None:
    answers = proposed("plug", "fuse", "plug", "master_switch", DONE, circuit=OTHER)

    assert "feed.1.name" not in answers
    assert [part.name for part in rig_of(answers).feed][::2] == ["plug", "second plug"]


def test_the_wire_to_the_battery_is_asked_of_what_protects_first_alone() -> None:
    answers = proposed("breaker", "fuse", "master_switch", DONE, circuit=OTHER)

    assert [key for key in answers if key.endswith(".distance")] == ["feed.1.distance"]


def test_loads_water_and_the_way_back_are_told() -> None:
    load = {"loads__1": "yes", "loads__1__name": "bench lamps", "loads__1__current": "3 A"}
    back = {"return": "other", "return__length": "4 m", "return__gauge": "6 mm2"}
    water = {"water": "strainer reel", "water__supply": "below", "water__outlet": UNKNOWN}
    rig = rig_of(proposed(circuit=OTHER, charging="solar mains", **load, **back, **water))

    assert [(one.name, dict(one.values)) for one in rig.loads] == [
        ("bench lamps", {"at": "fuse.out", "current": 3.0})
    ]
    assert (rig.return_length, rig.return_area) == pytest.approx((4.0, 6.0))
    assert rig.charging == ("solar", "mains")
    told = dict(rig.water)
    assert (told["strainer"], told["reel"], told["check_valve"]) == ("yes", "yes", "no")
    assert told["supply"] == "below"
    assert "outlet" not in told


def test_a_pump_with_its_switch_on_its_head_needs_no_other() -> None:
    answers = proposed("breaker", DONE, circuit=OTHER, pump__switch="built-in")

    assert [part.kind for part in rig_of(answers).feed] == ["breaker", "pressure_switch"]


def test_what_a_list_leaves_open_is_leaned_on() -> None:
    open_ones = {"feed__1__rating": UNKNOWN, "feed__2__rating": UNKNOWN, "feed__3__rating": UNKNOWN}
    parts = ("fuse", "plug", "fuse: pump fuse", "master_switch", DONE)

    rig = rig_of(proposed(*parts, circuit=OTHER, **open_ones))

    assert rig.assumed == ("main_fuse.rating", "plug.rating", "pump fuse.rating")
