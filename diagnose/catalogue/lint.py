"""`diagnose lint`: every check on the knowledge, run at once; nothing is drawn here."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from diagnose.catalogue import (
    lint_effects,
    lint_modes,
    lint_names,
    lint_rules,
    lint_safety,
    lint_sources,
    lint_tests,
)
from diagnose.catalogue.issues import Check, Issue, Severity
from diagnose.catalogue.knowledge import Knowledge, load_knowledge
from diagnose.errors import DiagnoseError, Mistakes
from diagnose.figures import knowledge_folder

_THEMES = (
    lint_names,
    lint_effects,
    lint_modes,
    lint_tests,
    lint_rules,
    lint_sources,
    lint_safety,
)
CHECKS: tuple[Check, ...] = tuple(
    sorted(
        (each for theme in _THEMES for each in vars(theme).values() if isinstance(each, Check)),
        key=lambda each: each.code,
    )
)
"""Every check, by code."""

UNREADABLE = "K001"
"""Code of what the readers themselves refuse: the files do not make a knowledge at all."""


def lint(knowledge: Knowledge) -> tuple[Issue, ...]:
    """Every issue of knowledge that could be read; the worst first, then by place."""
    return _sorted(issue for each in CHECKS for issue in each(knowledge))


def lint_folder(folder: Path | None = None) -> tuple[Issue, ...]:
    """Every issue of a knowledge folder (default: the shipped one). What cannot be read is an
    issue too, and then the only kind, since the checks need all of it."""
    try:
        return lint(load_knowledge(folder or knowledge_folder()))
    except DiagnoseError as problem:
        return _sorted(map(_unreadable, Mistakes([problem]).problems))


def _unreadable(problem: DiagnoseError) -> Issue:
    return Issue(UNREADABLE, Severity.MUST_FIX, problem.place, problem.message)


def _sorted(issues: Iterable[Issue]) -> tuple[Issue, ...]:
    return tuple(sorted(set(issues), key=_order))


def _order(issue: Issue) -> tuple[int, str, int, str, str]:
    file = issue.place.file if issue.place else ""
    line = issue.place.line or 0 if issue.place else 0
    return list(Severity).index(issue.severity), file, line, issue.code, issue.text
