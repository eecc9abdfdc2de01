"""The rules at work, and the only home of experta.

experta 1.9.4, its last release, pins frozendict 1.2, which looks for `collections.Mapping`. Python
3.10 took that name away, so `import experta` fails there. The name is lent for the length of the
import and taken back. A later experta that has no need of it would import just the same.

Importing experta also sets up a handler on the root logger; a library may not decide where a
program's log goes, so a handler that was not there before is removed again.
"""

from __future__ import annotations

import collections
import collections.abc
import importlib
import logging


def _import_experta() -> None:
    lent = not hasattr(collections, "Mapping")
    handlers = list(logging.root.handlers)
    if lent:
        setattr(collections, "Mapping", collections.abc.Mapping)  # noqa: B010
    try:
        importlib.import_module("experta")
    finally:
        if lent:
            delattr(collections, "Mapping")
        logging.root.handlers[:] = handlers


_import_experta()
