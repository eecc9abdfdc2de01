"""The other world: draws a faulty rig and a person beside it, who complains and answers."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol
from zlib import crc32

import numpy as np

from diagnose.catalogue.records import Catalogue, holds
from diagnose.circuit.rig import Rig
from tests.study.other_world.acts import POWER
from tests.study.other_world.build import decades, sound
from tests.study.other_world.faults import FAULTS
from tests.study.other_world.marks import MARKED
from tests.study.other_world.meters import ohms, shown
from tests.study.other_world.net import MOST_OHMS
from tests.study.other_world.parts import Random
from tests.study.other_world.people import (
    ANY,
    LOOKS,
    LOUD,
    MAIN_UNITS,
    NORMAL,
    WRONG_POINT,
    Somebody,
    spread,
)
from tests.study.other_world.signs import SEEN, sight
from tests.study.other_world.site import HOLDS, Site, met
from tests.study.other_world.trials import TRIED

if TYPE_CHECKING:
    from diagnose.simulate.truth import Person

SECOND = 0.1
"""Share of rigs with a second bad joint."""

SECOND_JOINTS = ("post+", "post-", "holder", "master", "feed_1", "return_1", "return_2")

WORKED = 0.6
"""Share of rigs that have just been at work for some minutes when somebody looks; estimate."""

CHANGES = 0.15
"""Chance that a joint that makes and breaks has changed since somebody last looked; estimate."""

OWN = 0.25
"""What a rig shows oftener than this when it is well is no complaint; estimate."""

SAME_AGAIN = 0.5
"""Chance that somebody asked again says the same without another look; estimate."""


KNOWN = frozenset((*TRIED, *SEEN, *ANY, *MAIN_UNITS))
"""Observations and quantities that this world can say something of."""


class Named(Protocol):
    """A test, as far as this world knows of tests."""

    @property
    def id(self) -> str: ...


@dataclass(frozen=True)
class OtherTruth:
    """One faulty rig and who stands beside it; all that is said follows from `seed`."""

    modes: tuple[str, ...]
    site: Site
    somebody: Somebody
    seed: tuple[int, ...]

    @property
    def how(self) -> str:
        return "as the trade knows it"

    def _random(self, about: str, attempt: int = 0) -> Random:
        return np.random.default_rng([*self.seed, crc32(about.encode()), attempt])

    def complaint(
        self, person: Person, book: Catalogue, facts: Mapping[str, str]
    ) -> dict[str, str]:
        """The complaint and what else is told unasked; nothing when nobody would notice."""
        random = self._random("complaint")
        noticed = self._noticed(book, facts, random)
        known = [
            (one.seen, self._weight(one.seen))
            for one in book.complaints.values()
            if all(noticed.get(name) == option for name, option in one.seen.items())
            and any(self._brought(name, option) for name, option in one.seen.items())
        ]
        if not known:
            return {}
        weights = np.array([weight for _, weight in known])
        told = dict(known[int(random.choice(len(known), p=weights / weights.sum()))][0])
        told |= self._more(noticed, told, random)
        return {name: self._slip(name, option, book, person) for name, option in told.items()}

    def _noticed(self, book: Catalogue, facts: Mapping[str, str], random: Random) -> dict[str, str]:
        """What whoever complains has seen of it, at its worst."""
        slow = self.site.works.loose is not None and not self.site.works.loose.quick
        noticed = {
            name: self._sight(name, slow)
            for name in (*LOUD, "supply-level")
            if holds(book.observations[name].applies, facts)
        }
        if slow and random.random() < 0.6:
            noticed["pump-action"] = "cuts-in-and-out"
        return noticed

    def _brought(self, name: str, option: str) -> bool:
        """Whether an answer is out of order and the fault has to do with it."""
        if option in NORMAL[name]:
            return False
        if name in SEEN:
            well = Site(self.site.sound, self.site.sound, self.site.sound, HOLDS, HOLDS)
            return SEEN[name](well, False).get(option, 0.0) < OWN
        looks = any(name in LOOKS[mode] for mode in self.modes)
        return looks or (name in MARKED and MARKED[name](self.site, False) is not None)

    def _weight(self, seen: Mapping[str, str]) -> float:
        return max(LOUD.get(name, 0.3) for name in seen)

    def _more(
        self, noticed: Mapping[str, str], told: Mapping[str, str], random: Random
    ) -> dict[str, str]:
        """Up to three further signs, the loud ones first; none that says the same again."""
        left = {
            name: LOUD[name]
            for name, option in noticed.items()
            if name in LOUD and name not in told and option not in NORMAL[name]
        }
        more = {}
        for _ in range(min(self.somebody.keen, len(left))):
            weights = np.array(list(left.values()))
            name = list(left)[int(random.choice(len(left), p=weights / weights.sum()))]
            more[name] = noticed[name]
            del left[name]
        return more

    def _slip(self, name: str, option: str, book: Catalogue, person: Person) -> str:
        """The same answer again, or plainly another."""
        random = self._random(f"slip at {name}")
        return _other(name, option, book, random) if random.random() < person.wrong else option

    def answer(self, person: Person, test: Named, book: Catalogue, attempt: int = 0) -> str | None:
        """What is said to one question; None for not known."""
        if attempt and self._random(f"{test.id} again", attempt).random() < SAME_AGAIN:
            return self.answer(person, test, book, attempt - 1)
        random = self._random(test.id, attempt)
        words = test.id.split()
        wrong, unsure = random.random(2) < (person.wrong, person.unsure)
        if unsure or self.somebody.knows_not(words[0], self._random(f"{test.id} known")):
            return None
        bad = self._parted(test.id)
        if words[0] not in KNOWN:
            return None
        if words[0] in MAIN_UNITS:
            return self._misread(words, random) if wrong else self._read(words, bad, random)
        option = self._sight(words[0], bad)
        return _other(words[0], option, book, random) if wrong else option

    def _parted(self, test: str) -> bool:
        """Whether the loose path is parted while this is looked at."""
        loose = self.site.works.loose
        if loose is None or loose.quick:
            return False
        return self.site.parted != bool(self._random(f"moved at {test}").random() < CHANGES)

    def _sight(self, name: str, bad: bool) -> str:
        """What there is to be seen; the same for whoever looks."""
        shares = self.chances(name, bad)
        options = sorted(shares)
        weights = np.array([max(shares[option], 0.0) for option in options])
        random = self._random(f"sight of {name}")
        return options[int(random.choice(len(options), p=weights / weights.sum()))]

    def chances(self, name: str, bad: bool = False) -> Mapping[str, float]:
        """Chance of each answer to an observation, slips apart."""
        site = self.site
        if name in TRIED:
            return TRIED[name](site, bad)
        if name in SEEN:
            return sight(site, name, bad)
        own: dict[str, float] = {}
        for mode in reversed(self.modes):
            own |= LOOKS[mode].get(name, {})
        own = dict(site.works.signs.get(name, own))
        if name in MARKED and (marked := MARKED[name](site, bad)):
            own |= marked
        return spread(own, ANY[name])

    def _read(self, words: list[str], bad: bool, random: Random) -> str:
        """What the meter shows, the probes now and then on a neighbouring point."""
        who = self.somebody
        if words[0] == "resistance":
            return who.writes_ohms(ohms(self.site, words[1], words[2], bad), MOST_OHMS, random)
        if words[0] == "voltage" and random.random() < WRONG_POINT:
            points = sorted(self.site.working.operation(words[3]).live.solved.net.place)
            words = [words[0], str(random.choice(points)), *words[2:]]
        value = shown(self.site, words, bad, random, who.pigtails)
        return who.writes(words[0], value, random)

    def _misread(self, words: list[str], random: Random) -> str:
        """Plainly wrong: nothing touched, another point, a slipped decimal point, a guess."""
        if words[0] == "resistance":
            return "OL" if random.random() < 0.3 else f"{decades(random, 0.2, 1e5):.3g} ohm"
        unit = MAIN_UNITS[words[0]]
        if words[0] != "voltage":
            most = {"temperature": 90.0, "pressure": 80.0, "flow-rate": 6.0}.get(words[0], 40.0)
            return f"{random.uniform(0, most):.3g} {unit}"
        if random.random() < 0.4:
            return f"{random.normal(0, 0.03):.2f} {unit}"
        points = sorted(self.site.working.operation(words[3]).live.solved.net.place)
        red, black = (str(one) for one in random.choice(points, 2))
        value = shown(self.site, ["voltage", red, black, words[3]], False, random, False)
        return self.somebody.writes("voltage", value, random)


def _other(name: str, option: str, book: Catalogue, random: Random) -> str:
    """Plainly another answer; what is seldom seen is seldom made up."""
    usual = ANY.get(name, {})
    others = [one for one in book.observations[name].options if one != option]
    weights = np.sqrt([usual.get(one, 0.1) for one in others])
    return others[int(random.choice(len(others), p=weights / weights.sum()))]


def makes(modes: Sequence[str]) -> bool:
    """Whether this world knows how each of these failure modes comes about."""
    return all(mode in FAULTS and mode in LOOKS for mode in modes)


def draw(rig: Rig, modes: Sequence[str], seed: tuple[int, ...]) -> OtherTruth:
    """A rig with these failure modes, and somebody beside it."""
    random = np.random.default_rng([*seed, crc32(b"other world")])
    well = sound(rig, random)
    works = well.copy()
    for mode in modes:
        FAULTS[mode](works, random)
    if random.random() < SECOND:  # another joint is none too good, far from the worst
        joint = str(random.choice(SECOND_JOINTS))
        works.add(joint, decades(random, POWER[0], 0.04))
    if random.random() < WORKED:
        works.battery.worked(works.amps, random.uniform(0, 10))
    site = met(works, well, random)
    return OtherTruth(tuple(modes), site, Somebody.drawn(random), seed)
