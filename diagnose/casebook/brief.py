"""A case in brief: what lists and reviews need of it, and how they choose."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

from diagnose.casebook.record import STATUSES, Case, ComeBack
from diagnose.catalogue.part_names import template_of
from diagnose.errors import BadQuantity, UnknownName, nearest, quoted
from diagnose.figures import knowledge_folder
from diagnose.reasoning import OTHER

if TYPE_CHECKING:
    from diagnose.catalogue.records import Catalogue


@dataclass(frozen=True)
class Brief:
    """One case in brief; the fields are those of Case.

    cause: "" for a case that was left at once, since nothing was looked into
    place: of the true cause in the ranking at the end, 1 for the first; 0 when it was not among
    those kept; None while it is unknown
    """

    id: str
    opened: datetime
    closed: datetime | None
    rig: str
    topology: str
    control: str
    status: str
    confirmed_by: str
    cause: str
    true_cause: str
    place: int | None
    minutes: float
    questions: int
    parts: tuple[str, ...]
    came_back: tuple[ComeBack, ...]

    @property
    def confirmed(self) -> bool:
        """As Case.confirmed."""
        return self.status == "closed" and self.confirmed_by != "none" and bool(self.true_cause)

    @property
    def mode(self) -> str:
        """What it was, as far as known: the true cause, else the cause that the walk ended on; ""
        for a case that was left at once."""
        return self.true_cause or self.cause


def brief_of(case: Case) -> Brief:
    """A case in brief."""
    modes = [mode for mode, _ in case.ranking]
    place = modes.index(case.true_cause) + 1 if case.true_cause in modes else 0
    return Brief(
        id=case.id,
        opened=case.opened,
        closed=case.closed,
        rig=case.rig.name,
        topology=case.rig.topology,
        control=case.rig.control,
        status=case.status,
        confirmed_by=case.confirmed_by,
        cause=case.cause if case.looked_into else "",
        true_cause=case.true_cause,
        place=place if case.true_cause else None,
        minutes=case.minutes,
        questions=case.questions,
        parts=case.parts,
        came_back=case.came_back,
    )


@dataclass(frozen=True)
class Filter:
    """Which cases are wanted; what is empty or None does not choose.

    since, until: days in UTC, both included, of the opening; rig: a part of its name, letter case
    ignored; group, mode: of what the case was, as far as known
    """

    since: date | None = None
    until: date | None = None
    rig: str = ""
    group: str = ""
    mode: str = ""
    status: str = ""

    def checked(self, groups: Mapping[str, str]) -> Filter:
        """This filter, if every name in it is known. Raises UnknownName.

        groups: failure mode to component group, of the book
        """
        _known("component group", self.group, {*groups.values(), OTHER})
        _known("failure mode", template_of(self.mode), {*groups, OTHER})
        _known("status", self.status, STATUSES)
        if self.since and self.until and self.since > self.until:
            raise BadQuantity(f"no day is from {self.since} to {self.until}; exchange the two")
        return self

    def wants(self, brief: Brief, groups: Mapping[str, str]) -> bool:
        """Whether a case is one of those wanted."""
        day, mode = brief.opened.astimezone(UTC).date(), brief.mode
        return (
            (self.since is None or day >= self.since)
            and (self.until is None or day <= self.until)
            and self.rig.casefold() in brief.rig.casefold()
            and self.group in ("", groups.get(template_of(mode), mode))
            and self.mode in ("", mode, template_of(mode))
            and self.status in ("", brief.status)
        )


def selected(
    briefs: Iterable[Brief], wanted: Filter, groups: Mapping[str, str]
) -> tuple[Brief, ...]:
    """The cases wanted, in the order given."""
    return tuple(brief for brief in briefs if wanted.wants(brief, groups))


def groups_of(catalogue: Catalogue) -> dict[str, str]:
    """The component group of every failure mode of the book."""
    return {mode.id: mode.group for mode in catalogue.failure_modes.values()}


def shipped_groups() -> dict[str, str]:
    """The same of the shipped book by its folders: a failure mode lies in that of its group."""
    paths = (knowledge_folder() / "failure_modes").glob("*/*.yaml")
    return {path.stem: path.parent.name for path in sorted(paths)}


def day_of(text: str) -> date:
    """A day as "2026-03-02". Raises BadQuantity."""
    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise BadQuantity(f"{quoted(text)} is not a day; write it as 2026-03-02") from None


def counted(briefs: Iterable[Brief], key: Callable[[Brief], str]) -> dict[str, int]:
    """How many there are of each kind, most first, ties by name."""
    return most_first(map(key, briefs))


def most_first(names: Iterable[str]) -> dict[str, int]:
    """How often each name comes, most first, ties by name."""
    return dict(sorted(Counter(names).items(), key=lambda pair: (-pair[1], pair[0])))


def confirmed_counts(briefs: Iterable[Brief]) -> dict[str, int]:
    """Confirmed cases of each failure mode of the book: all that may teach."""
    good = (b for b in briefs if b.confirmed and b.true_cause != OTHER)
    return counted(good, lambda brief: template_of(brief.true_cause))


def _known(kind: str, name: str, names: Iterable[str]) -> None:
    known = set(names)
    if name and name not in known:
        raise UnknownName(kind, name, None, nearest(name, known), known)
