"""How good the ranking is, and how good it could be: python -m tests.study [--world NAME]

What `diagnose study` plays, and beside it the same cases in a world with laws of its own, verdicts
of one who knows how the cases were drawn, and small problems solved exactly. Two thousand cases in
both worlds take a night on two cores.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from diagnose.errors import DiagnoseError
from diagnose.study.report import as_json
from diagnose.study.run import study
from diagnose.terminal.handbook.quality import asked_for, progress_bar
from diagnose.terminal.options import able
from tests.study.research import BOTH, WORLDS, research, summary, work
from tests.study.research_report import markdown


def main() -> int:
    ask = argparse.ArgumentParser(prog="python -m tests.study", description=__doc__)
    ask.add_argument("--cases", type=int, default=2000)
    ask.add_argument("--quick", action="store_true", help="a few minutes' worth only")
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--wrong", type=float, default=0.05)
    ask.add_argument("--world", choices=WORLDS, default=BOTH)
    ask.add_argument("--evenly", action="store_true")
    ask.add_argument("--at", default="")
    ask.add_argument("--with", dest="having", default="")
    ask.add_argument("--json", type=Path, help="a file for the summary and every case")
    said = ask.parse_args()
    try:
        can = able(said.at, said.having)
        plan = asked_for(said.cases, said.quick, said.seed, said.wrong, said.evenly, can)
    except DiagnoseError as mistake:
        ask.error(str(mistake))
    whole = research(plan, said.world)
    with progress_bar() as progress:
        found = study(whole, progress, work=work)
    result = summary(whole, found)
    if said.json:
        said.json.write_text(as_json(result, found), encoding="utf-8")
    print(markdown(result), end="")
    return 0


if __name__ == "__main__":
    sys.exit(main())
