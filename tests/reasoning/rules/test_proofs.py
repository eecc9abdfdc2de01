"""Every rule has a proof that holds; and what is wrong with a proof is found, at its place."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from diagnose.catalogue.issues import Issue
from diagnose.catalogue.knowledge import load_knowledge
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.rule_proofs import shipped_proofs
from diagnose.errors import Mistakes
from diagnose.reasoning.rules.proofs import proof_issues
from tests import once

SOUND = Path(__file__).parents[2] / "broken_knowledge" / "sound"

WRONG = {
    "does not fire": (
        "{fuse-holder-look: corroded}, concludes: holder-suspected}",
        "{fuse-holder-look: clean}, concludes: holder-suspected}",
        ("rules[1].proof", "R001 does not fire: seen fuse-holder-look is clean"),
    ),
    "another finding": (
        "concludes: holder-suspected",
        "concludes: holder-sound",
        ("rules[1].proof.concludes", "R001 should conclude this, and says 'holder-suspected'"),
    ),
    "a test that is not kept off": (
        "[resistance fuse.in fuse.out]",
        "[voltage fuse.in fuse.out calling]",
        ("rules[2].proof.concludes[1]", "does not keep it off"),
    ),
    "another caution": ("concludes: hot-part", "concludes: cold-part", ("says 'hot-part'",)),
    "another stop": ("concludes: too-hot", "concludes: too-cold", ("says 'too-hot'",)),
    "another answer": ("concludes: fuse-holder-look", "concludes: flow", ("'fuse-holder-look'",)),
    "another cause": ("concludes: heat}", "concludes: cold}", ("says 'heat'",)),
    "not silent": (
        "silent: [{seen: {main-fuse-element: open}}]",
        "silent: [{seen: {main-fuse-element: intact}}]",
        ("rules[2].proof.silent[1]", "R101 should keep silent here, and fires"),
    ),
    "an unless that nothing shows": (
        "silent: [{seen: {main-fuse-element: open}}]",
        "silent: [{seen: {fuse-holder-look: clean}}]",
        ("rules[2].unless[1]", "no silent situation of its proof has this"),
    ),
    "an answer that there is not": (
        "{fuse-holder-look: corroded}, concludes",
        "{fuse-holder-look: green}, concludes",
        ("rules[1].proof.seen.fuse-holder-look", "'green'"),
    ),
    "a reading that cannot be": (
        "temperature fuse-holder = 55 degC",
        "temperature fuse-holder = 5500 degC",
        ("rules[3].proof.read[1]", "not possible here"),
    ),
    "a suspect of other rigs": (
        "rig: spare, suspects: {main-fuse-blown",
        "rig_file: {feed: [master_switch], pump: {current: 9 A}}, suspects: {main-fuse-blown",
        ("rules[6].proof.suspects.main-fuse-blown", "failure mode of this rig"),
    ),
}
"""A change in the proofs of the sound knowledge, and what is said of it."""

UNREADABLE = {
    "rig": ("rig: spare, seen: {fuse-holder-look: corroded}", "rig: spar, seen: {}", "'spare'"),
    "strength": ("{main-fuse-blown: leading}", "{main-fuse-blown: first}", "strength"),
    "suspect": ("{main-fuse-blown: leading}", "{main-fuse-blow: leading}", "'main-fuse-blown'"),
    "key": ("concludes: hot-part", "conclude: hot-part", "called 'conclude'"),
    "nothing": ("concludes: [resistance fuse.in fuse.out]", "concludes: []", "must conclude"),
}


def issues_of(folder: Path) -> tuple[Issue, ...]:
    known = load_knowledge(folder)
    return proof_issues(known.rules, known.proofs, known.catalogue)


def spoilt(tmp_path: Path, old: str, new: str) -> Path:
    """The sound knowledge with one change in its rules."""
    folder = tmp_path / "knowledge"
    shutil.copytree(SOUND, folder)
    rules = folder / "rules" / "all.yaml"
    text = rules.read_text("utf-8")
    assert old in text
    rules.write_text(text.replace(old, new, 1), "utf-8")
    return folder


def test_every_rule_of_the_book_has_a_proof() -> None:
    assert [proof.rule for proof in shipped_proofs()] == [rule.id for rule in shipped_rules()]


def test_every_proof_of_the_book_holds() -> None:
    issues = once.proofs_that_fail()

    assert not issues, "\n".join(map(str, issues))


def test_sound_proofs_hold() -> None:
    assert issues_of(SOUND) == ()


@pytest.mark.parametrize("mistake", WRONG)
def test_a_proof_that_fails_is_found_at_its_place(tmp_path: Path, mistake: str) -> None:
    old, new, said = WRONG[mistake]

    issues = issues_of(spoilt(tmp_path, old, new))

    found = [one for one in issues if all(words in str(one) for words in said)]
    assert len(found) == 1, issues
    assert str(found[0]).startswith("must-fix P701: ")
    assert found[0].place is not None
    assert found[0].place.line


@pytest.mark.parametrize("mistake", UNREADABLE)
def test_a_proof_that_cannot_be_read_is_refused(tmp_path: Path, mistake: str) -> None:
    old, new, said = UNREADABLE[mistake]

    with pytest.raises(Mistakes, match=said):
        issues_of(spoilt(tmp_path, old, new))
