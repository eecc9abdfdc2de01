"""Rig files that list their parts: what they are called, where a probe goes, what is refused."""

from __future__ import annotations

import re
from itertools import pairwise
from pathlib import Path

import pytest
import yaml

from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.network import points_on
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig, read_rig
from diagnose.documents import parse
from diagnose.errors import DiagnoseError, Place
from diagnose.figures import knowledge_folder
from diagnose.reasoning.evidence import parse_reading

PUMP = "pump: {current: 10 A}\n"
RELAY = "control: {tap: fuse.out, parts: [fuse, pressure_switch]}\n"
STANDARD = {"fuse": "fuse", "master_switch": "master", "pressure_switch": "pswitch",
            "float_switch": "float"}  # fmt: skip
"""Where the first of these kinds has test points that are not called after it, in the feed."""

LISTS: dict[str, str] = {
    name: text
    for name in bundled_rigs()
    for text in [Path(knowledge_folder() / "rigs" / f"{name}.yaml").read_text("utf-8")]
    if "\nfeed:" in text
}


def rig_of(text: str) -> Rig:
    return read_rig(parse(PUMP + text, "rig.yaml"))


def complaints(text: str) -> list[str]:
    with pytest.raises(DiagnoseError) as caught:
        rig_of(text)
    return str(caught.value).splitlines()


def in_its_order(feed: list[str | dict[str, dict[str, str]]]) -> list[str]:
    """The test points of a feed as its file has it, read by hand."""
    points = ["lug+"]
    seen: set[str] = set()
    for item in feed:
        kind = item if isinstance(item, str) else next(iter(item))
        told = {} if isinstance(item, str) else item[kind]
        first = kind not in seen
        seen.add(kind)
        if kind == "relay":
            points += ["relay.30", "relay.87", "relay.87a"]
            continue
        own = told.get("name", kind)
        called = STANDARD.get(kind, own) if first else own
        points += [f"{called}.in", f"{called}.out"]
    return points


@pytest.mark.parametrize("name", LISTS)
def test_the_order_of_the_file_is_the_order_of_the_copper(name: str) -> None:
    feed = yaml.safe_load(LISTS[name])["feed"]
    points = points_on(open_rig(name))

    assert list(points[1 : 1 + len(in_its_order(feed))]) == in_its_order(feed)


def test_a_part_alone_is_called_by_its_kind_and_others_by_their_names() -> None:
    rig = rig_of("feed: [plug, fuse, {fuse: {name: pump fuse}}, {plug: {name: trailer plug}},"
                 " hand_switch]\n")  # fmt: skip

    assert [part.name for part in rig.feed] == [
        "plug", "fuse", "pump fuse", "trailer plug", "hand_switch",
    ]  # fmt: skip
    assert points_on(rig)[2:12] == (
        "plug.in", "plug.out", "fuse.in", "fuse.out", "pump fuse.in", "pump fuse.out",
        "trailer plug.in", "trailer plug.out", "hand_switch.in", "hand_switch.out",
    )  # fmt: skip


def test_the_points_of_the_first_fuse_stay_whatever_it_is_called() -> None:
    """As on every rig; so may a coil be fed from there."""
    rig = rig_of("feed: [{fuse: {name: post fuse}}, relay]\n" + RELAY)

    assert {"fuse.in", "fuse.out", "cfuse.in"} < set(points_on(rig))
    assert rig.control_tap == "fuse.out"


def test_a_plug_breaks_the_minus_too() -> None:
    """Between stud and battery where the battery has it, the motor's side first; behind the relay,
    whose coil has the stud as its minus, before the stud. A reversing switch turns the motor."""
    plugs = "feed: [plug, fuse, relay, {plug: {name: pump plug}}]\n" + RELAY
    turned = "feed: [fuse, reversing_switch]\n"

    assert points_on(rig_of(plugs))[-8:] == (
        "motor-", "pump plug.minus.out", "pump plug.minus.in", "ground",
        "plug.minus.out", "plug.minus.in", "lug-", "battery-",
    )  # fmt: skip
    assert points_on(rig_of(turned))[-6:-2] == (
        "motor-", "reversing_switch.minus.out", "reversing_switch.minus.in", "ground",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "tap"),
    [
        ("feed: [fuse, relay]\ncontrol: {parts: [pressure_switch]}\n", "fuse.out"),
        ("feed: [breaker, relay]\ncontrol: {parts: [pressure_switch]}\n", "breaker.out"),
        ("feed: [relay, fuse]\ncontrol: {parts: [pressure_switch]}\n", "lug+"),
    ],
)
def test_a_coil_is_fed_from_behind_the_first_protection_if_nobody_says_it(
    text: str, tap: str
) -> None:
    assert rig_of(text).control_tap == tap


