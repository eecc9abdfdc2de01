"""Commands in boxes: under every adversity, then killed; and walks in a terminal, killed. Run by
test_adversities.py.

    python in_boxes.py FOLDER few | all KILLS WALKS SEED

One process reads the book for all of them.
"""

from __future__ import annotations

import sys
from pathlib import Path

from tests.terminal.every_command import Box
from tests.terminal.killed_commands import CLOSE, LINES, kill_them
from tests.terminal.killed_walks import kill_walks
from tests.terminal.under_adversities import calls_of, settle, try_them


def main() -> None:
    folder, wanted, kills, walks, seed = sys.argv[1:]
    box = Box(Path(folder) / "box")
    settle(box, [*calls_of(wanted), LINES, CLOSE])
    try_them(box, wanted)
    kill_them(box, int(kills), int(seed))
    kill_walks(Path(folder), int(walks), int(seed))


if __name__ == "__main__":
    main()
