"""What points, parts, places, states and quantities are called: `probes` of plain_words.yaml."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from diagnose.documents import Section

Names = Mapping[str, tuple[str, ...]]
"""An id to the phrases that mean it, its own name among them."""

FILLER = frozenset(
    ("the", "a", "an", "at", "on", "of", "to", "from", "and", "across", "over", "between", "check")
) | {"read", "measure", "please", "my"}
"""Words that stand between names and say nothing."""


@dataclass(frozen=True)
class ProbeWords:
    """Phrases as `plain` leaves them.

    points: test point; black: that of the black probe when one point is named; parts: to the two
    points, red first; places: where a clamp or a thermometer is held; states: of the rig, as it is
    typed in the drill; told: the same as people tell them; no_figure: words that say that a figure
    was not measured; either: phrases that may mean any of several parts
    """

    points: Names = field(default_factory=dict)
    black: str = ""
    parts: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    places: Names = field(default_factory=dict)
    states: Names = field(default_factory=dict)
    told: Names = field(default_factory=dict)
    no_figure: tuple[str, ...] = ()
    either: Names = field(default_factory=dict)

    @cached_property
    def named(self) -> Mapping[str, tuple[tuple[str, str], ...]]:
        """What a phrase may name: ("part", "coil"), ("point", "relay.30"), ("place", "motor")."""
        found: dict[str, tuple[tuple[str, str], ...]] = {
            name: (("part", name),) for name in (*self.parts, *self.either)
        }
        for kind, names in (("point", self.points), ("place", self.places)):
            for name, phrases in names.items():
                for phrase in phrases:
                    found[phrase] = (*found.get(phrase, ()), (kind, name))
        return found

    @cached_property
    def told_states(self) -> Mapping[str, str]:
        """The state that people mean by a phrase."""
        return {phrase: name for name, phrases in self.told.items() for phrase in phrases}


def plain(text: str, filler: Iterable[str] = ()) -> str:
    """Lower case, words apart: "Fuse-holder" and "fuse.holder" are "fuse holder"; "lug-" stays."""
    apart = re.sub(r"(?<=\w)[-._](?=\w)", " ", text.lower()).replace(",", " ").replace("?", " ")
    return " ".join(word for word in apart.split() if word not in filler)


def probe_words(part: Section) -> ProbeWords:
    """The words of a section."""
    return ProbeWords(
        names_of(part.section("points")),
        part.text("black"),
        {plain(name, FILLER): pair for name, pair in pairs_of(part.section("parts"))},
        names_of(part.section("places")),
        names_of(part.section("states")),
        names_of(part.section("said-of-state"), filler=()),
        tuple(plain(text) for text in part.texts("no-figure")),
    )


def names_of(part: Section, filler: Iterable[str] = FILLER) -> Names:
    """The phrases of each name as `plain` leaves them, then the name itself; each once."""
    return {
        name: tuple(dict.fromkeys(plain(text, filler) for text in (*part.texts(name), name)))
        for name in part
    }


def pairs_of(part: Section) -> Iterator[tuple[str, tuple[str, str]]]:
    """Names with two points each."""
    for name in part:
        red, black = (*part.texts(name), "", "")[:2]
        yield name, (red, black)
