"""What a rig can be at all: one table of bounds, kept to wherever a value is typed.

Every rig within them is worked out without a warning. The rigs are invented.
"""

from __future__ import annotations

import json
import re
import warnings
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from diagnose.bench import Bench, Shop
from diagnose.casebook.case_file import rig_yaml
from diagnose.catalogue.records import Observation
from diagnose.circuit.bounds import Bound, bounds
from diagnose.circuit.form import COUNT, GAUGE_UNIT, shipped_form
from diagnose.circuit.rig import read_rig
from diagnose.design.facts import rig_facts
from diagnose.documents import parse
from diagnose.errors import BadQuantity, DiagnoseError, NotUnderstood
from diagnose.figures import BASES, shipped_figures
from diagnose.reasoning import available_tests
from diagnose.terminal.app import app
from diagnose.terminal.rig.interview import quantity, rig_name
from tests.design.odd_rigs import QUANTITIES, odd_rigs

RIG = "topology: relay\npump: {current: 10 A}\n"


def mistakes(text: str) -> list[str]:
    with pytest.raises(DiagnoseError) as caught:
        read_rig(parse(text, "rig.yaml"))
    return str(caught.value).splitlines()


def rig_with(key: str, value: str) -> str:
    section, name = key.split(".")
    pump = {"current": "10 A"} if section == "pump" else {}
    values = ", ".join(f"{k}: {v}" for k, v in {**pump, name: value}.items())
    other = "" if section == "pump" else "pump: {current: 10 A}\n"
    return f"topology: relay\n{other}{section}: {{{values}}}\n"


def beyond(bound: Bound) -> list[str]:
    """Just outside, far outside, and what is hardly a number."""
    unit = bound.unit.replace("^", "")
    low = [f"{bound.lowest * 0.99} {unit}"] if bound.lowest else []
    return [*low, f"{bound.highest * 1.01} {unit}", f"1e300 {unit}", f"-1 {unit}", f"-1e300 {unit}"]


@pytest.mark.parametrize("key", QUANTITIES)
def test_beyond_its_bounds_a_value_is_refused_in_one_sentence_that_names_them(key: str) -> None:
    bound = QUANTITIES[key]
    for value in beyond(bound):
        said = mistakes(rig_with(key, value))

        assert len(said) == 1, said
        assert said[0].startswith("rig.yaml, line "), said
        assert f"key {key}: '{value}' is out of range; {bound.told}" in said[0], said


@pytest.mark.parametrize("key", QUANTITIES)
def test_at_its_bounds_a_value_is_taken(key: str) -> None:
    bound = QUANTITIES[key]
    for end in (bound.lowest, bound.highest):
        read_rig(parse(rig_with(key, f"{end} {bound.unit.replace('^', '')}"), "rig.yaml"))


def test_all_values_that_cannot_be_are_named_at_once() -> None:
    sections = {key.split(".")[0] for key in QUANTITIES}
    text = "topology: relay\n" + "".join(
        f"{section}: {{{', '.join(_too_large(section))}}}\n" for section in sorted(sections)
    )

    said = mistakes(text)

    named = [line.split("key ")[1].split(":")[0] for line in said]
    assert sorted(named) == sorted(QUANTITIES)


def _too_large(section: str) -> list[str]:
    found = (one for key, one in QUANTITIES.items() if key.startswith(f"{section}."))
    return [
        f"{one.key.split('.')[1]}: {one.highest * 2} {one.unit.replace('^', '')}" for one in found
    ]


# --- the name -------------------------------------------------------------------------------------

LONGEST = int(bounds()["name"].highest)


@pytest.mark.parametrize(
    ("name", "size"),
    [
        ("w" * (LONGEST + 1), LONGEST + 1),
        ("水" * 5_000, 5_000),
        ("\u202e" * LONGEST, 6 * LONGEST),  # what is not seen is written out when it is kept
    ],
    ids=["one more", "far more", "unseen"],
)
def test_a_name_that_is_too_long_is_refused_with_its_length(name: str, size: int) -> None:
    said = mistakes(f"name: {json.dumps(name)}\n{RIG}")

    assert said == [
        f"rig.yaml, line 1, key name: is {size:,} characters long; {LONGEST} at most, so shorten it"
    ]


