"""How good the knowledge is: the commands lint, every check on it, and study, invented faults."""

from __future__ import annotations

import sys
from collections import Counter
from dataclasses import replace
from pathlib import Path

from diagnose.audit.limits import CODES, bundled, limits
from diagnose.bench import Shop
from diagnose.casebook.disk import plain_trouble
from diagnose.casebook.outputs import check_free, write_out
from diagnose.catalogue.issues import Issue, Severity
from diagnose.catalogue.lint import CHECKS, lint_folder
from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.load_rules import shipped_rules
from diagnose.catalogue.rule_proofs import shipped_proofs
from diagnose.catalogue.vocabulary import shipped_vocabulary
from diagnose.errors import BadQuantity, Place
from diagnose.reasoning.rules.proofs import proof_issues
from diagnose.study.plan import Plan, full
from diagnose.study.plan import quick as quick_plan
from diagnose.study.report import as_json as report_json
from diagnose.study.report import markdown
from diagnose.study.run import study as run_study
from diagnose.study.tally import summary
from diagnose.terminal import options
from diagnose.terminal.plain import MISTAKE, Screen, counted, patience, spelled_out

CHECKED = len(CHECKS) + 1
"""How many checks are always made: those of the files, and that the rules' proofs hold."""

STYLES = {Severity.MUST_FIX: "bold red", Severity.SHOULD_FIX: "yellow", Severity.NOTE: ""}

MOST_CASES, MOST_WRONG = 100_000, 0.5
REPORTS = ("report.md", "report.json")


def lint(quick: bool) -> int:
    """Show what was found, one line an issue. Exit status 0 when nothing has to be mended."""
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


def study(
    cases: int = 2000,
    quick: bool = False,
    seed: int = 1,
    wrong: float = 0.05,
    evenly: bool = False,
    out: Path | None = None,
    force: bool = False,
    at: str = "",
    having: str = "",
    as_json: bool = False,
) -> None:
    """Play the study and print its report, or its JSON; `out` is a folder that gets both, in place
    of older ones with `force`.

    Raises BadQuantity for numbers out of range, UnknownName for what no person has, DiagnoseError
    when `out` cannot be written.
    """
    plan = asked_for(cases, quick, seed, wrong, evenly, options.able(at, having))
    if out is not None:
        with plain_trouble(out):
            out.mkdir(parents=True, exist_ok=True)
        for name in REPORTS:
            check_free(out / name, force)
    with counted("study", "cases") as progress:
        found = run_study(plan, progress)
    result = summary(plan, found)
    if out is not None:
        for name, text in zip(REPORTS, (markdown(result), report_json(result, found)), strict=True):
            write_out(out / name, text, force)
    spelled_out(sys.stdout)
    print(report_json(result, found) if as_json else markdown(result), end="")


def asked_for(
    cases: int, short: bool, seed: int, wrong: float, evenly: bool = False, able: str = ""
) -> Plan:
    """The plan that these options describe. Raises BadQuantity for numbers out of range."""
    if not 1 <= cases <= MOST_CASES:
        raise BadQuantity(f"{cases} cases: give a number from 1 to {MOST_CASES}", Place("--cases"))
    if not 0 <= wrong <= MOST_WRONG:
        raise BadQuantity(
            f"{wrong:g}: give a share of wrong answers from 0 to {MOST_WRONG:g}, such as 0.05",
            Place("--wrong"),
        )
    if seed < 0:
        raise BadQuantity(f"{seed}: give a whole number that is not negative", Place("--seed"))
    plan = quick_plan(seed, wrong) if short else full(cases, seed, wrong)
    return replace(plan, evenly=evenly, able=able, others=0 if able else plan.others)
