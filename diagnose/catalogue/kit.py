"""What a test may need, and where of it there is what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated

from diagnose.annotations import Name, Of
from diagnose.catalogue.entry_parts import Texts
from diagnose.errors import Place


@dataclass(frozen=True)
class Thing:
    """Something that a test may need; say: what it is; words: further ways to call it."""

    id: Annotated[str, Name()]
    say: str
    words: Texts
    place: Place


@dataclass(frozen=True)
class Whereabouts:
    """Where somebody who answers may be; has: things taken to be there, `*` for all."""

    id: Annotated[str, Name()]
    say: str
    has: tuple[Annotated[str, Of("thing")], ...]
    place: Place


@dataclass(frozen=True)
class Kit:
    """Things by id, and places to be at by id."""

    things: Mapping[str, Thing]
    places: Mapping[str, Whereabouts]
