"""A study as text: Markdown to read, JSON to compute with."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from dataclasses import asdict

from diagnose.study.run import AS_THEY_COME, Findings
from diagnose.study.tally import SURE, Figures

WEAK, FEWEST = 0.6, 5
"""A failure mode below this share needs a reason; with fewer cases than this nothing is said."""

AT_HOME = (
    "Each rig differs from its rig file: wire by 15 %, constants of coil and motor by 20 %, "
    "contacts, battery and nozzle too; severities reach 15 % beyond the book's range; meters have "
    "errors. The circuit laws are those the tool itself reasons with: what they leave out, this "
    "world cannot show. "
)
AGAIN_NOTE = (
    '"Above" is the share right of the same cases under the terms of the first line; the gap is '
    "the mean stated probability less the share right.\n"
)
CALIBRATION_NOTE = (
    "Brier score of the verdict {brier:.4f} = reliability {reliability:.4f} - resolution "
    "{resolution:.4f} + uncertainty {uncertainty:.4f}, within bins.\n"
)
WHY_WEAK = (
    "- {mode}: {right.hits} of {n} right. Taken for: {taken}. {sure_wrong} of {wrong} wrong "
    f"verdicts were stated at {SURE:.2f} or above. {{short}} walks ended below that with "
    "{entropy:.2f} bit left to know, of which the best test left would give {bits:.2f}; after "
    "every test left, {then_right} of them are right."
)

MEASURES = "measure | figure"
QUESTIONS = "{questions:g} ({mean_questions:.1f})"
HEADLINE = f"""\
right repair first | {{right}}
right, or named as the cause behind what is named first | {{or_behind}}
right repair among the first three | {{top3}}
right failure mode first | {{mode}}
right failure mode among the first three | {{mode_top3}}
right repair first, mean over failure modes | {{even:.3f}}
right failure mode first, mean over failure modes | {{even_mode:.3f}}
questions after the complaint, median (mean) | {QUESTIONS}
minutes, mean | {{minutes:.1f}}
repairs tried until the right one, mean | {{tried:.2f}}
isolation utility of the failure modes named, mean | {{isolation:.3f}}
stated probability less share right | {{gap:+.3f}}
expected calibration error, 10 bins | {{error:.3f}}
Brier score over failure modes (over repairs) | {{brier:.3f}} ({{repair_brier:.3f}})
log loss over failure modes (over repairs), nat | {{log_loss:.3f}} ({{repair_log_loss:.3f}})"""
LIMITS = f"""\
verdicts stated at {SURE:.2f} or above that are right | {{sure}}
their mean stated probability | {{sure_stated:.3f}}
walks that ended below it | {{short}}
of these, right | {{short_right}}
their mean stated probability | {{short_stated:.3f}}
left to know about their repair, mean | {{entropy:.2f}} bit
the most that one more test would teach, mean | {{bits:.2f}} bit in {{minutes:.1f}} min
tests left, mean | {{asked:.0f}}, {{all_minutes:.0f}} min in all
right after every one of them | {{then_right}}
mean stated probability then | {{then_stated:.3f}}"""
UNKNOWN = f"""\
not in the book is named first | {{leads}}
not in the book at 0.2 or above | {{shown}}
right repair named all the same | {{mended}}
another cause stated at {SURE:.2f} or above | {{sure}}"""
TWO = """\
one of the two repairs named first | {one_first}
one of the two among the first three | {one}
both among the first three | {both}
stated probability, mean | {stated:.3f}
not in the book is named first | {other_leads}"""


def markdown(summary: Figures, laws: str = AT_HOME) -> str:
    """The whole report; laws: a word on those by which the rigs fail."""
    lines = [
        *_terms(summary, laws),
        "## In short\n",
        *table(MEASURES, HEADLINE, [summary["whole"] | summary]),
        "## Stated probability against what was right\n",
        *table(
            "stated | cases | mean stated | right",
            "{low:.1f} to {high:.1f} | {n} | {stated:.3f} | {right:.3f}",
            map(asdict, summary["table"]),
        ),
        CALIBRATION_NOTE.format_map(asdict(summary["parts"])),
        *_again(summary),
        *_limits(summary),
        *_beyond(summary),
        "## By kind of rig\n",
        *table(
            "rigs | right | top 3 | gap | questions",
            f"{{name}} | {{right}} | {{top3:.3f}} | {{gap:+.3f}} | {QUESTIONS}",
            [one | {"name": name} for name, one in summary["groups"].items()],
        ),
        *_weak(summary),
        "## By failure mode, worst first\n",
        *modes_table(summary["modes"]),
    ]
    return "\n".join(lines).rstrip() + "\n"


def as_json(summary: Figures, found: Findings) -> str:
    """The summary, and every case with its answers."""
    cases = [
        asdict(case) | {"right": case.played.right}
        for case in found.cases
        if case.drawn != AS_THEY_COME or case.terms == summary["plan"].main.name
    ]
    whole = {"summary": summary, "cases": cases, "held_out": found.held}
    return json.dumps(whole, ensure_ascii=False, default=asdict) + "\n"


def table(head: str, row: str, of: Iterable[Figures]) -> list[str]:
    """A row, or some, for each of these figures."""
    rows = [line for one in of for line in row.format_map(one).splitlines()]
    lines = [head, " | ".join(["---"] * (head.count("|") + 1)), *rows]
    return [f"| {line} |" for line in lines] + [""]


def _terms(summary: Figures, laws: str) -> Iterator[str]:
    """What was played, and by which laws."""
    plan = summary["plan"]
    often = "evenly" if plan.evenly else "as often as the book says"
    yield "# Accuracy study\n"
    yield (
        f"Invented faults: {plan.cases}, on {plan.rigs} invented rigs, seed {plan.seed}; "
        f"{plan.wrong:.0%} of answers plainly wrong. "
        f"{laws}"
        f"Failure modes come {often}; only faults that somebody would complain of are played. "
        "Brackets hold 95 % Wilson intervals.\n"
    )


def _again(summary: Figures) -> list[str]:
    first = {"as stated above": {"score": summary["whole"], "beside": summary["whole"]}}
    terms = (first | summary["again"]).items()
    return [
        "## Other people, other rigs, other ways of asking\n",
        *table(
            "terms | right | above | top 3 | stated | gap | questions | minutes",
            "{name} | {right} | {above:.3f} | {top3:.3f} | {stated:.3f} | {gap:+.3f} | "
            f"{QUESTIONS} | {{minutes:.1f}}",
            [one["score"] | {"name": n, "above": one["beside"]["right"]} for n, one in terms],
        ),
        AGAIN_NOTE,
    ]


def _limits(summary: Figures) -> list[str]:
    found = summary["limits"]
    under = {"as stated above": found} | {n: one["limits"] for n, one in summary["again"].items()}
    short = "{name} | {short} | {short_right:.3f} | {then_right:.3f}"
    return [
        "## What limits it\n",
        *table(MEASURES, LIMITS, [found]),
        "Why they ended:\n",
        *(f"- {reason}: {count}" for reason, count in found["reasons"]),
        "\nThe same under other terms:\n",
        *table(
            "terms | ended below | right | right after every test left",
            short,
            [one | {"name": name} for name, one in under.items()],
        ),
    ]


def _beyond(summary: Figures) -> list[str]:
    """What was played beside the walks: faults out of the book, two at once."""
    lines: list[str] = []
    for key, title, rows in (
        ("unknown", "Faults taken out of the book", UNKNOWN),
        ("two", "Two faults at once", TWO),
    ):
        if (found := summary[key]) is not None:
            lines += [f"## {title} ({found['n']} cases)\n", *table(MEASURES, rows, [found])]
    return lines


def modes_table(modes: Iterable[Figures]) -> list[str]:
    """One row a failure mode."""
    return table(
        "failure mode | right repair | right mode | stated | questions | taken for",
        "{mode} | {right} | {same_mode:.2f} | {stated:.2f} | {questions:g} | {taken}",
        [row | {"taken": _taken(row)} for row in modes],
    )


def _taken(row: Figures) -> str:
    return ", ".join(f"{name} {count}" for name, count in row["taken_for"])


def weak(row: Figures) -> bool:
    return bool(row["n"] >= FEWEST and row["right"].value < WEAK)


def _weak(summary: Figures) -> list[str]:
    """What the cases themselves show as the reason."""
    few = [row["mode"] for row in summary["modes"] if row["n"] < FEWEST]
    found = [row for row in summary["modes"] if weak(row)]
    more = [{"taken": _taken(row), "wrong": row["n"] - row["right"].hits} for row in found]
    why = [WHY_WEAK.format_map(row | two) for row, two in zip(found, more, strict=True)]
    lines = [f"## Failure modes below {WEAK:g}\n", *(why or ["None."])]
    if few:
        lines += ["", f"Fewer than {FEWEST} cases, so nothing is said: {', '.join(few)}."]
    if summary["unnoticed"]:
        lines += ["", f"Nobody ever complained of: {', '.join(summary['unnoticed'])}."]
    return [*lines, ""]
