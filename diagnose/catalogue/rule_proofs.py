"""Reading the proofs of the rules: a rig and a few answers, and what the rule says of them.

They stand beside the rules in knowledge/rules/*.yaml and are read by `lint` and by the tests alone,
so that no walk pays for them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import RuleWords, rule_words
from diagnose.catalogue.rule_records import STRENGTHS
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig, read_rig, rig_in
from diagnose.documents import Section, load
from diagnose.errors import BadDocument, DiagnoseError, Mistakes, Place, UnknownName, nearest
from diagnose.figures import knowledge_folder

Placed = tuple[str, Place]
"""A text of a file, and where it stands."""


@dataclass(frozen=True)
class Situation:
    """What is known on one rig.

    seen: observation to its answer; read: readings as `reading = value`; suspects: failure mode to
    how it stands, "leading" or "likely"; all with their places.
    """

    rig: Rig
    seen: Mapping[str, Placed]
    read: tuple[Placed, ...]
    suspects: Mapping[str, Placed]
    place: Place


@dataclass(frozen=True)
class Proof:
    """The situation in which a rule must speak, what it must say, and where it keeps silent.

    concludes: a finding's sentence, the tests that are kept off, the caution, stop or answer, or
    words of the root cause; silent: situations in which the rule must not fire.
    """

    rule: str
    holds: Situation
    concludes: tuple[Placed, ...]
    silent: tuple[Situation, ...]
    place: Place


@cache
def shipped_proofs() -> tuple[Proof, ...]:
    """The proofs of the rules that come with the program, read once."""
    folder = knowledge_folder()
    return load_proofs(folder / "rules", folder / "rigs", rule_words(shipped_catalogue()))


def load_proofs(folder: Path, rigs: Path, words: RuleWords) -> tuple[Proof, ...]:
    """Every proof below `folder`, by the id of its rule; a rule without one is left out.

    rigs: the folder of the rigs that proofs name. Raises Mistakes with all problems of all files.
    """
    proofs: list[Proof] = []
    problems: list[DiagnoseError] = []
    reader = _Reader(words, rigs)
    for path in sorted(folder.glob("*.yaml")):
        try:
            proofs += reader.file(path)
        except DiagnoseError as error:
            problems += Mistakes([error]).problems
    if problems:
        raise Mistakes(problems)
    return tuple(sorted(proofs, key=lambda one: one.rule))


@dataclass
class _Reader:
    """Reads proofs; a rig that several of them name is read once."""

    words: RuleWords
    rigs: Path
    _known: dict[str, Rig] = field(default_factory=dict)

    def file(self, path: Path) -> list[Proof]:
        document = load(path)
        proofs = []
        for entry in document.sections("rules"):
            for key in entry:
                entry.raw(key)
            if entry.has("proof"):
                proofs.append(self._proof(entry))
        document.finish()
        return proofs

    def _proof(self, entry: Section) -> Proof:
        part = entry.section("proof")
        holds = self._situation(part, None)
        return Proof(
            rule=entry.text("id"),
            holds=holds,
            concludes=_concludes(part),
            silent=tuple(self._situation(one, holds) for one in part.sections("silent", ())),
            place=part.place,
        )

    def _situation(self, part: Section, before: Situation | None) -> Situation:
        """What a section tells; before: the situation that it changes."""
        return Situation(
            rig=self._rig(part, before.rig if before else None),
            seen={**(before.seen if before else {}), **_pairs(part, "seen")},
            read=(*(before.read if before else ()), *part.placed("read")),
            suspects={**(before.suspects if before else {}), **self._suspects(part)},
            place=part.place,
        )

    def _rig(self, part: Section, before: Rig | None) -> Rig:
        if part.has("rig_file"):
            return rig_in(part.section("rig_file"))
        if before is not None and not part.has("rig"):
            return before
        return self._called(part, part.text("rig"))

    def _called(self, part: Section, name: str) -> Rig:
        """A rig of the folder by its name; some other, with a problem noted, if there is none."""
        names = sorted(path.stem for path in self.rigs.glob("*.yaml"))
        if name not in names:
            if name:
                part.problem(UnknownName("rig", name, part.place_of("rig"), nearest(name, names)))
            return open_rig(bundled_rigs()[0])
        if name not in self._known:
            self._known[name] = read_rig(load(self.rigs / f"{name}.yaml"))
        return self._known[name]

    def _suspects(self, part: Section) -> dict[str, Placed]:
        found = _pairs(part, "suspects")
        for name, (strength, place) in found.items():
            if name not in self.words.failure_modes:
                near = nearest(name, self.words.failure_modes)
                part.problem(UnknownName("failure mode", name, place, near))
            if strength not in STRENGTHS:
                part.problem(UnknownName("strength", strength, place, "", STRENGTHS))
        return found


def _pairs(part: Section, key: str) -> dict[str, Placed]:
    """A mapping of names to words, each with its place; empty where there is none."""
    inside = part.section(key, default=None)
    if inside is None:
        return {}
    return {name: (inside.text(name), inside.place_of(name)) for name in inside}


def _concludes(part: Section) -> tuple[Placed, ...]:
    """One text, or a list of them."""
    if isinstance(part.raw("concludes"), list):
        found = part.placed("concludes")
    else:
        found = ((part.text("concludes"), part.place_of("concludes")),)
    if not found:
        place = part.place_of("concludes")
        part.problem(BadDocument("say what the rule must conclude.", place))
    return found
