"""The kinds of parts that a circuit is made of: one module each, found by being here.

A module holds KINDS, one or several. What a part is rated for, how it may fail and what is asked of
it stands in the knowledge, under the name of its kind.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib import import_module
from pkgutil import iter_modules

from diagnose.circuit.kinds.kind import PREFIX, Kind, Part

__all__ = ["PREFIX", "Kind", "Part", "kind_of", "kinds", "kinds_in"]


@cache
def kinds() -> Mapping[str, Kind]:
    """Every kind by its name in a rig file."""
    return {kind.name: kind for kind in _found()}


def _found() -> Iterator[Kind]:
    for module in sorted(one.name for one in iter_modules(__path__)):
        yield from getattr(import_module(f"{__name__}.{module}"), "KINDS", ())


def kinds_in(place: str) -> tuple[str, ...]:
    """The names of the kinds that may stand in `place`: feed or control."""
    return tuple(name for name, kind in kinds().items() if place in kind.places)


def kind_of(part: Part) -> Kind:
    """The kind of one part."""
    return kinds()[part.kind]
