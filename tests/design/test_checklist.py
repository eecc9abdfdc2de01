"""The checklist of knowledge/checklist.yaml: asked where it applies, sourced, and read strictly."""

from __future__ import annotations

import pytest

from diagnose.catalogue.checklist import checklist_for, read_checklist, shipped_checklist
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.model import Model
from diagnose.circuit.rig import open_rig, read_rig
from diagnose.design.finding import Severity
from diagnose.documents import parse
from diagnose.errors import Mistakes


def asked(text: str) -> set[str]:
    return {item.id for item in checklist_for(Model.of(read_rig(parse(text, "rig"))))}


def test_an_item_is_asked_only_where_it_applies() -> None:
    direct = asked("topology: direct\npump: {current: 7 A}\nbattery: {kind: flooded}")
    relay = asked("topology: relay\ncontrol: float_switch\nremote: true\npump: {current: 7 A}")

    assert direct - relay == {"vented-battery-apart", "pressure-switch-dry"}
    assert relay - direct == {
        "relay-dry",
        "coil-suppressed",
        "control-fuse-at-its-tap",
        "float-joint-dry",
        "receiver-small-load",
    }
    assert {"holder-wires-down", "holder-capped", "chafe-guarded", "drip-loops"} <= direct & relay


def test_every_source_is_known_and_every_id_once() -> None:
    items, sources = shipped_checklist(), shipped_catalogue().sources

    assert len({item.id for item in items}) == len(items)
    assert {name for item in items for name in item.sources} <= set(sources)
    assert all(item.ask.endswith("?") and item.sources for item in items)


def test_a_no_becomes_a_finding() -> None:
    item = next(
        one for one in checklist_for(Model.of(open_rig("bowser"))) if one.id == "chafe-guarded"
    )

    finding = item.missed()

    assert finding.severity is Severity.UNSAFE
    assert finding.change == item.change


ITEM = """
checklist:
  - id: fuse-in-reach
    ask: Can it be reached?
    why: Someone hunts for it.
    otherwise: {otherwise}
    change: Move it.
    when: {when}
    sources: [common-practice]
"""


def test_a_well_formed_item_is_read() -> None:
    (item,) = read_checklist(parse(ITEM.format(otherwise="note", when="{remote: true}"), "list"))

    assert (item.otherwise, dict(item.when)) == (Severity.NOTE, {"remote": ("yes",)})


@pytest.mark.parametrize(
    ("otherwise", "when", "told"),
    [("fine", "{}", "otherwise"), ("note", "{topologie: relay}", "topology")],
)
def test_a_mistake_in_an_item_is_named(otherwise: str, when: str, told: str) -> None:
    with pytest.raises(Mistakes, match=told):
        read_checklist(parse(ITEM.format(otherwise=otherwise, when=when), "list"))
