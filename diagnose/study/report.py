"""A study as text: Markdown to read, JSON to compute with."""

from __future__ import annotations

import json
from dataclasses import asdict

from diagnose.study.plan import BESIDE
from diagnose.study.report_worlds import elsewhere, terms, worlds
from diagnose.study.run import AS_THEY_COME, Findings
from diagnose.study.summary import Summary
from diagnose.study.tables import Row, mode_rows, questions, share_text, table
from diagnose.study.tally import FEWEST, SURE, WEAK, ByMode, Limits, Score


def markdown(summary: Summary) -> str:
    """The whole report."""
    parts = (
        terms(summary),
        worlds(summary),
        _headline(summary),
        _calibration(summary),
        _again(summary),
        _limits(summary),
        _optimum(summary),
        _beyond(summary),
        _groups(summary),
        _weak(summary),
        ["## By failure mode, worst first\n", *mode_rows(summary.modes)],
        elsewhere(summary),
    )
    return "\n".join(line for part in parts for line in part).rstrip() + "\n"


def _headline(summary: Summary) -> list[str]:
    whole = summary.whole
    rows = [
        ("right repair first", share_text(whole.right)),
        ("right, or named as the cause behind what is named first", share_text(whole.or_behind)),
        ("right repair among the first three", share_text(whole.top3)),
        ("right failure mode first", share_text(whole.mode)),
        ("right failure mode among the first three", share_text(whole.mode_top3)),
        ("right repair first, mean over failure modes", f"{summary.even:.3f}"),
        ("right failure mode first, mean over failure modes", f"{summary.even_mode:.3f}"),
        ("questions after the complaint, median (mean)", questions(whole)),
        ("minutes, mean", f"{whole.minutes:.1f}"),
        ("repairs tried until the right one, mean", f"{whole.tried:.2f}"),
        ("isolation utility of the failure modes named, mean", f"{whole.isolation:.3f}"),
        ("stated probability less share right", f"{whole.gap:+.3f}"),
        ("expected calibration error, 10 bins", f"{whole.error:.3f}"),
        ("Brier score over failure modes (over repairs)", _pair(whole.brier, whole.repair_brier)),
        (
            "log loss over failure modes (over repairs), nat",
            _pair(whole.log_loss, whole.repair_log_loss),
        ),
    ]
    return ["## In short\n", *table(("measure", "figure"), rows)]


def _pair(first: float, second: float) -> str:
    return f"{first:.3f} ({second:.3f})"


def _calibration(summary: Summary) -> list[str]:
    rows = [
        (f"{r.low:.1f} to {r.high:.1f}", str(r.n), f"{r.stated:.3f}", f"{r.right:.3f}")
        for r in summary.table
    ]
    parts = summary.parts
    return [
        "## Stated probability against what was right\n",
        *table(("stated", "cases", "mean stated", "right"), rows),
        f"Brier score of the verdict {parts.brier:.4f} = reliability {parts.reliability:.4f} - "
        f"resolution {parts.resolution:.4f} + uncertainty {parts.uncertainty:.4f}, within bins.\n",
    ]


def _again(summary: Summary) -> list[str]:
    rows = [_under("as stated above", summary.whole, summary.whole)]
    rows += [_under(name, one.score, one.beside) for name, one in summary.again.items()]
    head = ("terms", "right", "above", "top 3", "stated", "gap", "questions", "minutes")
    note = (
        '"Above" is the share right of the same cases under the terms of the first line; the gap '
        "is the mean stated probability less the share right.\n"
    )
    return ["## Other people, other rigs, other ways of asking\n", *table(head, rows), note]


def _under(name: str, found: Score, beside: Score) -> Row:
    return (
        name,
        share_text(found.right),
        f"{beside.right.value:.3f}",
        f"{found.top3.value:.3f}",
        f"{found.stated:.3f}",
        f"{found.gap:+.3f}",
        questions(found),
        f"{found.minutes:.1f}",
    )


def _limits(summary: Summary) -> list[str]:
    found = summary.limits
    rows = [
        (f"verdicts stated at {SURE:.2f} or above that are right", share_text(found.sure)),
        ("their mean stated probability", f"{found.sure_stated:.3f}"),
        ("walks that ended below it", share_text(found.short)),
        ("of these, right", share_text(found.short_right)),
        ("their mean stated probability", f"{found.short_stated:.3f}"),
        ("left to know about their repair, mean", f"{found.entropy:.2f} bit"),
        (
            "the most that one more test would teach, mean",
            f"{found.bits:.2f} bit in {found.minutes:.1f} min",
        ),
        ("tests left, mean", f"{found.asked:.0f}, {found.all_minutes:.0f} min in all"),
        ("right after every one of them", share_text(found.then_right)),
        ("mean stated probability then", f"{found.then_stated:.3f}"),
    ]
    why = [f"- {reason}: {count}" for reason, count in found.reasons]
    under = [_short("as stated above", found)]
    under += [_short(name, one.limits) for name, one in summary.again.items()]
    return [
        "## What limits it\n",
        *table(("measure", "figure"), rows),
        "Why they ended:\n",
        *why,
        "\nThe same under other terms:\n",
        *table(("terms", "ended below", "right", "right after every test left"), under),
        *_known(summary),
    ]