@pytest.mark.parametrize("name", ["w" * LONGEST, "水" * LONGEST, f"{'w ' * (LONGEST // 2)}    "])
def test_the_longest_name_is_taken_and_kept(name: str) -> None:
    rig = read_rig(parse(f"name: {json.dumps(name)}\n{RIG}", "rig.yaml"))

    assert rig.name == name
    assert read_rig(parse(rig_yaml(rig), "rig.yaml")).name == name.strip()


def test_the_question_for_the_name_keeps_to_the_bound_of_the_file() -> None:
    assert rig_name("w" * LONGEST) == "w" * LONGEST
    with pytest.raises(NotUnderstood, match=f"at most {LONGEST} letters"):
        rig_name("w" * (LONGEST + 1))


def test_every_bound_says_what_it_rests_on_and_why() -> None:
    table = shipped_figures().table("rig-bounds")
    for key, lowest, highest, _, basis, reason in table.rows:
        assert float(str(lowest)) < float(str(highest)), key
        assert basis in BASES, key
        assert len(str(reason).split()) > 5, key


def test_questions_keep_to_the_bounds_of_the_file() -> None:
    """Each question for a quantity, of `rig new` and of a walk without a rig file, of a rig in
    short and of one whose parts are listed."""
    asked = [field for field in shipped_form().fields.values() if field.unit]
    assert {field.key for field in asked} >= set(QUANTITIES)
    for field in asked:
        bound = bounds()[field.bound]
        for value in beyond(bound):
            number = value.split()[0] if field.unit == COUNT else value
            with pytest.raises(BadQuantity, match="out of range"):
                quantity(field)(number)


def test_a_part_that_is_listed_keeps_to_the_same_bounds() -> None:
    """A fuse of a list is a main fuse, with the limits of one; each limit stands once."""
    for field in shipped_form().fields.values():
        for kind in field.parts if field.unit and field.unit != GAUGE_UNIT else ():
            for value in beyond(bounds()[field.bound]):
                said = mistakes(listed_with(kind, field.name, value))
                assert len(said) == 1, said
                assert f"{bounds()[field.bound].told}" in said[0], said


def listed_with(kind: str, name: str, value: str) -> str:
    """A rig of listed parts, one of which has a value."""
    part = f"{{{kind}: {{{name}: {value}}}}}"
    feed, control, loads = ["fuse", "relay"], ["pressure_switch"], ""
    if kind == "control_fuse":
        control = [part.replace("control_fuse", "fuse"), *control]
    elif kind == "load":
        loads = f"loads: [{{name: lamps, {name}: {value}}}]\n"
    elif kind in feed:
        feed[feed.index(kind)] = part
    else:
        feed = [part, *feed]
    parts = f"feed: [{', '.join(feed)}]\ncontrol: {{tap: lug+, parts: [{', '.join(control)}]}}\n"
    return f"pump: {{current: 10 A}}\n{parts}{loads}"


# --- wire sizes as people write them --------------------------------------------------------------


@pytest.mark.parametrize(
    "gauge",
    [
        "1e-320 mm2",
        "1e306 mm2",
        "0 mm2",
        "-6 mm2",
        "0.09 mm2",
        "241 mm2",
        "40 AWG",
        "28 AWG",
        "1 m^2",
    ],
)
def test_a_wire_that_cannot_be_is_refused_with_the_bounds(gauge: str) -> None:
    said = mistakes(f"{RIG}wire: {{gauge: {gauge}}}\n")

    assert len(said) == 1
    assert "line 3, key wire.gauge" in said[0]
    assert "from 0.1 to 240 mm2" in said[0]


@pytest.mark.parametrize(
    "gauge",
    [
        "41 AWG", "5/0 AWG", "00000 AWG", "-4 AWG", "AWG", "4.5 AWG", "AWG 08", "6", "0000", "4/0",
        "8 AWG 6 mm2", "1,500 mm2", "6 mm", "\uff18 AWG", "\uff16 mm2", "\u0666 mm2", "nan mm2",
        "inf mm2", "8 AWG" + " " * 80 + "or so", "x" * 500,
    ],
)  # fmt: skip
def test_what_is_no_wire_size_is_refused_in_one_sentence(gauge: str) -> None:
    said = mistakes(f'{RIG}wire: {{gauge: "{gauge}"}}\n')

    assert len(said) == 1
    assert "line 3, key wire.gauge" in said[0]


