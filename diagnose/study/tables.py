"""Cells and tables of a study's report, in Markdown."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from diagnose.study.scores import Share
from diagnose.study.tally import ByMode, Score

Row = Sequence[str]


def share_text(found: Share) -> str:
    """0.917 (0.893 to 0.936, n 600)."""
    if not found.n:
        return "no case"
    return f"{found.value:.3f} ({found.low:.3f} to {found.high:.3f}, n {found.n})"


def table(head: Row, rows: Iterable[Row]) -> list[str]:
    lines = [head, ["---"] * len(head), *rows]
    return [f"| {' | '.join(cells)} |" for cells in lines] + [""]


def questions(found: Score) -> str:
    return f"{found.questions:g} ({found.mean_questions:.1f})"


def mode_rows(modes: Sequence[ByMode]) -> list[str]:
    """One row a failure mode."""
    rows = [
        (
            row.mode,
            share_text(row.right),
            f"{row.same_mode.value:.2f}",
            f"{row.stated:.2f}",
            f"{row.questions:g}",
            ", ".join(f"{name} {count}" for name, count in row.taken_for),
        )
        for row in modes
    ]
    head = ("failure mode", "right repair", "right mode", "stated", "questions", "taken for")
    return table(head, rows)
