"""Facts for rules and priors: each is the verdict of a check, and the two never disagree."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import suppress

import pytest

from diagnose.catalogue.rule_records import RIG_FACTS
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig, read_rig
from diagnose.design.check import check_rig
from diagnose.design.facts import rig_facts
from diagnose.design.finding import Severity
from diagnose.documents import parse
from diagnose.errors import DiagnoseError
from tests.design.odd_lists import odd_lists
from tests.design.odd_rigs import odd_rigs

WANTED = {Severity.UNSAFE, Severity.SHOULD_CHANGE}

AGREE = {
    "fuse-over-running": ("fuse-for-running", {"under", "over"}),
    "fuse-over-wire": ("fuse-for-wire", {"over"}),
    "wire-drop": ("wire-for-length", {"over"}),
    "battery-size": ("battery-size", {"small"}),
    "fuse-distance": ("fuse-distance", {"far"}),
    "relay-contact": ("relay-contact", {"under"}),
    "coil-draw": ("coil-draw", {"large"}),
}
"""By fact the check of the same thing, and the symbols that call the rig badly built."""


def rig_of(text: str) -> Rig:
    return read_rig(parse(text, "rig.yaml"))


def readable(texts: Iterable[str]) -> Iterator[Rig]:
    """The rigs of those files that are taken; of parts by chance two may have like names."""
    for text in texts:
        with suppress(DiagnoseError):
            yield rig_of(text)


RIGS = [
    *map(open_rig, bundled_rigs()),
    *readable(odd_rigs(40, seed=3)),
    *readable(odd_lists(40, seed=3)),
]


@pytest.mark.parametrize("rig", RIGS, ids=range(len(RIGS)))
def test_a_fact_calls_bad_what_the_check_wants_changed_and_nothing_else(rig: Rig) -> None:
    facts, findings = rig_facts(Model.of(rig)), check_rig(rig)

    for fact, (check, bad) in AGREE.items():
        found = [one.severity for one in findings if one.id == check]
        if found:
            assert (facts[fact] in bad) == bool(WANTED & {*found}), (fact, rig)
    listed_only = {"control-tap"} if rig.feed else set()
    assert all(facts[name] in RIG_FACTS[name] for name in {*facts} - listed_only)


@pytest.mark.parametrize(
    ("kind", "enough"), [("agm", 36), ("gel", 38), ("flooded", 43), ("lithium", 22)]
)
def test_a_battery_is_small_where_it_does_not_last_the_usual_duty(kind: str, enough: int) -> None:
    """Peukert's law, t = H (C / (I H)) ** n, solved for C = I H (t / H) ** (1 / n) by hand. 10 A
    and a coil of 0.15 A for 1.5 h down to half (lithium: to a fifth) take 3 h (1.875 h) to flat.
    agm, n 1.10: 203 x 0.15 ** 0.909 = 36.2 A h, and so on."""
    text = "topology: relay\npump: {{current: 10 A}}\nbattery: {{kind: {}, capacity: {} A*h}}\n"

    sizes = [
        rig_facts(Model.of(rig_of(text.format(kind, enough + d))))["battery-size"] for d in (-2, 2)
    ]

    assert sizes == ["small", "fair"]


@pytest.mark.parametrize(
    ("pump", "fuse", "fact"),
    [(10, 10, "under"), (10, 15, "right"), (10, 20, "right"), (10, 25, "over"), (0.3, 1, "right")],
)
def test_a_fuse_is_judged_by_the_running_current(pump: float, fuse: float, fact: str) -> None:
    """1.1 x 10 A asks for 15 A; up to 2.2 x 10 A = 22 A it still guards the motor (an estimate).
    For 0.3 A there is no smaller fuse than 1 A."""
    text = f"topology: direct\npump: {{current: {pump} A}}\nmain_fuse: {{rating: {fuse} A}}\n"

    assert rig_facts(Model.of(rig_of(text)))["fuse-over-running"] == fact


@pytest.mark.parametrize(("feet", "fact"), [(8, "within-3"), (9, "within-10"), (29, "over")])
def test_a_wire_is_judged_by_the_published_size_formula(feet: int, fact: str) -> None:
    """10.75 x 10 A x 2 L / E: for 3 % of 12 V 597 CM a foot one way, for 10 % 179 CM. The nominal
    5178 CM of 13 AWG, which stands in no table of least copper, do for 8.7 and 28.9 ft."""
    text = (
        f"topology: direct\npump: {{current: 10 A}}\nwire: {{gauge: 13 AWG, length: {feet} ft}}\n"
    )

    assert rig_facts(Model.of(rig_of(text)))["wire-drop"] == fact
