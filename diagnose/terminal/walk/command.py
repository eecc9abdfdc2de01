"""The commands walk and rank, from what stood on the command line to the screen or to lines."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from diagnose.bench import Bench
from diagnose.casebook.brief import shipped_groups
from diagnose.casebook.index import Index, opened_index
from diagnose.casebook.learning import Learning, learning_from
from diagnose.casebook.rig_record import readings_beside
from diagnose.casebook.store import Casebook, NoHome
from diagnose.catalogue.records import Observation
from diagnose.circuit.rig import Rig, rig_called
from diagnose.errors import DiagnoseError, one_line
from diagnose.handout.code import Code
from diagnose.handout.taking import check_rig
from diagnose.outcome import Result, cause_title, conclude
from diagnose.pages.reasons import fit_line, said_here, why_stopped
from diagnose.pages.result import usual_values
from diagnose.reasoning import OTHER, words
from diagnose.reasoning.commissioning import CommissioningRecord, dates_in_words
from diagnose.reasoning.explanation import best_supported
from diagnose.terminal import options
from diagnose.terminal.handout import code_from, take_from, taken_over
from diagnose.terminal.json_lines import Wire, print_json
from diagnose.terminal.layout import NARROW, block_view, blocks, heading, items, rows
from diagnose.terminal.plain import (
    BROKEN_OFF,
    MISTAKE,
    Renderable,
    Screen,
    complain,
    para,
    sentence,
)
from diagnose.terminal.prompts import Keyboard, Talk
from diagnose.terminal.rig.describe import describe
from diagnose.terminal.stops import stop_view
from diagnose.terminal.walk.conversation import Conversation
from diagnose.terminal.walk.keeping import Keeper
from diagnose.terminal.walk.keeping import resume as resume_walk
from diagnose.terminal.walk.lines import LineConversation
from diagnose.terminal.walk.question import answers_view
from diagnose.terminal.walk.records import ranked_record
from diagnose.walkthrough import Question, Walk

MOST, LEAST = 8, 0.01
"""Failure modes shown, and the probability below which they are not."""

REASONS, GROUPS = 5, 4

KEPT = "Kept. Go on with: diagnose walk --resume"


class NotWithResume(DiagnoseError):
    """A walk that is gone on with already has its rig and its findings."""


class NoRig(DiagnoseError):
    """The line protocol does not describe a rig; it has to be given."""


def walk(
    json_lines: bool,
    complaint: str,
    resume: bool,
    at: str,
    having: str,
    sent: str = "",
    **said: Any,
) -> int:
    """A walk, new or gone on with; the exit status. Raises DiagnoseError."""
    code = code_from(sent) if sent else None
    given = WalkOptions(**said, able=options.able(at, having), sent=code)
    complaint = complaint.strip()
    if resume and (complaint or given.anything):
        raise NotWithResume("--resume goes on with a walk as it was; give nothing else with it.")
    if code and given.rig is None:
        raise NoRig("walk --from needs the RIG that the page was made for.")
    if json_lines:
        if given.rig is None and not resume:
            raise NoRig("walk --json-lines begins a walk on a RIG: a rig file or a bundled rig.")
        keeper = given.kept(None, resume)
        assert keeper is not None
        return 0 if LineConversation(keeper, Wire.standard()).hold(complaint) else MISTAKE
    talk = Talk(Screen.standard(), Keyboard())
    keeper = given.kept(talk, resume)
    if keeper and code:
        talk.screen.say(taken_over(keeper.walk, code.complaint))
    return _converse(talk, keeper, complaint) if keeper else 0


def rank(rig: str, as_json: bool, **said: Any) -> None:
    """The ranking of what was seen and read. Raises DiagnoseError."""
    begun = WalkOptions(rig, **said).walk(rig_called(rig))
    if as_json:
        print_json(ranked_record(begun))
        return
    screen = Screen.standard()
    screen.show(*rank_view(screen, begun, conclude(begun)))


@dataclass(frozen=True)
class WalkOptions:
    """What stood on the command line. made_safe: stops that have been dealt with; able: what
    whoever answers can do, in words; sent: the answers of a page."""

    rig: str | None
    seen: list[str] | None
    read: list[str] | None
    answers: Path | None
    casebook: Path | None
    no_learning: bool
    made_safe: list[str] | None
    able: str = ""
    sent: Code | None = None

    @property
    def anything(self) -> bool:
        """Whether anything was said that a new walk begins with."""
        said = self.rig, self.seen, self.read, self.answers, self.made_safe, self.able, self.sent
        return any(said)

    def kept(self, talk: Talk | None, resume: bool) -> Keeper | None:
        """The walk to hold: a new one, or one broken off; None when the person would rather not.

        talk: with whom, None where nobody can be asked
        """
        if resume:
            return resume_walk(talk, self.casebook, self.bench)
        if self.rig is None:
            assert talk is not None
            rig = describe(talk)
        else:
            rig = rig_called(self.rig)
        complaint = (self.sent.complaint,) if self.sent else ()
        return Keeper(self.walk(rig), self.casebook, complaint) if rig else None

    def walk(self, rig: Rig) -> Walk:
        """A walk on that rig that knows what was seen and read. Raises DiagnoseError."""
        items = options.findings(rig, options.shop(), self.seen, self.read, self.answers)
        own = readings_beside(self.rig, rig) if self.rig else None
        if self.sent:
            check_rig(self.sent, rig)
        walk = Walk(self.bench(rig, own), able=self.able)
        walk.tell(items)
        if self.sent:
            take_from(self.sent, walk)
        for stop in self.made_safe or ():
            walk.made_safe(stop)
        return walk

    def bench(self, rig: Rig, own: CommissioningRecord | None = None) -> Bench:
        """Everything computed for that rig, by the shop's own cases and by the rig's own readings
        too. Raises DiagnoseError."""
        learn = None if self.no_learning else learn_from(self.casebook)
        return options.bench_for(rig, options.shop(), learn, own)


def _converse(talk: Talk, keeper: Keeper, complaint: str) -> int:
    """The conversation; the exit status. Broken off, it keeps what was answered."""
    try:
        Conversation.of(talk, keeper, complaint).hold()
    except (KeyboardInterrupt, EOFError):
        complain(f"\n{KEPT}" if keeper.leave() else "")
        return BROKEN_OFF
    except DiagnoseError:  # the case could not be kept; what was answered may be
        if keeper.leave():
            complain(KEPT)
        raise
    except OSError:  # nothing can be shown any more
        complain(f"\n{KEPT}" if keeper.leave() else "")
        raise
    return 0


def learn_from(folder: Path | None) -> Learning | None:
    """What the confirmed cases of a casebook teach; None where there are none. Raises DiagnoseError
    when the folder that was named cannot be used; another one is only complained of."""
    try:
        casebook = Casebook.open(folder)
    except NoHome:
        return None
    except DiagnoseError as problem:
        if folder is not None:
            raise
        complain(f"Nothing is learned from cases. {sentence(problem)}")
        return None
    if not os.path.lexists(casebook.folder):
        return None
    with opened_index(casebook) as index:
        _mention(index)
        learning = learning_from(index.briefs(), shipped_groups())
    return learning if learning.counts else None


def _mention(index: Index) -> None:
    """Say in a line which case files were left out, and in another why the index is not kept."""
    problems = index.problems
    files = {problem.place.file for problem in problems if problem.place}
    if problems:
        more = f"{len(files):,} files" if len(files) > 1 else "a file"
        named = " (named by: diagnose cases list --all)" if len(problems) > 1 else ""
        first = sentence(problems[0])
        complain(f"Nothing is learned from {more} of the casebook{named}. {first}")
    if index.remark:
        complain(index.remark)


def rank_view(screen: Screen, walk: Walk, result: Result) -> Iterator[Renderable]:
    """The result of a ranking that was asked for at once."""
    bench, question = walk.bench, walk.question()
    yield heading(screen, words.rig_line(bench.rig))
    if bench.own:
        yield para(dates_in_words(bench.own), "dim")
    for stop in result.stops:
        yield from stop_view(stop)
    yield _table(screen, bench, result)
    yield para(fit_line(result.unknown, result.fit), "" if result.fit.fits else "yellow", indent=2)
    if said := said_here(bench, result.cause):
        yield para(f"{cause_title(bench, result.cause)}, {said} confirmed cases.", indent=2)
    raised = [one_line(one.because) for one in walk.conclusions().cautions]
    named = (
        ("Mended by one repair", _shared(bench, result)),
        ("What this says", items(one.text for one in best_supported(result.findings))),
        ("Why the first of them", items(result.because[:REASONS])),
        ("These do not go together", items(walk.contradictions())),
        ("Cautions", items([*raised, _text(walk, "local-codes")], "!")),
        ("Next", _next(screen, walk, question)),
        (
            "Values of the rig that were taken as usual",
            [one for part in usual_values(result) for one in block_view(screen, part)],
        ),
    )
    yield from blocks(named)


def _table(screen: Screen, bench: Bench, result: Result) -> Renderable:
    """The likeliest failure modes; letters mark those that share a repair."""
    cells = 16 if screen.width >= NARROW else 6
    lettered = zip("abcd", _groups(result), strict=False)
    letters = {name: letter for letter, group in lettered for name in group}
    top = [(name, p) for name, p in result.ranking if name != OTHER][:MOST]
    shown = [
        (words.per_cent(p), screen.bar(p, cells), letters.get(name, ""), cause_title(bench, name))
        for name, p in top
        if p >= LEAST
    ]
    return rows(shown, [5, cells, 1, None], styles=["", "cyan", "dim", ""], right=[0])


def _groups(result: Result) -> list[tuple[str, ...]]:
    """The first groups of one repair of which at least two members stand in the table."""
    top = {name for name, p in result.ranking[:MOST] if p >= LEAST}
    found = [group for group in result.same_repair if len(top.intersection(group)) > 1]
    return found[:GROUPS]


def _shared(bench: Bench, result: Result) -> Iterator[Renderable]:
    for letter, group in zip("abcd", _groups(result), strict=False):
        repair = bench.shop.repair[group[0]]
        probability = words.per_cent(result.repairs[repair])
        yield rows([(letter, f"{words.spaced(repair)}, {probability} together")], [1, None])


def _text(walk: Walk, name: str) -> str:
    """A caution of the book in full."""
    return one_line(walk.bench.shop.catalogue.cautions[name].text)


def _next(screen: Screen, walk: Walk, question: Question | None) -> Iterator[Renderable]:
    if question is None:
        yield para(f"Nothing more to ask: {why_stopped(walk)}.", indent=2)
        return
    for name in question.entry.cautions:
        yield para(f"Caution: {_text(walk, name)}", "yellow", indent=2)
    yield para(question.sentence, "bold", indent=2)
    yield para(one_line(question.entry.why), indent=2)
    if isinstance(question.entry, Observation):
        for danger in question.entry.unsafe_when:
            yield para(f"Not when {danger}.", "yellow", indent=2)
    yield answers_view(screen, question)
