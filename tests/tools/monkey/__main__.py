"""A monkey at the line protocol: python -m tests.tools monkey [--sessions 2000] [--only N]

Random, rude and contradictory answers, back and skip, on the bundled rigs and on invented ones.
Each session is checked as it goes: no traceback, probabilities that sum to 1, the same question
again after a line that is refused, no question twice without a reason, an end, and every caution
and every stop said the moment its condition holds, by a second reading of the rules that shares
nothing with the rule engine; and while a stop stands no question under power, by the state of the
rig that the question names.
"""

from __future__ import annotations

import argparse
import os
import sys
from contextlib import suppress

from rich.progress import track

from tests.tools.monkey.plays import plays
from tests.tools.monkey.sessions import Tally


def summary(sessions: int, tally: Tally, wrong: dict[int, str]) -> str:
    """What happened, in lines."""
    counts = tally.counts
    acts = {name.removeprefix("sent: "): n for name, n in counts.items() if name[:4] == "sent"}
    return "\n".join(
        [
            f"{sessions} sessions, {sum(acts.values())} lines sent: "
            + ", ".join(f"{n} {name}" for name, n in sorted(acts.items())),
            f"{counts['question']} questions, {counts['error']} lines refused in one sentence "
            f"each, {counts['contradictions']} of them as contradictions",
            f"{counts['caution']} cautions and {counts['stop']} stops said, none missing; "
            f"{counts['made safe']} made safe",
            f"longest session {tally.longest} lines; slowest line {tally.slowest:.2f} s of "
            f"processor time; sums of probabilities within {tally.off:.1g} of 1",
            f"sessions in which something went wrong: {len(wrong)}",
        ]
    )


def main() -> int:
    """Hold the sessions and print what came of them; status 1 when anything went wrong."""
    parser = argparse.ArgumentParser(prog="python -m tests.tools monkey")
    parser.add_argument("--sessions", type=int, default=2000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", type=int, help="the number of one session to hold again")
    parser.add_argument("--workers", type=int, default=os.cpu_count() or 1)
    given = parser.parse_args()
    numbers = range(given.sessions) if given.only is None else [given.only]
    tasks = [(given.seed, number) for number in numbers]
    tally, wrong, done = Tally(), dict[int, str](), 0
    with suppress(KeyboardInterrupt):  # what was held until then is told
        for number, one, problem in track(plays(tasks, given.workers), "sessions", len(tasks)):
            done += 1
            tally.add(one)
            if problem:
                wrong[number] = problem
                again = f"again with --seed {given.seed} --only {number}"
                print(f"{again}\n{problem}", file=sys.stderr, flush=True)
    print(summary(done, tally, wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
