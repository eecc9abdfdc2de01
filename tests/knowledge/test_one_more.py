"""A failure mode and an observation are added by files alone, as DEVELOPERS.md promises: written,
entered, proved."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from diagnose.bench import Bench, Shop
from diagnose.catalogue.issues import Severity
from diagnose.catalogue.knowledge import load_knowledge
from diagnose.catalogue.lint import lint_folder
from diagnose.catalogue.lint_names import (
    every_name_is_in_the_vocabulary,
    every_observation_is_there,
)
from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.vocabulary import load_vocabulary, shipped_vocabulary
from diagnose.circuit.meter import LARGEST_OHMS
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import open_rig
from diagnose.documents import load
from diagnose.figures import knowledge_folder
from diagnose.reasoning.evidence import Measured, latest, read_answers
from diagnose.walkthrough import Walk
from tests.tools.vocabulary import enter

NEW = "relay-armature-stiff"
"""A relay whose coil is whole and whose armature is stuck."""

LOOK = "relay-armature-look"
"""And a way to see that."""

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
    enter(grown)
    return grown


@pytest.fixture
def with_look(grown: Path) -> Path:
    """The same with an observation, which the failure mode shows and the drill can be asked for."""
    shutil.copy(GIVEN / f"{LOOK}.yaml", grown / "observations")
    mode, words = grown / "failure_modes" / "relay" / f"{NEW}.yaml", grown / "drill_words.yaml"
    _put(mode, "shows:\n", f"  {LOOK}: {{hangs: often}}\n")
    _put(
        words,
        "asks:   # observation: what is said to make it, beside its own name\n",
        f"  {LOOK}: [press armature]\n",
    )
    return grown


def _put(file: Path, behind: str, line: str) -> None:
    text = file.read_text("utf-8")
    assert behind in text
    file.write_text(text.replace(behind, behind + line, 1), "utf-8")


def test_a_step_that_is_missing_is_named(grown: Path) -> None:
    [issue] = every_name_is_in_the_vocabulary(load_knowledge(grown))

    assert issue.text == f"enter '{NEW}' in vocabulary.yaml too"


def test_its_proof_case_ranks_it_first(entered: Path, shop: Shop) -> None:
    """And does so by its circuit: with the readings of an open coil it is the open coil."""
    proof = load(GIVEN / "proof.yaml")
    first = proof.section("expect").text("first")
    rig = open_rig(proof.text("rig"))
    for told in ("id", "happened", "source"):
        proof.text(told)
    bench = Bench.for_rig(rig, Shop(load_catalogue(entered), shop.book, shop.refusals))
    items = tuple(read_answers(proof, bench.shop.catalogue, rig, bench.hypotheses.facts))
    opened = [Measured(reading_of(name), value) for name, value in OPEN_COIL.items()]

    assert Walk(bench, items).belief().ranking[0][0] == NEW == first
    assert Walk(bench, latest([*items, *opened])).belief().ranking[0][0] == "relay-coil-open"


def test_with_every_step_done_nothing_else_is_touched_and_lint_finds_nothing(
    with_look: Path,
) -> None:
    before = load_vocabulary(with_look / "vocabulary.yaml")
    remarks = _remarks(with_look)

    assert [name for _, name, _ in enter(with_look)] == ["relay", LOOK]
    assert enter(with_look) == []
    after = load_vocabulary(with_look / "vocabulary.yaml")
    assert dict(after.observations) == {**before.observations, LOOK: ("springs", "hangs", "no")}
    assert after.group_of == {**before.group_of, NEW: "relay"}
    assert _remarks(with_look) == remarks
    assert [one for one in lint_folder(with_look) if one.severity is not Severity.NOTE] == []


def _remarks(folder: Path) -> list[str]:
    lines = (folder / "vocabulary.yaml").read_text("utf-8").splitlines()
    return [line for line in lines if "#" in line]


def test_an_observation_that_is_entered_can_be_asked(with_look: Path, shop: Shop) -> None:
    grown = Shop(load_catalogue(with_look), shop.book, shop.refusals)
    walk = Walk(Bench.for_rig(open_rig("bowser"), grown))
    before = dict(walk.belief().ranking)[NEW]
    walk.answer(walk.ask(LOOK), "hangs")

    assert dict(walk.belief().ranking)[NEW] > 3 * before


def test_answers_in_another_order_are_not_entered(entered: Path) -> None:
    """What was promised stays as it was: nothing is written, and lint says so."""
    file, words = entered / "observations" / "fuses.yaml", entered / "vocabulary.yaml"
    looks, promised = file.read_text("utf-8"), words.read_text("utf-8")
    first, second = re.findall(r"^      (?:intact|open): .*\n", looks, re.M)[:2]
    file.write_text(looks.replace(first + second, second + first, 1), "utf-8")

    assert enter(entered) == []
    assert words.read_text("utf-8") == promised
    assert list(every_observation_is_there(load_knowledge(entered)))
