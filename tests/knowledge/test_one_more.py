"""A failure mode is added by files alone, as DEVELOPERS.md promises: written, entered, proved."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from diagnose.bench import Bench, Shop
from diagnose.catalogue.issues import Severity
from diagnose.catalogue.knowledge import load_knowledge
from diagnose.catalogue.lint import lint_folder
from diagnose.catalogue.lint_vocabulary import every_name_is_in_the_vocabulary
from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.circuit.meter import LARGEST_OHMS
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import open_rig
from diagnose.documents import load
from diagnose.figures import knowledge_folder
from diagnose.reasoning.evidence import Measured, answers_of, latest
from diagnose.walkthrough import Walk

NEW = "relay-armature-stiff"
"""A relay whose coil is whole and whose armature is stuck."""

pytestmark = pytest.mark.skipif(
    NEW in shipped_vocabulary().group_of, reason="the book has it by now: let another stand in"
)

GIVEN = Path(__file__).parent / "one_more"


OPEN_COIL = {"current coil calling": 0.0, "resistance relay.86 relay.85": LARGEST_OHMS}
"""What an open coil reads where a whole one reads 0.147 A and 85 ohm."""


@pytest.fixture
def grown(tmp_path: Path) -> Path:
    """The knowledge with one file more."""
    folder = tmp_path / "knowledge"
    shutil.copytree(knowledge_folder(), folder)
    shutil.copy(GIVEN / f"{NEW}.yaml", folder / "failure_modes" / "relay")
    return folder


@pytest.fixture
def entered(grown: Path) -> Path:
    """The same with its id under its group in the vocabulary."""
    words = grown / "vocabulary.yaml"
    text = words.read_text("utf-8").replace("  relay: [", f"  relay: [{NEW}, ", 1)
    words.write_text(text, "utf-8")
    return grown


def test_a_step_that_is_missing_is_named(grown: Path) -> None:
    [issue] = every_name_is_in_the_vocabulary(load_knowledge(grown))

    assert issue.text == f"enter '{NEW}' in vocabulary.yaml too"


def test_with_every_step_done_lint_finds_nothing(entered: Path) -> None:
    assert [one for one in lint_folder(entered) if one.severity is not Severity.NOTE] == []


def test_its_proof_case_ranks_it_first(entered: Path, shop: Shop) -> None:
    """And does so by its circuit: with the readings of an open coil it is the open coil."""
    proof = load(GIVEN / "proof.yaml")
    first = proof.section("expect").text("first")
    rig = open_rig(proof.text("rig"))
    for told in ("id", "happened", "source"):
        proof.text(told)
    bench = Bench.for_rig(rig, Shop(load_catalogue(entered), shop.book, shop.refusals))
    items = tuple(answers_of(proof, bench.shop.catalogue, rig, bench.hypotheses.facts))
    opened = [Measured(reading_of(name), value) for name, value in OPEN_COIL.items()]

    assert Walk(bench, items).belief().ranking[0][0] == NEW == first
    assert Walk(bench, latest([*items, *opened])).belief().ranking[0][0] == "relay-coil-open"
