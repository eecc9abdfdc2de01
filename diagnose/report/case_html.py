"""One case on two sheets: what was found, where the volts went; what it was, what was done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

from diagnose.casebook.closure import LOADED, doubt, shown
from diagnose.casebook.export import in_its_words
from diagnose.casebook.record import Case, ReadAt, SeenAt, StopAt, Verification
from diagnose.catalogue.records import Catalogue, FailureMode, Stop
from diagnose.circuit.reading_words import in_words
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.words import STATES, band, per_cent, rig_line, spaced, value
from diagnose.report.case_volts import case_volts
from diagnose.report.markup import Html, joined, line, listed, table, tag
from diagnose.report.mode_html import caution_html, stop_html
from diagnose.report.page import page

MOST = 22
"""Findings on the first sheet; where there are more, those that moved the ranking most."""

LIKELY, SHOWN, SPOKEN = 0.01, 5, 4
"""Probability from which a failure mode of the ranking is shown, how many of them, and how many
sentences of what the answers say together."""

CONFIRMED = {
    "none": "not confirmed",
    "verification": "confirmed by the reading after the repair",
    "part-swapped": "confirmed by the part that was swapped",
}

STYLE = """
.sheet { margin-bottom: 2rem; }
.columns { display: grid; gap: 0 1.5rem; }
@media screen and (min-width: 48rem) { .columns { grid-template-columns: 1.5fr 1fr; } }
h2 { font-size: 1.1rem; margin: 1rem 0 .3rem; }
td:nth-child(2), td:nth-child(3) { white-space: nowrap; }
@media print {
  body { font-size: 8.5pt; line-height: 1.35; }
  h1 { font-size: 15pt; }
  .sheet { break-after: page; margin: 0; }
  .sheet:last-of-type { break-after: auto; }
  .columns { grid-template-columns: 1.5fr 1fr; }
  h2 { margin: .6rem 0 .2rem; }
  p, ul, ol { margin: .15rem 0 .3rem; }
  th, td { padding: .06rem .4rem .06rem 0; line-height: 1.25; }
  .caution { padding: .1rem .5rem; }
}
"""


def case_html(case: Case, book: Catalogue, notes: bool = False) -> str:
    """The report of a case. notes: whether what somebody wrote in words of their own is in it, the
    customer or the shop; it may be personal."""
    named = case.true_cause or case.cause
    mode = book.failure_modes.get(named) if case.looked_into else None
    told = case if notes else in_its_words(case, book)
    body = joined(
        [
            tag("section", *_found(told, book, told.complaint != case.complaint), class_="sheet"),
            tag("section", *_done(told, book, mode, _left_out(case, told)), class_="sheet"),
        ]
    )
    return page(f"Repair report {case.id}", body, STYLE)


def _left_out(case: Case, told: Case) -> bool:
    """Whether anything of what it was, or what was done, is not in a report of `told`."""
    return replace(case, complaint=()) != replace(told, complaint=())


def _found(case: Case, book: Catalogue, left_out: bool) -> Iterator[Html | None]:
    """The first sheet. left_out: the customer said more than is shown"""
    yield tag("h1", "Repair report")
    yield from (stop_html(one) for one in standing_in(case, book))
    yield tag("p", rig_line(case.rig))
    yield tag("p", _status(case), class_="soft")
    yield tag("h2", "What the customer said")
    yield listed(_said(case, book, left_out)) or tag("p", "Nothing was noted.")
    yield tag(
        "div",
        tag("div", *_findings(case, book)),
        tag("div", tag("h2", "Where the volts go"), case_volts(case, book)),
        class_="columns",
    )


def _status(case: Case) -> str:
    """When, how far, how long."""
    end = f"closed {_moment(case.closed)}, {CONFIRMED[case.confirmed_by]}" if case.closed else ""
    spent = f"{case.minutes:g} min of questions and tests, {case.questions} questions"
    return (
        f"{case.id}. Opened {_moment(case.opened)}, {end or case.status}; {spent}. Times are UTC."
    )


def _moment(at: datetime | None) -> str:
    return f"{at:%Y-%m-%d %H:%M}" if at else ""


def _said(case: Case, book: Catalogue, left_out: bool) -> Iterator[str]:
    for said in case.complaint:
        known = book.complaints.get(said)
        yield known.say if known else said
    if left_out:
        yield "More, in words of their own that are left out here."


def _findings(case: Case, book: Catalogue) -> Iterator[Html | None]:
    kept = _kept(case)
    seen = [item for item in kept if isinstance(item, SeenAt)]
    read = [item for item in kept if isinstance(item, ReadAt)]
    if seen:
        yield tag("h2", "Seen and heard")
        yield table(("question", "answer"), [_seen(item, book) for item in seen])
    if read:
        yield tag("h2", "Measured")
        yield table(
            ("reading", "value", "sound rigs read", "so it is"), [_read(item) for item in read]
        )
    if case.findings:
        yield tag("h2", "What this says")
        yield listed(case.findings[:SPOKEN])
    left = len(case.found) - len(kept)
    if left:
        yield tag("p", f"{left} more, which moved less, are in the case file.", class_="soft")


def _kept(case: Case) -> list[SeenAt | ReadAt]:
    """The findings that fit on the sheet, in their order."""
    by_weight = sorted(case.found, key=lambda item: -(item.moved or 0.0))[:MOST]
    return [item for item in case.found if item in by_weight]


def _seen(item: SeenAt, book: Catalogue) -> tuple[str, str]:
    entry = book.observations.get(item.observation)
    return (entry.ask if entry else spaced(item.observation)), spaced(item.option)


def _read(item: ReadAt) -> tuple[Html | str, ...]:
    odd = item.verdict != "within"
    said = item.typed or value(item.value, item.reading)
    sound = band(item.low, item.high, item.reading)
    return in_words(item.reading), tag("b", said) if odd else said, sound, item.verdict


def _done(
    case: Case, book: Catalogue, mode: FailureMode | None, left_out: bool
) -> Iterator[Html | None]:
    """The second sheet. left_out: more was written than is shown"""
    yield tag("h1", _heading(case, book))
    yield from _cause(case, book, mode)
    stops = standing_in(case, book)
    if case.looked_into and all(one.until for one in stops):
        yield from _mending(case, mode)
    if case.looked_into and not stops:
        yield from _proof(case, mode)
    yield listed(_stopped(one, book) for one in case.stops if one.lifted)
    if case.came_back:
        yield tag("h2", "Came back")
        yield listed(f"Known {_moment(item.at)}" for item in case.came_back)
    if mode:
        yield tag("h2", "So that it does not come back")
        yield listed(map(line, mode.prevention))
    yield from _cautions(book, mode)
    if case.notes:
        yield tag("h2", "Notes")
        yield joined(tag("p", part) for part in case.notes.split("\n"))
    if left_out:
        yield tag("p", "What was written in words of one's own is left out here.", class_="soft")
    yield tag("p", line(book.cautions["local-codes"].text), class_="soft")
    yield tag("p", f"Knowledge {case.knowledge}.", class_="soft")


def standing_in(case: Case, book: Catalogue) -> list[Stop]:
    """The stops of the book that stand in a case, those that nothing ends first."""
    found = [book.stops[name] for name in case.standing if name in book.stops]
    return sorted(found, key=lambda one: bool(one.until))


def _stopped(one: StopAt, book: Catalogue) -> str:
    """A stop that was made safe, and when."""
    named = book.stops[one.stop].title if one.stop in book.stops else spaced(one.stop)
    return f"Stopped: {named}. Made safe {_moment(one.lifted)}."


def _titled(book: Catalogue, mode: str) -> str:
    if mode == OTHER:
        return "Not in the book"
    known = book.failure_modes.get(mode)
    return known.title if known else spaced(mode)


def _heading(case: Case, book: Catalogue) -> str:
    if case.true_cause:
        return f"It was: {_titled(book, case.true_cause)}"
    if not case.looked_into:
        return "No diagnosis: nothing was asked after the complaint"
    return f"It is taken for: {_titled(book, case.cause)}"


def _cause(case: Case, book: Catalogue, mode: FailureMode | None) -> Iterator[Html | None]:
    if case.true_words:
        yield tag("p", case.true_words)
    if mode:
        yield tag("p", line(mode.about))
    if case.true_cause and case.true_cause != case.cause:
        yield tag("p", f"The questions had ended on: {_titled(book, case.cause)}.")
    if said := behind(case):
        yield tag("p", said)
    likely = [f"{_titled(book, name)} {per_cent(p)}" for name, p in case.ranking if p >= LIKELY][
        :SHOWN
    ]
    if likely:
        yield tag("p", f"The ranking at the end: {', '.join(likely)}.", class_="soft")


def behind(case: Case) -> str:
    """What is behind the cause, where somebody looked, or else the question; "" for another cause
    than the walk ended on, unless it was said of that."""
    cause = case.root_cause.rstrip(".")
    if cause and case.root_cause_seen:
        return f"Behind it: {cause}."
    if cause and case.true_cause in ("", case.cause):
        return f"Ask: was it this: {cause[0].lower()}{cause[1:]}?"
    return ""


def _mending(case: Case, mode: FailureMode | None) -> Iterator[Html | None]:
    """The repair, its steps as the book has them, and the parts that went in."""
    head = "What was done" if case.status == "closed" else "What there is to do"
    yield tag("h2", f"{head}: {spaced(mode.repair if mode else case.repair)}")
    if mode:
        yield listed(map(line, mode.fix), "ol")
        yield tag("p", "The steps are those of the book for this repair.", class_="soft")
    if case.parts:
        yield tag("p", f"Parts: {'; '.join(case.parts)}.")


def _proof(case: Case, mode: FailureMode | None) -> Iterator[Html | None]:
    """The reading after the repair, or the one that is still to be taken."""
    yield tag("h2", "Proof that it is mended")
    if case.verification:
        yield tag("p", _verified(case.verification))
    elif mode:
        reading = mode.verify.reading
        why = line(mode.verify.why).rstrip(".")
        state = STATES[reading.condition]
        yield tag("p", f"Not taken. It would be {in_words(reading)}: {why}. {state}")
    else:
        yield tag("p", "No reading of the book proves it.")


def _verified(proof: Verification) -> str:
    sound = band(proof.low, proof.high, proof.reading)
    said = "within" if proof.within else "outside"
    how = f" ({LOADED[proof.load]})" if proof.load else ""
    found = f"{in_words(proof.reading)} read {shown(proof)} after the repair{how}, {said} {sound}."
    return f"{found} {doubt(proof)}".strip()


def _cautions(book: Catalogue, mode: FailureMode | None) -> Iterator[Html | None]:
    names = [name for name in (mode.cautions if mode else ()) if name in book.cautions]
    if names:
        yield tag("h2", "Cautions")
        yield joined(caution_html(book.cautions[name]) for name in names)
