"""What the rules look at: five kinds of experta fact, each field checked when it is declared."""

from __future__ import annotations

from zlib import crc32

from experta import Fact, Field

from diagnose.catalogue.rule_records import STRENGTHS, VERDICTS, Kind

SHELVES = 4
"""experta compares a fact with every name in turn; with names laid on shelves it tries the shelf
first. Four needed the fewest steps of 1 to 12 with some 180 rules, a fifth fewer than one."""


def shelf(name: str) -> int:
    """The shelf a name lies on; the same in every process."""
    return crc32(name.encode()) % SHELVES


class Symbol(Fact):  # type: ignore[misc]
    """A fact whose every field is declared: experta itself accepts unknown fields in silence."""

    shelf = Field(int, mandatory=True)

    def validate(self) -> None:
        """Raise ValueError on a missing, unknown or ill-valued field."""
        super().validate()
        unknown = [key for key in self if not self.is_special(key) and key not in self.__fields__]
        if unknown:
            raise ValueError(f"{type(self).__name__} has no field {unknown[0]!r}")


class Seen(Symbol):
    """What a person saw, heard, felt or was told."""

    observation = Field(str, mandatory=True)
    value = Field(str, mandatory=True)


class Read(Symbol):
    """A meter reading, as a verdict against the band predicted for the healthy rig."""

    reading = Field(str, mandatory=True)
    verdict = Field(lambda verdict: verdict in VERDICTS, mandatory=True)


class RigFact(Symbol):
    """What is known of the rig before any question."""

    name = Field(str, mandatory=True)
    value = Field(str, mandatory=True)


class Suspect(Symbol):
    """A failure mode that leads the ranking, or stands near its top."""

    failure_mode = Field(str, mandatory=True)
    strength = Field(lambda strength: strength in STRENGTHS, mandatory=True)


class Finding(Symbol):
    """What a rule has concluded, for other rules to build on."""

    name = Field(str, mandatory=True)


class AllGiven(Fact):  # type: ignore[misc]
    """Declared last, once all that is given has been declared: what a rule with `unless` waits for.

    Without it such a rule would be put on the agenda early and taken off again, and experta finds
    an activation to take off only among the nearest of those that rest on the same facts.
    """


FIELDS: dict[Kind, tuple[type[Symbol], str, str]] = {
    "seen": (Seen, "observation", "value"),
    "reading": (Read, "reading", "verdict"),
    "rig": (RigFact, "name", "value"),
    "suspect": (Suspect, "failure_mode", "strength"),
    "finding": (Finding, "name", ""),
}
"""For each kind of condition: its fact class, the field that names it, the field of its value."""
