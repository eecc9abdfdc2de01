"""The command `drill progress`: one trainee, or everybody in a folder for the teacher."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path

from diagnose.casebook.case_fields import written_time
from diagnose.catalogue.load import shipped_catalogue
from diagnose.drill.marks import SKILLS
from diagnose.drill.progress import Progress, Standing
from diagnose.drill.progress import progress as progress_of
from diagnose.drill.record import Drilled, Trainee, chosen_folder, trainees
from diagnose.errors import DiagnoseError, nearest, quoted
from diagnose.pages.blocks import Share, Shares
from diagnose.reasoning.explanation import title
from diagnose.terminal.json_lines import Record, print_json
from diagnose.terminal.layout import NARROW, block, blocks, heading, rows, shares_view
from diagnose.terminal.plain import Renderable, Screen, complain, para

LATEST = 8
"""Drills that are listed."""


class WhoseProgress(DiagnoseError):
    """It is not clear whose progress is wanted, or nobody of that name has drilled."""


def progress(name: str, trainee: str, folder: Path | None, as_json: bool) -> None:
    """Raises DiagnoseError. name, trainee: two ways to say whose; "" for everybody's."""
    at = datetime.now(UTC)
    if name and trainee and name != trainee:
        raise WhoseProgress(f"{quoted(name)} and {quoted(trainee)} are two names; give one.")
    wanted = name or trainee
    chosen: tuple[Trainee, ...] = (_one(wanted, folder),) if wanted else _everybody(folder)
    if as_json:
        print_json({"type": "progress", "trainees": [_record(one, at) for one in chosen]})
        return
    screen = Screen.standard()
    if not chosen:
        screen.say(f"Nobody has drilled yet; files would be in {chosen_folder(folder)}.")
    if len(chosen) == 1:
        screen.show(*trainee_view(screen, chosen[0], at))
    elif chosen:
        screen.show(*class_view(screen, chosen, at))


def _one(name: str, folder: Path | None) -> Trainee:
    """The trainee of a name, or of its beginning where only one begins so. Raises
    WhoseProgress."""
    exact = Trainee.of(name, folder)
    known = trainees(folder)[0]
    if exact.path.exists():
        return next((one for one in known if one.path == exact.path), exact)
    names = {one.name: one for one in known}
    said = name.casefold()
    begun = [one for full, one in names.items() if full.casefold().startswith(said)]
    if len(begun) == 1:
        return begun[0]
    near = nearest(name, names)
    hint = f" Did you mean {quoted(near)}?" if near and not begun else ""
    listed = f" These have: {', '.join(sorted(names))}." if names and not hint else ""
    where = chosen_folder(folder)
    raise WhoseProgress(f"Nobody called {quoted(name)} has drilled in {where}.{hint}{listed}")


def _everybody(folder: Path | None) -> tuple[Trainee, ...]:
    """All whose files can be read; the others are complained of."""
    good, problems = trainees(folder)
    for problem in problems:
        complain(str(problem))
    return good


def trainee_view(screen: Screen, trainee: Trainee, at: datetime) -> Iterator[Renderable]:
    """Everything about one trainee."""
    drills = trainee.drills()
    found = progress_of(drills, at)
    yield heading(screen, f"{trainee.name}: {_found(found)}")
    if not drills:
        yield para("Nothing was drilled yet. Begin with: diagnose drill --level 1")
        return
    yield para(f"Average score {found.score:.0f} of 100; {_dangers(found.dangers)}.")
    book = shipped_catalogue()
    named = (
        ("Skills, the weakest first", [_skills(screen, found)]),
        ("Failure modes, what is due first", _modes(screen, found, at)),
        ("Latest drills", _latest(screen, drills)),
    )
    yield from blocks(named)
    if due := [one for one in found.modes if one.is_due(at)]:
        yield para("")
        names = ", ".join(title(book, one.name) for one in due[:4])
        yield para(f"Due again: {names}. Drill them with: diagnose drill --wrong")


def _found(of: Progress) -> str:
    return f"{of.drills} drill{'s' * (of.drills != 1)}, {of.right} found"


def _dangers(count: int) -> str:
    if not count:
        return "nothing dangerous"
    return f"{count} dangerous act{'s' * (count > 1)}"


def _skills(screen: Screen, found: Progress) -> Renderable:
    ordered = sorted(found.skills, key=lambda one: (_hit(one), one.name))
    named = (
        Share(f"{_hit(one):.0%}", _hit(one), SKILLS.get(one.name, one.name)) for one in ordered
    )
    return shares_view(screen, Shares(tuple(named)))


def _hit(one: Standing) -> float:
    return 1 - one.missed / one.seen


def _modes(screen: Screen, found: Progress, at: datetime) -> Iterator[Renderable]:
    book = shipped_catalogue()
    for one in found.modes:
        seen = f"{one.seen - one.missed} of {one.seen} found"
        named = title(book, one.name)
        if screen.width >= NARROW:
            yield rows([(_when(one, at), seen, named)], [14, 13, None])
        else:
            yield para(f"{named}: {seen}, {_when(one, at)}", indent=2)


def _when(one: Standing, at: datetime) -> str:
    if one.is_due(at):
        return "due now"
    days = (one.due - at).days
    return f"in {days + 1} day{'s' * (days > 0)}"


def _latest(screen: Screen, drills: Sequence[Drilled]) -> Iterator[Renderable]:
    for one in reversed(drills[-LATEST:]):
        said = f"{one.rig}, level {one.level}, seed {one.seed}: {', '.join(one.modes)}"
        if screen.width >= NARROW:
            yield rows([(f"{one.at:%Y-%m-%d}", f"{one.score}", said)], [10, 3, None], right=[1])
        else:
            yield para(f"{one.at:%Y-%m-%d}, {one.score} of 100, {said}", indent=2)


def class_view(screen: Screen, chosen: Sequence[Trainee], at: datetime) -> Iterator[Renderable]:
    """A class at a glance, and what most of it gets wrong."""
    standings = [(trainee, progress_of(trainee.drills(), at)) for trainee in chosen]
    yield heading(screen, f"{len(chosen)} trainees")
    for trainee, found in standings:
        due = sum(one.is_due(at) for one in found.modes)
        facts = f"{_found(found)}, average {found.score:.0f}, {due} due"
        yield para(f"{trainee.name}: {facts}; {_dangers(found.dangers)}", indent=2)
    yield from block("Missed by most", *_missed([found for _, found in standings]))
    yield para("")
    yield para("One of them: diagnose drill progress NAME", "dim")


def _missed(found: Sequence[Progress]) -> Iterator[Renderable]:
    book, counts = shipped_catalogue(), dict[str, int]()
    for one in (mode for each in found for mode in each.modes if mode.missed):
        counts[one.name] = counts.get(one.name, 0) + 1
    for name, count in sorted(counts.items(), key=lambda pair: (-pair[1], pair[0]))[:LATEST]:
        yield para(f"{title(book, name)}: {count} of {len(found)}", indent=2)


def _record(trainee: Trainee, at: datetime) -> Record:
    found = progress_of(trainee.drills(), at)
    return {
        "trainee": trainee.name,
        "drills": found.drills,
        "found": found.right,
        "average": found.score,
        "dangers": found.dangers,
        "failure_modes": [_standing(one, at) for one in found.modes],
        "skills": [_standing(one, at) for one in found.skills],
    }


def _standing(one: Standing, at: datetime) -> Record:
    return {
        "name": one.name,
        "seen": one.seen,
        "missed": one.missed,
        "last": written_time(one.last),
        "due": written_time(one.due),
        "is_due": one.is_due(at),
        "strength": one.strength,
    }
