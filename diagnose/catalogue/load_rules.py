"""Reading knowledge/rules/*.yaml: every mistake of every file at once, each with its place."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from fnmatch import fnmatchcase
from functools import cache
from pathlib import Path
from typing import cast

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.rule_records import (
    KINDS,
    OBSERVED,
    PARTS,
    RIG_FACTS,
    Condition,
    Consequence,
    Kind,
    RuleRecord,
    RuleWords,
    ThenBlock,
    ThenCaution,
    ThenFinding,
    ThenReject,
    ThenRootCause,
    ThenStop,
)
from diagnose.documents import Section, load
from diagnose.errors import BadDocument, DiagnoseError, Mistakes, UnknownName, nearest
from diagnose.figures import knowledge_folder

_CALLED: dict[Kind, str] = {
    "seen": "observation",
    "reading": "reading",
    "rig": "rig fact",
    "finding": "finding",
    "suspect": "failure mode",
}


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


def _file(path: Path, words: RuleWords) -> list[RuleRecord]:
    document = load(path)
    rules = [_rule(entry, words) for entry in document.sections("rules")]
    document.finish()
    return rules


def _rule(entry: Section, words: RuleWords) -> RuleRecord:
    rule = RuleRecord(
        id=entry.text("id"),
        title=entry.text("title"),
        when=_conditions(entry, "when", words),
        unless=_conditions(entry, "unless", words),
        then=_consequence(entry.section("then"), words),
        because=entry.text("because"),
        sources=entry.texts("sources"),
        place=entry.place,
    )
    entry.has("proof")  # read where it is wanted: read_proofs.py
    for source in rule.sources:
        _known("source", source, words.sources, entry, "sources")
    for complaint in _complaints(rule):
        entry.problem(BadDocument(f"rule {rule.id}: {complaint}", entry.place))
    return rule


def _known(what: str, name: str, names: Collection[str], section: Section, key: str) -> None:
    if name not in names:
        place = section.place_of(key)
        section.problem(UnknownName(what, name, place, nearest(name, names)))


def _only_key(section: Section, keys: Collection[str]) -> str | None:
    """The one of `keys` that the section has; None, with a problem noted, for none or several."""
    found = [key for key in keys if section.has(key)]
    if len(found) == 1:
        return found[0]
    for key in section:
        section.raw(key)
    had = ", ".join(found or section) or "nothing"
    section.problem(
        BadDocument(f"give exactly one of {', '.join(keys)}; here is {had}.", section.place)
    )
    return None


def _conditions(entry: Section, key: str, words: RuleWords) -> tuple[Condition, ...]:
    parts = entry.sections(key, default=())
    return tuple(filter(None, (_condition(part, key, words) for part in parts)))


def _condition(part: Section, under: str, words: RuleWords) -> Condition | None:
    key = _only_key(part, KINDS)
    if key is None:
        return None
    kind = cast(Kind, key)
    condition = Condition(kind, part.text(key), part.texts("is", default=()))
    if under == "unless" and kind not in OBSERVED:
        part.problem(_unless_of_a_conclusion(part, key))
    if kind != "finding":
        _check_words(part, key, condition, words)
    elif condition.values:
        part.problem(
            BadDocument(f"{part.place_of('is')}: a finding is there or not; leave out is.")
        )
    return condition


def _unless_of_a_conclusion(part: Section, key: str) -> BadDocument:
    return BadDocument(
        f"{key} under unless asks whether something was not concluded, which would depend on the"
        " order of the rules; name what was seen, a reading or a rig fact.",
        part.place_of(key),
    )


def _check_words(part: Section, key: str, condition: Condition, words: RuleWords) -> None:
    names = words.names(condition.kind)
    _known(_CALLED[condition.kind], condition.name, names, part, key)
    if condition.name in names:
        possible = words.values(condition.kind, condition.name)
        for value in condition.values:
            _known(f"value of {condition.name}", value, possible, part, "is")


def _consequence(then: Section, words: RuleWords) -> Consequence:
    key = _only_key(then, tuple(_READERS))
    return _READERS[key](then, words) if key else ThenFinding("")


def _finding(then: Section, words: RuleWords) -> Consequence:
    says = " ".join(then.text("says", default="").split())
    return ThenFinding(then.text("finding"), then.choice("part", PARTS, default=""), says)


def _block(then: Section, words: RuleWords) -> Consequence:
    part = then.section("block")
    block = ThenBlock(part.texts("tests"))
    for pattern in block.tests:
        if not any(fnmatchcase(test, pattern) for test in words.tests()):
            place = part.place_of("tests")
            part.problem(UnknownName("test", pattern, place, nearest(pattern, words.tests())))
    return block


def _caution(then: Section, words: RuleWords) -> Consequence:
    part = then.section("caution")
    caution = ThenCaution(part.text("id"))
    _known("caution", caution.caution, words.cautions, part, "id")
    return caution


def _stop(then: Section, words: RuleWords) -> Consequence:
    stop = ThenStop(then.text("stop"))
    _known("stop", stop.stop, words.stops, then, "stop")
    return stop


def _reject(then: Section, words: RuleWords) -> Consequence:
    part = then.section("reject")
    if _only_key(part, ("observation", "reading")) == "observation":
        reject = ThenReject("observation", part.text("observation"))
        _known("observation", reject.name, words.observations, part, "observation")
        return reject
    return ThenReject("reading", part.text("reading", default=""))


def _root_cause(then: Section, words: RuleWords) -> Consequence:
    part = then.section("root-cause")
    root = ThenRootCause(
        of=part.text("of"),
        cause=part.text("cause"),
        mend=part.text("mend"),
        prevention=part.text("prevention"),
        measure=part.text("measure", default=""),
    )
    if root.measure:
        _known("reading", root.measure, words.readings, part, "measure")
    return root


_READERS = {
    "finding": _finding,
    "block": _block,
    "caution": _caution,
    "stop": _stop,
    "reject": _reject,
    "root-cause": _root_cause,
}


def _complaints(rule: RuleRecord) -> Iterator[str]:
    """What is wrong with a rule as a whole."""
    then = rule.then
    if not re.fullmatch(r"R\d{3}", rule.id):
        yield "an id is R and three digits."
    if not rule.when and not (rule.unless and isinstance(then, ThenBlock)):
        yield "when must say what is there; only a block may rest on unless alone."
    if isinstance(then, ThenRootCause) and not _asks_for(rule, "suspect", then.of):
        yield f"a root cause of {then.of} needs the condition suspect: {then.of}."
    if isinstance(then, ThenFinding):
        yield from _of_what_is_said(rule, then)
    if isinstance(then, ThenStop) and any(one.kind == "finding" for one in rule.when):
        yield "a stop is raised by what was seen, read or suspected, not by a finding."
    if isinstance(then, ThenReject) and not _asks_for(rule, _KIND_OF[then.kind], then.name):
        yield f"it can only reject an answer it looks at; add a condition on {then.name}."


def _of_what_is_said(rule: RuleRecord, then: ThenFinding) -> Iterator[str]:
    """What is wrong with the sentence of a finding."""
    if bool(then.says) != bool(then.part):
        yield "says and part go together: the sentence, and what part of the rig it is about."
    if "{" in then.said("" for _ in then.figures) or "}" in then.said("" for _ in then.figures):
        yield "says has a brace too many; a reading stands between { and }."
    for figure in then.figures:
        if len(figure) > 2:
            yield "says can take one reading from another, and no more: {A less B}."
        for name in figure:
            if not _asks_for(rule, "reading", name):
                yield f"says names {name}, which is not among its conditions; add it, or leave it."


_KIND_OF: dict[str, Kind] = {"observation": "seen", "reading": "reading"}


def _asks_for(rule: RuleRecord, kind: Kind, name: str) -> bool:
    return any((condition.kind, condition.name) == (kind, name) for condition in rule.when)


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