@pytest.mark.parametrize(
    ("gauge", "shown", "area"),
    [
        ("AWG 27", "AWG 27", 0.102),
        ("0000 AWG", "0000 AWG", 107.2),
        ("4/0 awg", "4/0 awg", 107.2),
        (" 8  AWG ", "8 AWG", 8.37),
        ("2,5 mm²", "2,5 mm2", 2.5),
        ("0.06 cm^2", "0.06 cm2", 6),
        ("240 mm**2", "240 mm2", 240),
    ],
)
def test_a_wire_size_is_read_however_it_is_written(gauge: str, shown: str, area: float) -> None:
    """Areas of gauges: ASTM B258."""
    rig = read_rig(parse(f'{RIG}wire: {{gauge: "{gauge}"}}\n', "rig.yaml"))

    assert rig.wire_gauge == shown
    assert rig.wire_area == pytest.approx(area, rel=2e-3)
    assert rig.metric_wire is ("awg" not in shown.lower())


# --- options --------------------------------------------------------------------------------------


def test_options_that_cannot_be_are_all_named_at_once() -> None:
    words = ["--current", "0.1 A", "--length", "0 ft", "--insulation", "1e9", "--air", "-300"]

    done = CliRunner().invoke(app, ["rig", "size", *words, "--bundle", "0"])

    assert done.exit_code == 2
    lines = done.stderr.strip().splitlines()
    places = ("current", "length", "insulation", "air", "bundle")
    assert [line.split(":")[0] for line in lines] == [f"--{one}" for one in places]
    assert all(bounds()[key].told in " ".join(lines) for key in ("pump.current", "air"))


# --- rigs anywhere within the bounds --------------------------------------------------------------

NUMBERLESS = re.compile(r"(?<![a-z])(nan|inf|infinity)(?![a-z])", re.IGNORECASE)
"""What a number that is none looks like, on a screen and in JSON."""

PLAUSIBLE = [
    "topology: relay\npump: {current: 30 A}\nwire: {gauge: 14 AWG, length: 300 ft}\n",
    "topology: direct\npump: {current: 100 A}\nwire: {gauge: 0.1 mm2, length: 330 ft}\n",
]
ODD = [*PLAUSIBLE, *odd_rigs(4, seed=14)]
COMMANDS = (
    ("rig", "check", "RIG"),
    ("rig", "check", "RIG", "--json"),
    ("rig", "draw", "RIG", "--expect"),
    ("expect", "RIG"),
    ("rank", "RIG", "--json"),
    ("rank", "RIG", "--seen", "pump-action=slow", "--read", "voltage motor+ motor- calling = 9 V"),
)


@pytest.fixture(scope="module", params=ODD)
def text(request: pytest.FixtureRequest) -> str:
    """A rig file; all tests of one rig come together, and share its bench (tests/once.py)."""
    return str(request.param)


def test_every_sign_of_any_rig_has_chances_and_every_reading_a_band(text: str, shop: Shop) -> None:
    rig = read_rig(parse(text, "rig.yaml"))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        bench = Bench.for_rig(rig, shop)
        for test in available_tests.tests_for(shop.catalogue, rig, rig_facts(bench.model)):
            if isinstance(test.entry, Observation):
                chances = bench.predictions.chances(test.entry.id)
                assert np.all(chances >= 0), (test.entry.id, text)
                assert np.allclose(chances.sum(axis=0), 1), (test.entry.id, text)
                continue
            band = bench.predictions.band(test.entry.reading)
            assert np.all(np.isfinite(band.mean)), (test.entry.id, text)
            assert np.all(band.spread > 0), (test.entry.id, text)
            assert np.all(np.isfinite(band.spread)), (test.entry.id, text)


def test_any_rig_within_the_bounds_is_worked_out_without_a_warning(
    text: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("DIAGNOSE_CASEBOOK", str(tmp_path / "cases"))
    path = tmp_path / "rig.yaml"
    path.write_text(text, "utf-8")
    for command in COMMANDS:
        words = [str(path) if word == "RIG" else word for word in command]
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            done = CliRunner().invoke(app, words)

        assert done.exit_code in (0, 1), (command, done.exception, done.stderr)
        assert isinstance(done.exception, SystemExit | None), (command, text)
        assert not done.stderr, command
        assert not NUMBERLESS.search(done.stdout), (command, text)
        if "--json" in command:
            json.loads(done.stdout)