def test_a_load_hangs_behind_the_first_protection_if_nobody_says_it() -> None:
    rig = rig_of("feed: [breaker, hand_switch]\nloads: [{name: lamp, current: 2 A}]\n")

    assert rig.loads[0].word("at") == "breaker.out"


LAMP = "feed: [fuse, hand_switch]\nloads: [{name: lamp, current: 2 A"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("feed: [fuse, clutch, hand_switch]\n",
         "rig.yaml, line 2, key feed[2]: there is no part of the feed called 'clutch'."),
        ("feed: [fuse, relai]\n" + RELAY,
         "rig.yaml, line 2, key feed[2]: there is no part of the feed called 'relai'. "
         "Did you mean 'relay'?"),
        ("feed:\n  - fuse\n  - relay\ncontrol:\n  parts:\n    - presure_switch\n",
         "rig.yaml, line 7, key control.parts[1]: there is no part of the control called "
         "'presure_switch'. Did you mean 'pressure_switch'?"),
        ("feed: [fuse, relay, solenoid]\n" + RELAY, "key feed: two relays cannot be worked out"),
        ("feed: [fuse, relay]\n", "key control: a relay stands in the feed, so say what feeds"),
        ("feed: [fuse, hand_switch]\n" + RELAY, "key control: only a relay has a control line"),
        ("feed: [fuse, relay]\n" + RELAY.replace("fuse.out", "master.out"),
         "line 3, key control.tap: there is no point before the relay called 'master.out'."),
        ("feed: [fuse, relay, {fuse: {name: pump fuse}}]\n"
         + RELAY.replace("fuse.out", "pump fuse.out"), "key control.tap: there is no point"),
        ("battery: {voltage: 48 V}\nfeed: [fuse, hand_switch]\n",
         "rig.yaml, line 2, key battery.voltage: 48 V in all cannot be worked out; only 12 V and"),
        ("battery: {voltage: 0 V}\nfeed: [fuse, hand_switch]\n", "0 V in all cannot be worked"),
        ("battery: {joined: series}\nfeed: [fuse, hand_switch]\n",
         "key battery.joined: only two batteries in series can be worked out; say count: 2"),
        ("battery: {joined: series, count: 2, voltage: 24 V}\nfeed: [fuse, hand_switch]\n",
         "48 V in all cannot be worked out"),
        ("battery: {voltage: twelve}\nfeed: [fuse, hand_switch]\n", "'twelve' is not a number"),
        ("battery: {count: 1.5}\nfeed: [fuse, hand_switch]\n", "give a whole number"),
        ("feed: [fuse, plug]\n", "key feed: nothing here starts and stops the pump"),
        ("feed: []\n", "key feed: nothing here starts and stops the pump"),
        ("feed: fuse\n", "key feed: should be a list"),
        ("feed: [fuse, {plug: {rating: 9 A}, fuse: {}}, hand_switch]\n", "key feed[2]: should be"),
        ("feed: [fuse, plug, plug, hand_switch]\n",
         "key feed[3].name: there is a 'plug' already (rig.yaml, line 2, key feed[2].name); "
         "give this one a name of its own"),
        ("feed: [fuse, {plug: {name: a b}}, {plug: {name: A-b}}, hand_switch]\n",
         "there is a 'A-b' already"),
        ("feed: [fuse, {plug: {name: a.b}}, hand_switch]\n", "'a.b' cannot name a test point"),
        ("feed: [fuse, {plug: {name: master}}, master_switch]\n",
         "'master' would have the test points of another part; give it another name"),
        ("feed: [{plug: {name: fuse}}, {fuse: {name: post fuse}}, hand_switch]\n",
         "'fuse' would have the test points of another part"),
        (f"feed: [fuse, {{plug: {{name: {'x' * 31}}}}}, hand_switch]\n", "31 characters long"),
        ("feed: [fuse, relay]\ncontrol: {parts: [any: [float_switch]]}\n",
         "any: needs two switches or more"),
        ("feed: [fuse, relay]\n"
         "control: {parts: [any: [float_switch, {any: [hand_switch, remote]}]]}\n",
         "each by its own kind"),
        ("feed: [fuse, {low_voltage_cutout: {opens: 24 V}}, hand_switch]\n",
         "'24 V' is out of range; from 8 to 14 V is possible"),
        ("feed: [fuse, {breaker: {reset: by hand}}, hand_switch]\n",
         "there is no reset called 'by hand'. Known here: automatic, manual."),
        (LAMP + ", at: nowhere}]\n",
         "line 3, key loads[1].at: there is no point on the plus side called 'nowhere'."),
        (LAMP + ", at: ground}]\n", "key loads[1].at"),
        (LAMP.replace(", current: 2 A", "") + "}]\n", "key loads[1].current: this key is needed"),
        (LAMP + "}, {name: lamp, current: 1 A}]\n", "there is a 'lamp' already"),
        ("topology: relay\nfeed: [fuse, hand_switch]\n", "there is no key called 'topology'"),
        ("feed: [fuse, {hand_switch: {colour: red}}]\n", "no key called 'colour'"),
        ("charging: [wind]\nfeed: [fuse, hand_switch]\n", "'wind'"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused_in_one_clear_sentence(text: str, said: str) -> None:
    [complaint] = complaints(text)

    assert said in complaint
    assert re.match(r"rig\.yaml, (line \d+, )?key [a-z]", complaint)


def test_a_pump_that_carries_its_switch_has_no_room_for_a_second_of_that_name() -> None:
    pump = "pump: {current: 10 A, switch: built-in}\n"

    assert read_rig(parse(pump + "feed: [fuse]\n", "rig.yaml")).control == "pressure_switch"
    with pytest.raises(DiagnoseError, match="there is a 'pressure_switch' already"):
        read_rig(parse(pump + "feed: [fuse, pressure_switch]\n", "rig.yaml"))


def test_all_mistakes_of_a_list_are_named_at_once() -> None:
    told = complaints(
        "battery: {kind: zinc, voltage: 48 V}\n"
        "feed:\n"
        "  - plug\n"
        "  - plug\n"
        "  - clutch\n"
        "  - fuse: {rating: 900 A}\n"
        "loads:\n"
        "  - {name: lamp}\n"
    )

    assert [re.findall(r"line (\d)", line)[0] for line in told] == list("225679")


@pytest.mark.parametrize(
    ("name", "text", "points"),
    [
        ("spray-trailer", "voltage battery plug.in battery plug.out calling = 0.4 V",
         ("battery plug.in", "battery plug.out")),
        ("spray-trailer", "voltage battery plug.minus.out battery plug.minus.in, asked to run = .1",
         ("battery plug.minus.out", "battery plug.minus.in")),
        ("nursery-feed", "voltage fuse.out pump fuse.in calling = 20 mV",
         ("fuse.out", "pump fuse.in")),
        ("utility-tank", "voltage ignition.in lug- rest = 12.6 V", ("ignition.in", "lug-")),
        ("two-pump-cart", "resistance hand_switch.in hand_switch.out = 0.2 ohm",
         ("hand_switch.in", "hand_switch.out")),
    ],
)  # fmt: skip
def test_a_reading_at_a_part_of_several_words_is_read(
    name: str, text: str, points: tuple[str, str]
) -> None:
    found = parse_reading(text, shipped_catalogue(), open_rig(name), Place("--read"))

    assert found.reading.points == points


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("voltage battery plg.in battery plug.out calling = 1 V", "no test point called"),
        ("voltage battery plug.in battery plug.in calling = 1 V", "both probes on the same"),
        ("voltage battery plug.in calling = 1 V", "no test point called 'calling'"),
        ("voltage pump fuse.in lug- calling = 1 V", "no test point called"),
    ],
)
def test_a_point_that_the_rig_does_not_have_is_refused(text: str, words: str) -> None:
    with pytest.raises(DiagnoseError) as caught:
        parse_reading(text, shipped_catalogue(), open_rig("spray-trailer"), Place("--read"))

    assert words in str(caught.value)


@pytest.mark.parametrize("name", LISTS)
def test_every_point_of_a_rig_can_be_typed(name: str) -> None:
    points = points_on(open_rig(name))

    assert len(set(points)) == len(points)
    for red, black in pairwise(points):
        reading = reading_of(f"voltage {red} {black} calling", points_too=points)
        assert reading.points == (red, black)
