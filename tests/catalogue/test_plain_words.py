"""Complaints in plain words. The sentences of tests/tables/plain_sentences.yaml were written first,
as people type; what each is to mean is a reader's judgement, not the program's."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest
import yaml

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.plain_vocabulary import shipped_plain_words
from diagnose.catalogue.plain_words import EITHER, PlainReading, read_plain
from diagnose.circuit.design import rig_facts
from diagnose.circuit.operate import Model
from diagnose.circuit.rig import open_rig

TABLE = Path(__file__).parent.parent / "tables" / "plain_sentences.yaml"
SENTENCES = yaml.safe_load(TABLE.read_text(encoding="utf-8"))["sentences"]


def read(text: str, rig: str = "bowser") -> PlainReading:
    facts = rig_facts(Model.of(open_rig(rig)))
    return read_plain(text, shipped_plain_words(), shipped_catalogue(), facts)


@pytest.mark.parametrize("row", SENTENCES, ids=lambda row: row["text"][:40] or "nothing")
def test_a_sentence_means_what_a_fitter_takes_down(row: Mapping[str, Any]) -> None:
    found = read(row["text"], row.get("rig", "bowser"))
    signs = [(f"{one.observation}={one.option}", one.strength) for one in found.matches]
    assert {sign for sign, how in signs if how != EITHER} == set(row.get("means", []))
    assert {sign for sign, how in signs if how == EITHER} == set(row.get("either", []))
    assert [f"{one.observation}={one.option}" for one in found.absent] == row.get("absent", [])
    assert list(found.not_understood) == row.get("left", [])