def _known(summary: Summary) -> list[str]:
    """What the answers held, whoever weighs them."""
    found = summary.known
    if found is None:
        return []
    note = (
        "The same answers were also weighed by one who knows how the cases were drawn: how rigs "
        "differ, how far severities reach, how people talk and how often they slip. "
        f"{summary.plan.crowd} rigs of each failure mode were drawn by the study's own laws, and "
        "each answer given its exact chance. Where that verdict is wrong too, the answers did not "
        "hold what it takes; how the tool weighs them is not the limit there.\n"
    )
    rows = [
        ("right repair first, by one who knows", share_text(found.right)),
        ("right repair first, by the tool", share_text(summary.whole.right)),
        ("right by both", share_text(found.both)),
        ("right repair among the first three, by one who knows", share_text(found.top3)),
        ("mean stated probability of one who knows", f"{found.stated:.3f}"),
        ("drawn rigs that a verdict rests on, in effect, median", f"{found.rigs:.0f}"),
    ]
    return [note, *table(("from the same answers", "figure"), rows)]


def _short(name: str, found: Limits) -> Row:
    ended = share_text(found.short)
    if not found.short_right.n:
        return (name, ended, "", "")
    return (name, ended, f"{found.short_right.value:.3f}", f"{found.then_right.value:.3f}")


def _optimum(summary: Summary) -> list[str]:
    found = summary.optimum
    if found is None:
        return []
    rows = [
        ("outcomes certain", f"{found.best:.2f}", f"{found.tool:.2f}", f"{found.dearer:+.1%}"),
        (
            "outcomes by chance, repairs in vain counted",
            f"{found.noisy_best:.2f}",
            f"{found.noisy_tool:.2f}",
            f"{found.noisy_dearer:+.1%}",
        ),
    ]
    return [
        "## Against the exact optimum\n",
        f"{found.n} subsets of 10 causes and 10 tests (6 where outcomes go by chance), solved by "
        f"dynamic programming. No policy can need less than {found.floor:.2f} min on average "
        f"(Huffman bound); repairs tried without any test would cost {found.in_vain:.0f} min.\n",
        *table(("expected minutes", "optimum", "tool", "dearer"), rows),
    ]


def _beyond(summary: Summary) -> list[str]:
    lines = []
    if (unknown := summary.unknown) is not None:
        rows = [
            ("not in the book is named first", share_text(unknown.leads)),
            ("not in the book at 0.2 or above", share_text(unknown.shown)),
            ("right repair named all the same", share_text(unknown.mended)),
            (f"another cause stated at {SURE:.2f} or above", share_text(unknown.sure)),
        ]
        title = f"## Faults taken out of the book ({unknown.n} cases)\n"
        lines += [title, *table(("measure", "figure"), rows)]
    if (two := summary.two) is not None:
        rows = [
            ("one of the two repairs named first", share_text(two.one_first)),
            ("one of the two among the first three", share_text(two.one)),
            ("both among the first three", share_text(two.both)),
            ("stated probability, mean", f"{two.stated:.3f}"),
            ("not in the book is named first", share_text(two.other_leads)),
        ]
        lines += [f"## Two faults at once ({two.n} cases)\n", *table(("measure", "figure"), rows)]
    return lines


def _groups(summary: Summary) -> list[str]:
    rows = [
        (name, share_text(s.right), f"{s.top3.value:.3f}", f"{s.gap:+.3f}", questions(s))
        for name, s in summary.groups.items()
    ]
    head = ("rigs", "right", "top 3", "gap", "questions")
    return ["## By kind of rig\n", *table(head, rows)]


def _weak(summary: Summary) -> list[str]:
    weak = [row for row in summary.modes if row.weak]
    few = [row.mode for row in summary.modes if row.n < FEWEST]
    lines = [f"## Failure modes below {WEAK:g}\n"]
    lines += [_why(row) for row in weak] or ["None."]
    if few:
        lines += ["", f"Fewer than {FEWEST} cases, so nothing is said: {', '.join(few)}."]
    if summary.unnoticed:
        lines += ["", f"Nobody ever complained of: {', '.join(summary.unnoticed)}."]
    return [*lines, ""]


def _why(row: ByMode) -> str:
    """What the cases themselves show as the reason."""
    taken = ", ".join(f"{name} {count}" for name, count in row.taken_for)
    wrong = row.n - row.right.hits
    return (
        f"- {row.mode}: {row.right.hits} of {row.n} right. Taken for: {taken}. {row.sure_wrong} of "
        f"{wrong} wrong verdicts were stated at {SURE:.2f} or above. {row.short} walks ended below "
        f"that with {row.entropy:.2f} bit left to know, of which the best test left would give "
        f"{row.bits:.2f}; after every test left, {row.then_right} of them are right."
    )


def as_json(summary: Summary, found: Findings) -> str:
    """The summary, and every case with its answers."""
    cases = [
        asdict(case) | {"right": case.played.right}
        for case in found.cases
        if case.drawn != AS_THEY_COME or case.terms in (summary.plan.main.name, BESIDE)
    ]
    held = [asdict(one) for one in found.held]
    whole = {"summary": asdict(summary), "cases": cases, "held_out": held}
    return json.dumps(whole, ensure_ascii=False) + "\n"
