"""The command lint: every check on the knowledge, one line an issue."""

from __future__ import annotations

from collections import Counter

from diagnose.catalogue.issues import Issue, Severity
from diagnose.catalogue.lint import CHECKS, lint_folder
from diagnose.terminal.plain import MISTAKE, Screen

STYLES = {Severity.MUST_FIX: "bold red", Severity.SHOULD_FIX: "yellow", Severity.NOTE: ""}


def linted() -> int:
    """Show what was found. Exit status 0 when nothing has to be mended."""
    screen, issues = Screen.standard(), lint_folder()
    for issue in issues:
        screen.line(str(issue), STYLES[issue.severity])
    screen.say(_summary(issues))
    return MISTAKE if any(issue.severity is Severity.MUST_FIX for issue in issues) else 0


def _summary(issues: tuple[Issue, ...]) -> str:
    count = Counter(issue.severity for issue in issues)
    found = ", ".join(f"{count[one]} {one}" for one in Severity if count[one])
    return f"{len(CHECKS)} checks: {found or 'nothing found'}."
