"""The head of a study's report: its terms, and either world beside the other."""

from __future__ import annotations

from collections.abc import Iterator

from diagnose.study.plan import OTHER_WORLD
from diagnose.study.summary import Summary
from diagnose.study.tables import mode_rows, questions, share_text, table

AT_HOME = (
    "Each rig differs from its rig file: wire by 15 %, constants of coil and motor by 20 %, "
    "contacts, battery and nozzle too; severities reach 15 % beyond the book's range; meters have "
    "errors. The circuit laws are those the tool itself reasons with: what they leave out, this "
    "world cannot show. "
)
ELSEWHERE = (
    "The rigs fail by the laws of the other world: battery, motor, water, relay, fuse and heat, "
    "faults and people are written apart from what the tool reasons with. "
)
BESIDE = (
    "The other world has laws, faults and people of its own, written apart from those that the "
    "tool reasons with; only how often each failure mode comes is the same.\n"
)


def terms(summary: Summary) -> Iterator[str]:
    """What was played, and by which laws."""
    plan = summary.plan
    often = "evenly" if plan.evenly else "as often as the book says"
    yield "# Accuracy study\n"
    yield (
        f"Invented faults: {plan.cases}, on {plan.rigs} invented rigs, seed {plan.seed}; "
        f"{plan.wrong:.0%} of answers plainly wrong. "
        f"{ELSEWHERE if plan.world == OTHER_WORLD else AT_HOME}"
        f"Failure modes come {often}; only faults that somebody would complain of are played. "
        "Brackets hold 95 % Wilson intervals.\n"
    )


def worlds(summary: Summary) -> list[str]:
    """The same failure modes by either world's laws, side by side."""
    if summary.other is None:
        return []
    both = (summary.whole, summary.other.score)
    rows = [
        ("right repair first", *(share_text(one.right) for one in both)),
        ("right repair among the first three", *(share_text(one.top3) for one in both)),
        ("stated probability less share right", *(f"{one.gap:+.3f}" for one in both)),
        ("expected calibration error, 10 bins", *(f"{one.error:.3f}" for one in both)),
        ("questions after the complaint, median (mean)", *(questions(one) for one in both)),
    ]
    return ["## In both worlds\n", *table(("measure", "home", "other world"), rows), BESIDE]


def elsewhere(summary: Summary) -> list[str]:
    """Failure modes as the other world has them."""
    if summary.other is None:
        return []
    title = "## By failure mode in the other world, worst first\n"
    return [title, *mode_rows(summary.other.modes)]
