"""A rig written as its file would say it is read back as the same rig."""

from __future__ import annotations

from dataclasses import replace

import pytest

from diagnose.casebook.case_file import rig_yaml
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig, read_rig
from diagnose.documents import parse
from diagnose.errors import DiagnoseError
from diagnose.units import gauge_text, read_gauge
from tests.design.odd_lists import odd_lists

MORE = "battery: {count: 3}\ncharging: [solar, mains]\nwater: {supply: below, reel: true}\n"


def back(rig: Rig) -> Rig:
    return read_rig(parse(rig_yaml(rig), "rig.yaml"))


@pytest.mark.parametrize("name", bundled_rigs())
def test_a_bundled_rig_is_read_back_equal(name: str) -> None:
    rig = open_rig(name)

    assert back(rig) == replace(rig, assumed=())


def test_any_list_is_read_back_equal() -> None:
    read = 0
    for text in odd_lists(200, seed=9):
        try:
            rig = read_rig(parse(text, "rig"))
        except DiagnoseError:
            continue
        read += 1
        assert replace(back(rig), assumed=()) == replace(rig, assumed=()), text
    assert read > 180


def test_a_short_form_keeps_batteries_charging_and_water() -> None:
    rig = read_rig(
        parse(f"topology: direct\npump: {{kind: impeller, current: 5 A}}\n{MORE}", "rig")
    )

    assert replace(back(rig), assumed=()) == replace(rig, assumed=())


@pytest.mark.parametrize("gauge", ["4/0 AWG", "8 AWG", "27 AWG", "2.5 mm2", "0.375 mm2"])
def test_a_size_is_written_so_that_its_area_is_read_back(gauge: str) -> None:
    assert read_gauge(gauge_text(read_gauge(gauge))) == read_gauge(gauge)
    assert gauge_text(read_gauge(gauge)) == gauge
