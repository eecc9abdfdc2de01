"""The command lint: every check on the knowledge, one line an issue."""

from __future__ import annotations

from collections import Counter

from diagnose.catalogue.issues import Issue, Severity
from diagnose.catalogue.lint import CHECKS, lint_folder
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.read_proofs import shipped_proofs
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.reasoning.rules.proofs import proof_issues
from diagnose.terminal.plain import MISTAKE, Screen, patience

CHECKED = len(CHECKS) + 1
"""How many checks are always made: those of the files, and that the rules' proofs hold."""

STYLES = {Severity.MUST_FIX: "bold red", Severity.SHOULD_FIX: "yellow", Severity.NOTE: ""}


def linted(quick: bool) -> int:
    """Show what was found. quick: without what is computed from the predictions. Exit status 0
    when nothing has to be mended."""
    screen, issues = Screen.standard(), _issues()
    _show(screen, issues)
    if any(issue.severity is Severity.MUST_FIX for issue in issues):
        screen.say(_summary(issues, CHECKED))
        return MISTAKE
    computed, checks = ((), 0) if quick else _computed()
    _show(screen, computed)
    screen.say(_covered())
    screen.say(_summary((*issues, *computed), CHECKED + checks))
    return 0


def _issues() -> tuple[Issue, ...]:
    """What the files say wrong, and once they can be used, the rules whose proof fails."""
    issues = lint_folder()
    if any(issue.severity is Severity.MUST_FIX for issue in issues):
        return issues
    return (*proof_issues(shipped_rules(), shipped_proofs(), shipped_catalogue()), *issues)


def _show(screen: Screen, issues: tuple[Issue, ...]) -> None:
    for issue in issues:
        screen.line(str(issue), STYLES[issue.severity])


def _computed() -> tuple[tuple[Issue, ...], int]:
    """What the predictions say of the book as a whole, and of how many checks."""
    from diagnose.audit.limits import CODES, bundled, limits
    from diagnose.bench import Shop

    with patience("working out what no test separates"):
        return limits(bundled(Shop.shipped())), len(CODES)


def _covered() -> str:
    """How much of the vocabulary the book describes."""
    book, words = shipped_catalogue(), shipped_vocabulary()
    modes, observations = words.group_of.keys(), words.observations.keys()
    return (
        f"{len(modes & book.failure_modes.keys())} of {len(modes)} failure modes, "
        f"{len(observations & book.observations.keys())} of {len(observations)} observations, "
        f"{len(book.readings)} readings, {len(shipped_rules())} rules."
    )


def _summary(issues: tuple[Issue, ...], checks: int) -> str:
    count = Counter(issue.severity for issue in issues)
    found = ", ".join(f"{count[one]} {one}" for one in Severity if count[one])
    return f"{checks} checks: {found or 'nothing found'}."
