"""Fault diagnosis for 12 V pump circuits: the physics, the knowledge, and the reasoning between.

For other programs; everything else may change without notice:

    open_rig(name)                     a rig from its file, or a bundled one by its name
    rank(rig, seen, read, made_safe)   the causes, likeliest first, and the next test and why
    expect(rig, fault, severity)       what every reading should be, sound or with a fault

Units and fields stand at each function and record (diagnose.api, diagnose.api_records). What a
caller can put right is raised as a DiagnoseError, a sentence that says what to do next.

>>> import diagnose
>>> rig = diagnose.open_rig("mist-bench")
>>> found = diagnose.rank(rig, seen=["pump-action=slow", "pressure-switch-heat=too-hot-to-hold"])
>>> [danger.name for danger in found.dangers]
['too-hot']
>>> diagnose.rank(rig, read=["voltage motor+ motor- = much"])
Traceback (most recent call last):
diagnose.errors.Mistakes: read: ...

Nothing is loaded before it is used, so that the command line stays quick.
"""

from importlib import import_module
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from diagnose.api import expect, open_rig, rank
    from diagnose.api_records import (
        ExpectedReading,
        NextTest,
        OpenedRig,
        RaisedDanger,
        Ranked,
        RankedCause,
    )
    from diagnose.errors import DiagnoseError

__all__ = [
    "DiagnoseError",
    "ExpectedReading",
    "NextTest",
    "OpenedRig",
    "RaisedDanger",
    "Ranked",
    "RankedCause",
    "expect",
    "open_rig",
    "rank",
]

if not TYPE_CHECKING:

    def __getattr__(name: str) -> object:
        """A name of `__all__`, from the module that has it, when it is first used."""
        if name not in __all__:
            raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
        home = "diagnose.errors" if name == "DiagnoseError" else "diagnose.api"
        return getattr(import_module(home), name)


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
