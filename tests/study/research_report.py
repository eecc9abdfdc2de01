"""The report of research.py: that of `diagnose study`, and what stands beside it."""

from __future__ import annotations

from diagnose.study.report import AT_HOME, MEASURES, QUESTIONS, modes_table, table
from diagnose.study.report import markdown as home_markdown
from diagnose.study.tally import Figures
from tests.study.research import OTHER_WORLD

ELSEWHERE = (
    "The rigs fail by the laws of the other world: battery, motor, water, relay, fuse and heat, "
    "faults and people are written apart from what the tool reasons with. "
)
WORLDS_NOTE = (
    "The other world has laws, faults and people of its own, written apart from those that the "
    "tool reasons with; only how often each failure mode comes is the same.\n"
)
KNOWN_NOTE = (
    "The same answers were also weighed by one who knows how the cases were drawn: how rigs "
    "differ, how far severities reach, how people talk and how often they slip. {plan.crowd} rigs "
    "of each failure mode were drawn by the study's own laws, and each answer given its exact "
    "chance. Where that verdict is wrong too, the answers did not hold what it takes; how the tool "
    "weighs them is not the limit there.\n"
)
OPTIMUM_NOTE = (
    "{n} subsets of 10 causes and 10 tests (6 where outcomes go by chance), solved by dynamic "
    "programming. No policy can need less than {floor:.2f} min on average (Huffman bound); repairs "
    "tried without any test would cost {in_vain:.0f} min.\n"
)

SIDE_BY_SIDE = f"""\
right repair first | {{right}}
right repair among the first three | {{top3}}
stated probability less share right | {{gap:+.3f}}
expected calibration error, 10 bins | {{error:.3f}}
questions after the complaint, median (mean) | {QUESTIONS}"""
KNOWN = """\
right repair first, by one who knows | {right}
right repair first, by the tool | {tool}
right by both | {both}
right repair among the first three, by one who knows | {top3}
mean stated probability of one who knows | {stated:.3f}
drawn rigs that a verdict rests on, in effect, median | {rigs:.0f}"""
OPTIMUM = """\
outcomes certain | {best:.2f} | {tool:.2f} | {dearer:+.1%}
outcomes by chance, repairs in vain counted | {noisy_best:.2f} | {noisy_tool:.2f} | \
{noisy_dearer:+.1%}"""


def markdown(summary: Figures) -> str:
    """The whole report."""
    laws = ELSEWHERE if summary["plan"].world == OTHER_WORLD else AT_HOME
    lines = [home_markdown(summary, laws)]
    if (found := summary["known"]) is not None:
        figures = found | {"tool": summary["whole"]["right"]}
        lines += ["## What the answers held\n", KNOWN_NOTE.format_map(summary)]
        lines += table(MEASURES, KNOWN, [figures])
    if (found := summary["optimum"]) is not None:
        head = "expected minutes | optimum | tool | dearer"
        lines += ["## Against the exact optimum\n", OPTIMUM_NOTE.format_map(found)]
        lines += table(head, OPTIMUM, [found])
    if (found := summary["other"]) is not None:
        lines += _worlds(summary["whole"], found["score"])
        title = "## By failure mode in the other world, worst first\n"
        lines += [title, *modes_table(found["modes"])]
    return "\n".join(lines).rstrip() + "\n"


def _worlds(home: Figures, other: Figures) -> list[str]:
    """The same failure modes by either world's laws, side by side."""
    there = (line.partition(" | ")[2] for line in SIDE_BY_SIDE.splitlines())
    both = "\n".join(
        f"{line.format_map(home)} | {cell.format_map(other)}"
        for line, cell in zip(SIDE_BY_SIDE.splitlines(), there, strict=True)
    )
    return ["## In both worlds\n", *table("measure | home | other world", both, [{}]), WORLDS_NOTE]
