"""What the program makes of a text about a bundled rig."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.plain_vocabulary import PlainWords
from diagnose.catalogue.records import Catalogue
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig, open_rig
from diagnose.design.facts import rig_facts
from diagnose.phrases import EITHER, Match, Understood, understand


@cache
def _known(rig: str) -> tuple[Mapping[str, str], Rig]:
    opened = open_rig(rig)
    return rig_facts(Model.of(opened)), opened


def read(
    text: str, rig: str = "bowser", asked: str | None = None, words: PlainWords | None = None
) -> Understood:
    return understand(text, shipped_catalogue(), *_known(rig), asked, words)


def taken(found: Understood) -> list[str]:
    """What would be taken without being asked."""
    return [f"{m.observation}={m.option}" for m in found.matches if m.strength != EITHER]


def named(found: Understood) -> list[Match]:
    """What words of the text name; without what is guessed from the sentence as a whole."""
    return [one for one in found.matches if one.words]


def to_ask(found: Understood) -> list[str]:
    return [f"{m.observation}={m.option}" for m in named(found) if m.strength == EITHER]


@cache
def listed(rig: str) -> tuple[Catalogue, Mapping[str, str], Rig]:
    """The book for a rig of listed parts, its facts, and the rig."""
    opened = open_rig(rig)
    return for_rig(shipped_catalogue(), opened), rig_facts(Model.of(opened)), opened


def read_listed(text: str, rig: str, asked: str | None = None) -> Understood:
    """The same on a rig of listed parts, with the book's entries for each of them."""
    return understand(text, *listed(rig), asked)
