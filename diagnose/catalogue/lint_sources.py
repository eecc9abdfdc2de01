"""Checks on figures, on where things come from, on cautions, and on the texts themselves: nothing
that a screen, a page or a stranger would choke on."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

from diagnose.annotations import Of
from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.catalogue.records import Quantity
from diagnose.catalogue.rule_records import ThenCaution
from diagnose.errors import Place, quoted
from diagnose.figures import BASIS, Figure, Table
from diagnose.record_places import under


@check("K801", Severity.MUST_FIX)
def what_was_seen_names_where(knowledge: Knowledge) -> Found:
    """A figure said to be seen rests on a source that was seen itself."""
    known = knowledge.catalogue.sources
    for place, names in _seen(knowledge):
        if not any(known[name].basis == "seen" for name in names if name in known):
            yield place, "said to be seen, but no source of it was"


def _seen(knowledge: Knowledge) -> Iterator[tuple[Place, tuple[str, ...]]]:
    """Every basis `seen` outside sources.yaml, with the sources it can rest on."""
    for place, basis, entry in knowledge.every(BASIS):
        if basis == "seen":
            yield place, _sources(entry)


def _sources(entry: Any) -> tuple[str, ...]:
    alone = isinstance(entry, Quantity | Figure | Table)
    found: tuple[str, ...] = (entry.source,) if alone else getattr(entry, "sources", ())
    return found


@check("K802", Severity.SHOULD_FIX)
def judgement_is_called_one(knowledge: Knowledge) -> Found:
    """A figure that rests on an estimate alone has the basis estimate, and no better one."""
    for figure in knowledge.sourced:
        if figure.source == "estimate" and figure.basis != "estimate":
            yield under(figure.place, "basis"), "its source is an estimate, so is the figure"


@check("K803", Severity.SHOULD_FIX)
def source_can_be_found_again(knowledge: Knowledge) -> Found:
    """A source that was seen says in its note where."""
    for source in knowledge.catalogue.sources.values():
        if source.basis == "seen" and not source.note.strip():
            yield under(source.place, "note"), "say where it was seen, so that it is found again"


@check("K804", Severity.NOTE)
def source_is_used(knowledge: Knowledge) -> Found:
    """Every source is referred to by something."""
    used = {name for _, name, _ in knowledge.every(Of("source"))}
    used.update(name for rule in knowledge.rules for name in rule.sources)
    for source in knowledge.catalogue.sources.values():
        if source.id not in used:
            yield source.place, "nothing refers to this source"


@check("K805", Severity.NOTE)
def caution_is_used(knowledge: Knowledge) -> Found:
    """Every caution is referred to by an entry or given by a rule."""
    used = {name for _, name, _ in knowledge.every(Of("caution"))}
    raised = (rule.then for rule in knowledge.rules)
    used.update(then.caution for then in raised if isinstance(then, ThenCaution))
    for caution in knowledge.catalogue.cautions.values():
        if caution.id not in used:
            yield caution.place, "no entry refers to this caution, and no rule gives it"


@check("K806", Severity.MUST_FIX)
def caution_has_a_source(knowledge: Knowledge) -> Found:
    """A caution says where it comes from."""
    for caution in knowledge.catalogue.cautions.values():
        if not caution.sources:
            yield under(caution.place, "sources"), "name where this caution comes from"


@check("K807", Severity.MUST_FIX)
def table_is_even(knowledge: Knowledge) -> Found:
    """Every row of a table has a cell for every column."""
    for table in knowledge.figures.tables.values():
        if not table.rows:
            yield under(table.place, "rows"), "a table has rows"
        for number, row in enumerate(table.rows, 1):
            if len(row) != len(table.columns):
                place = under(table.place, "rows", number)
                yield place, f"has {len(row)} cells for {len(table.columns)} columns"


_MARKUP = re.compile(r"\[/?[A-Za-z#@][^\[\]]*\]|</?[A-Za-z][^<>]*>")
_BRAND = re.compile("[\u2122\u00ae\u00a9\u2120\u2117]")
_MACHINE = re.compile(r"(?<![\w.])/(?:home|root|tmp|usr|var|work|mnt|Users)/|\b[A-Za-z]:\\|file://")


def _found(knowledge: Knowledge, pattern: re.Pattern[str]) -> Iterator[tuple[Place, str]]:
    for place, text in knowledge.written.texts():
        if found := pattern.search(text):
            yield place, quoted(found[0])


@check("K901", Severity.MUST_FIX)
def no_markup(knowledge: Knowledge) -> Found:
    """No text holds what a screen or a page would take for markup."""
    for place, text in _found(knowledge, _MARKUP):
        yield place, f"{text} would be taken for markup; use round brackets"


@check("K902", Severity.MUST_FIX)
def no_invisible_characters(knowledge: Knowledge) -> Found:
    """No text holds control characters or invisible ones."""
    for place, text in knowledge.written.texts():
        hidden = next((c for c in text if not c.isprintable() and c != "\n"), None)
        if hidden:
            yield place, f"holds the character {quoted(hidden)}, which cannot be seen"


@check("K903", Severity.MUST_FIX)
def no_brand_signs(knowledge: Knowledge) -> Found:
    """No text holds a sign of trade mark or copyright: nobody's product is named here."""
    for place, text in _found(knowledge, _BRAND):
        yield place, f"{text} belongs to somebody's name; say what the part does instead"


@check("K904", Severity.MUST_FIX)
def no_machine_paths(knowledge: Knowledge) -> Found:
    """No text holds a path of the machine it was written on."""
    for place, text in _found(knowledge, _MACHINE):
        yield place, f"{text} is a path of somebody's machine"
