"""Reading knowledge/rules/*.yaml: every mistake of every file at once, each with its place."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from pathlib import Path

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.rule_records import RIG_FACTS, STRENGTHS, VERDICTS, Kind, RuleRecord
from diagnose.documents import load
from diagnose.errors import BadDocument, DiagnoseError, Mistakes, UnknownName, nearest
from diagnose.figures import knowledge_folder
from diagnose.record_reader import read_list


@dataclass(frozen=True)
class RuleWords:
    """Every name that a rule may use; whatever else it says is a mistake.

    observations and rig: name to its possible values. readings: as in knowledge/readings.yaml,
    for example "voltage motor+ motor- calling". failure_modes, cautions, sources, stops: ids.
    """

    observations: Mapping[str, tuple[str, ...]]
    rig: Mapping[str, tuple[str, ...]]
    readings: Collection[str]
    failure_modes: Collection[str]
    cautions: Collection[str]
    sources: Collection[str]
    stops: Collection[str] = ()

    def names(self, kind: str) -> Collection[str]:
        """The names of a kind; findings are checked across rules."""
        return self._by_kind.get(kind, ())

    @cached_property
    def _by_kind(self) -> Mapping[str, Collection[str]]:
        return {
            "observation": self.observations,
            "reading": self.readings,
            "rig fact": self.rig,
            "failure mode": self.failure_modes,
            "caution": self.cautions,
            "source": self.sources,
            "stop": self.stops,
            "test": self.tests(),
        }

    def values(self, kind: Kind, name: str) -> tuple[str, ...]:
        """The values that a fact of this kind and name can have."""
        if kind == "reading":
            return VERDICTS
        if kind == "suspect":
            return STRENGTHS
        return (self.observations if kind == "seen" else self.rig).get(name, ())

    def tests(self) -> frozenset[str]:
        """Every test that may be asked for: "observation relay-sound", "resistance fuse.in ..."."""
        return frozenset(self.readings) | {f"observation {name}" for name in self.observations}


def rule_words(catalogue: Catalogue) -> RuleWords:
    """The names that rules may use, from the rest of the knowledge."""
    return RuleWords(
        observations={one.id: tuple(one.options) for one in catalogue.observations.values()},
        rig=RIG_FACTS,
        readings=catalogue.readings.keys(),
        failure_modes=catalogue.failure_modes.keys(),
        cautions=catalogue.cautions.keys(),
        sources=catalogue.sources.keys(),
        stops=catalogue.stops.keys(),
    )


@cache
def shipped_rules() -> tuple[RuleRecord, ...]:
    """The rules that come with the program, read once."""
    return load_rules(knowledge_folder() / "rules", rule_words(shipped_catalogue()))


def load_rules(folder: Path, words: RuleWords) -> tuple[RuleRecord, ...]:
    """Every rule below `folder`, by id. Raises Mistakes with all problems of all files."""
    rules: list[RuleRecord] = []
    problems: list[DiagnoseError] = []
    for path in sorted(folder.glob("*.yaml")):
        try:
            rules += _file(path, words)
        except Mistakes as mistakes:
            problems += mistakes.problems
        except DiagnoseError as error:
            problems.append(error)
    problems += _repeated(rules)
    if not problems:
        problems += _findings_nobody_gives(rules)
    if problems:
        raise Mistakes(tuple(problems))
    return tuple(sorted(rules, key=lambda rule: rule.id))


def _file(path: Path, words: RuleWords) -> tuple[RuleRecord, ...]:
    document = load(path)
    rules = read_list(RuleRecord, document, "rules", words)
    document.finish()
    return rules


def _repeated(rules: list[RuleRecord]) -> Iterator[DiagnoseError]:
    first: dict[str, RuleRecord] = {}
    for rule in rules:
        if rule.id in first:
            yield BadDocument(
                f"there is a rule {rule.id} already ({first[rule.id].place});"
                " give this one a number of its own.",
                rule.place,
            )
        first.setdefault(rule.id, rule)


def _findings_nobody_gives(rules: list[RuleRecord]) -> Iterator[DiagnoseError]:
    given = {rule.finding for rule in rules if rule.finding}
    for rule in rules:
        for condition in rule.when:
            if condition.kind == "finding" and condition.name not in given:
                close = nearest(condition.name, given)
                yield UnknownName("finding", condition.name, rule.place, close)
