"""The table of lines that tests run: each file counts for its room."""

from __future__ import annotations

from tests.tools.coverage import by_room, table

FILES = {
    "diagnose/bench.py": {"summary": {"num_statements": 10, "covered_lines": 9}},
    "diagnose/circuit/solve.py": {"summary": {"num_statements": 30, "covered_lines": 30}},
    "diagnose/circuit/kinds/plugs.py": {"summary": {"num_statements": 10, "covered_lines": 0}},
}


def test_rooms_sum_up_their_files() -> None:
    """By hand: 30 of 30 and 0 of 10 are 30 of 40."""
    assert [*by_room(FILES)] == [("bench.py", 10, 9), ("circuit/", 40, 30), ("all", 50, 39)]


def test_a_room_without_lines_has_no_share() -> None:
    assert [*table(iter([("empty/", 0, 0), ("half/", 4, 2)]))][1:] == [
        f"{'empty/':<16}{0:>7}{0:>7}{'':>8}",
        f"{'half/':<16}{4:>7}{2:>7}  50.0 %",
    ]
