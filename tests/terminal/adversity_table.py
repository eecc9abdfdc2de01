"""The adversities by name, each with the statuses that a command may end with under it."""

from __future__ import annotations

import errno
import os

from diagnose.casebook.store import VARIABLE
from diagnose.drill.record import VARIABLE as DRILLS
from tests.terminal.adverse_boxes import (
    FAR_NAMES,
    damaged,
    elsewhere,
    far_names,
    fifos,
    foreign_base,
    held_index,
    held_lock,
    indexed,
    links,
    no_folder,
    odd_index,
    shut,
    two_years,
)
from tests.terminal.adversities import (
    Adversity,
    clock_back,
    in_a_hurry,
    no_room,
    nobody,
    nowhere,
    refused,
    refused_to_keep,
    refused_to_write,
    refusing,
    stranger,
    told,
    unsaid,
    without_lines,
)

FULL = "/dev/full"
HOMELESS = {"HOME": None, "XDG_DATA_HOME": None}

ADVERSITIES: dict[str, Adversity] = {
    "none": Adversity(),
    "no home, no user": Adversity(enter=nobody, environment=HOMELESS),
    "no home, no folder named": Adversity(
        nowhere,
        prepare=elsewhere,
        enter=nobody,
        environment={**HOMELESS, VARIABLE: None, DRILLS: None},
    ),
    "output full": Adversity(told, streams={1: FULL}),
    "output closed": Adversity(unsaid, streams={1: None}),
    "errors full": Adversity(streams={2: FULL}, silent=True),
    "errors closed": Adversity(streams={2: None}, silent=True),
    "a mistake, errors full": Adversity(
        lambda _: {2}, streams={2: FULL}, more=("--nonsense",), silent=True
    ),
    "output and errors full": Adversity(told, streams={1: FULL, 2: FULL}, silent=True),
    "input closed": Adversity(without_lines, streams={0: None}),
    "input a folder": Adversity(without_lines, streams={0: "/"}),
    "all closed": Adversity(unsaid, streams={0: None, 1: None, 2: None}, silent=True),
    "output in ASCII": Adversity(encoding="ascii"),
    "casebook read-only": Adversity(refused_to_write, prepare=shut(0o555), enter=stranger),
    "casebook not to be looked into": Adversity(refused, prepare=shut(0o000), enter=stranger),
    "file system read-only": Adversity(refused_to_write, enter=refusing(errno.EROFS, opens=True)),
    "disk full at once": Adversity(refused_to_write, enter=no_room),
    "disk full on the way": Adversity(refused_to_write, enter=refusing(errno.ENOSPC, opens=False)),
    "links astray": Adversity(prepare=links),
    "pipes among the files": Adversity(prepare=fifos),
    "damaged files": Adversity(prepare=damaged),
    "index: somebody's database": Adversity(prepare=foreign_base("cases/index.sqlite")),
    "index: link to somebody's": Adversity(prepare=foreign_base("papers/whose.sqlite")),
    "index: link to itself": Adversity(prepare=odd_index(lambda one: one.symlink_to(one.name))),
    "index: a pipe": Adversity(prepare=odd_index(os.mkfifo)),
    "index: a folder": Adversity(prepare=odd_index(os.mkdir)),
    "index: no database": Adversity(
        prepare=odd_index(lambda one: one.write_text("my own notes\n"))
    ),
    "index held": Adversity(prepare=indexed, hold=held_index),
    "casebook held": Adversity(refused_to_keep, hold=held_lock, enter=in_a_hurry),
    "casebook a file": Adversity(refused, prepare=no_folder),
    "a case twice": Adversity(unsaid, prepare=two_years),
    "names of other scripts": Adversity(
        prepare=far_names,
        environment={VARIABLE: FAR_NAMES["cases"], DRILLS: FAR_NAMES["drills"]},
        renamed=FAR_NAMES,
    ),
    "clock set back": Adversity(enter=clock_back),
}
