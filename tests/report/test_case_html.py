"""The report of a case: what must be in it, what must not, and that text stays text."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest

from diagnose.bench import Bench
from diagnose.casebook.case_file import load_case
from diagnose.casebook.export import json_lines
from diagnose.casebook.record import Case, ComeBack, ReadAt, SeenAt, Verification
from diagnose.catalogue.load import shipped_catalogue
from diagnose.circuit.reading_words import reading_of
from diagnose.design.volt_plot import Level
from diagnose.figures import knowledge_folder
from diagnose.report.case_html import MOST, case_html
from diagnose.report.case_volts import _as_measured, _differing, _falls
from diagnose.report.volts_svg import BARS, NAMES, volts_svg

AT = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
BOOK = shipped_catalogue()
Made = Callable[..., Case]
ReadPage = Callable[[str], Any]
DROP = reading_of("voltage fuse.in fuse.out calling")


def test_everything_that_was_asked_for_is_there(made: Made, read_page: ReadPage) -> None:
    proof = Verification(DROP, 0.06, 0.0, 0.138, AT)
    case = made(verification=proof, confirmed_by="verification")
    said = read_page(case_html(case, BOOK, notes=True)).said
    for words in (
        "tree-watering bowser: relay",
        "The relay clicks fast, like a rattle",
        "It rattled all morning.",
        "What does the main fuse holder look like? corroded",
        "voltage fuse.in fuse.out, asked to run 4.5 V 30 to 138 mV high",
        "It was: Corroded main fuse holder",
        "Ask: was it this: holder mounted with its opening up?",
        "What was done: replace fuse holder",
        "Parts: sealed blade fuse holder.",
        "read 60 mV after the repair, within 0 to 138 mV",
        "So that it does not come back",
        "Cautions",
    ):
        assert words in said


def test_notes_only_when_asked_for(made: Made, read_page: ReadPage) -> None:
    assert "Rosa" not in case_html(made(), BOOK)
    assert "Ask Rosa for the key." in read_page(case_html(made(), BOOK, notes=True)).said


def test_own_words_of_a_customer_only_when_asked_for(made: Made, read_page: ReadPage) -> None:
    case = made(complaint=("relay-chatters", "Rosa says it rattles"))
    page = case_html(case, BOOK)
    assert "Rosa" not in page
    assert "left out here" in page
    assert BOOK.complaints["relay-chatters"].say in read_page(page).said
    assert "Rosa says it rattles" in read_page(case_html(case, BOOK, notes=True)).said


OWN = {
    "complaint": ("relay-chatters", "Ask Rosa"),
    "true_words": "Rosa left it on",
    "root_cause": "Rosa drove it through the pond",
    "parts": ("fuse from the tin of Rosa",),
    "notes": "Ask Rosa for the key.",
}
"""A person's name wherever a case holds what somebody wrote in words of their own."""


@pytest.mark.parametrize("field", OWN)
def test_report_and_export_leave_out_the_same(made: Made, read_page: ReadPage, field: str) -> None:
    case = made(**{"notes": "", "complaint": ()} | {field: OWN[field]}, root_cause_seen=True)
    page, export = case_html(case, BOOK), "".join(json_lines([case], BOOK))
    assert "Rosa" not in page + export
    assert "left out here" in page
    full = read_page(case_html(case, BOOK, notes=True)).said
    assert "Rosa" in full
    assert "Rosa" in "".join(json_lines([case]))
    assert "left out here" not in full


def test_what_the_book_says_stays_in_a_report(made: Made, read_page: ReadPage) -> None:
    mode = BOOK.failure_modes["fuse-holder-corroded"]
    cause = " ".join(mode.root_causes[0].cause.split())
    case = made(complaint=("relay-chatters",), root_cause=cause, parts=mode.parts[:1], notes="")
    page = case_html(case, BOOK)
    assert mode.parts[0] in read_page(page).said
    assert cause[1:] in read_page(page).said
    assert page == case_html(case, BOOK, notes=True)


def test_text_of_a_case_stays_text(made: Made, read_page: ReadPage) -> None:
    evil = '</title><script>alert(1)</script><img src=x onerror="alert(1)">\x1b[31m'
    case = made(
        complaint=(evil,),
        true_cause="not-in-the-book",
        true_words=evil,
        parts=(evil,),
        notes=evil,
        knowledge=evil,
        seen=(SeenAt(evil, evil),),
    )
    made_page = case_html(case, BOOK, notes=True)
    page = read_page(made_page)
    assert not {"script", "img"} & set(page.kinds)
    assert "\x1b" not in made_page
    assert page.said.count("<script>alert(1)</script>") >= 5


def test_an_open_case_says_what_there_is_to_do(made: Made, read_page: ReadPage) -> None:
    case = made(status="open", closed=None, true_cause="", confirmed_by="none")
    said = read_page(case_html(case, BOOK)).said
    assert "It is taken for: Corroded main fuse holder" in said
    assert "What there is to do: replace fuse holder" in said
    assert "Not taken. It would be voltage fuse.in fuse.out, asked to run" in said


def test_another_cause_than_the_walk_named(made: Made, read_page: ReadPage) -> None:
    said = read_page(case_html(made(true_cause="ground-open"), BOOK)).said
    assert "It was: Open ground return" in said
    assert "The questions had ended on: Corroded main fuse holder." in said
    assert "Holder mounted" not in said  # that was behind the cause named by the walk


def test_a_cause_that_no_book_has(made: Made, read_page: ReadPage) -> None:
    case = made(true_cause="not-in-the-book", true_words="A second pump on the same wire")
    said = read_page(case_html(case, BOOK, notes=True)).said
    assert "It was: Not in the book" in said
    assert "A second pump on the same wire" in said
    assert "with the fault" not in said


def test_what_is_behind_it_is_asked_until_somebody_looked(made: Made, read_page: ReadPage) -> None:
    assert "Behind it:" not in read_page(case_html(made(), BOOK)).said

    said = read_page(case_html(made(root_cause_seen=True), BOOK, notes=True)).said
    assert "Behind it: Holder mounted with its opening up." in said
    assert "Ask: was it" not in said


def test_what_the_answers_say_together_is_there(made: Made, read_page: ReadPage) -> None:
    said = "4.5 V are lost across the main fuse and its holder."
    many = tuple(f"{count} V are lost in the return." for count in range(1, 7))

    assert f"What this says {said}" in read_page(case_html(made(findings=(said,)), BOOK)).said
    page = read_page(case_html(made(findings=many), BOOK)).said
    assert many[3] in page
    assert many[4] not in page


def test_readings_are_shown_as_they_were_typed(made: Made, read_page: ReadPage) -> None:
    read = (ReadAt(DROP, 4.0, 0.03, 0.138, "high", AT, typed="about 4 V"),)
    assert (
        "voltage fuse.in fuse.out, asked to run about 4 V"
        in read_page(case_html(made(read=read), BOOK)).said
    )


def test_a_proof_on_a_dead_rig_is_said_to_be_none(made: Made, read_page: ReadPage) -> None:
    """Ohm's law: no current, no drop."""
    proof = Verification(DROP, 0.0, 0.0, 0.138, AT, False, "still", "0 V")
    said = read_page(case_html(made(verification=proof, status="open", closed=None), BOOK)).said

    assert "read 0 V after the repair (it does not run), within 0 to 138 mV." in said
    assert "a drop of 0 V on a rig that does not run proves nothing" in said


def test_the_picture_never_contradicts_the_meter(made: Made, read_page: ReadPage) -> None:
    """A corroded holder leaves the motor few volts. A meter that finds them all behind it, and much
    lost across it, is believed in both: the fault is not drawn, and the page says why."""
    good = ReadAt(reading_of("voltage fuse.out battery- calling"), 12.4, 12.1, 12.9, "within", AT)

    said = read_page(case_html(made(read=(good, *made().read)), BOOK)).said

    assert "The fault is not drawn, since fuse.in to fuse.out 4.5 V does not go together" in said
    assert "with the fault" not in said
    assert " fuse.out 12.40 V" in said


def test_the_bar_ends_where_the_meter_says() -> None:
    low = ReadAt(reading_of("voltage fuse.out lug- calling"), 7.0, 12.1, 12.9, "low", AT)
    good = ReadAt(reading_of("voltage fuse.in lug- calling"), 12.5, 12.1, 12.9, "within", AT)
    drawn = (Level("fuse.in", 12.6, 12.6), Level("fuse.out", 12.5, 9.0), Level("motor+", 12.3, 6.9))

    here = _as_measured(drawn, {"fuse.out": low, "fuse.in": good}, [low])

    assert [one.faulty for one in here] == [12.6, 7.0, 6.9]
    assert _differing([low]).endswith("and counts: fuse.out to lug- 7 V.")


def test_volts_fall_along_the_copper(bowser: Bench) -> None:
    """Kirchhoff: without a source on the way no point is above the one before it."""
    falling = (Level("fuse.in", 12.6, 12.5), Level("fuse.out", 12.5, 7.0), Level("lug-", 0.0, 0.0))
    coil = Level("cfuse.in", 12.5, 12.5)  # after the copper: the coil's own way begins again
    rising = (*falling[:2], Level("motor+", 12.3, 12.0), falling[2])

    assert _falls((*falling, coil), bowser.healthy)
    assert not _falls(rising, bowser.healthy)


def test_what_came_back_is_said(made: Made, read_page: ReadPage) -> None:
    case = made(status="reopened", closed=None, came_back=(ComeBack(AT, AT),))
    assert "Came back" in read_page(case_html(case, BOOK)).said


def test_the_findings_that_moved_least_are_left_out(made: Made, read_page: ReadPage) -> None:
    names = list(BOOK.observations)[:40]
    seen = tuple(SeenAt(name, "always", moved=float(n)) for n, name in enumerate(names))
    said = read_page(case_html(made(seen=seen, read=()), BOOK)).said
    assert f"{40 - MOST} more, which moved less" in said
    assert BOOK.observations[names[-1]].ask in said
    assert BOOK.observations[names[0]].ask not in said


def test_the_picture_is_to_scale() -> None:
    """12 V fills the bars when it is the most there is; 3 V is a quarter of it, 6 V the middle."""
    levels = [Level("fuse.in", 12.0, 12.0), Level("fuse.out", 12.0, 3.0)]
    svg = volts_svg(levels, {"fuse.out": 6.0}, "a fault")
    assert f'width="{BARS:.1f}"' in svg
    assert f'width="{BARS / 4:.1f}"' in svg
    assert f'points="{NAMES + BARS / 2 - 5:.1f},' in svg
    assert ">6.00 V<" in svg


def test_the_fault_is_drawn_as_far_gone_as_was_measured(made: Made, read_page: ReadPage) -> None:
    """With 0.2 V across the holder the picture shows a mild one, with 9 V a severe one."""

    def after(volts: float) -> float:
        read = (ReadAt(DROP, volts, 0.03, 0.138, "high", AT),)
        said = read_page(case_html(made(read=read), BOOK)).said
        return float(said.split(" fuse.out ")[1].split(" V")[0])

    assert after(0.2) > 11
    assert after(9.0) < 9


def test_other_readings_than_volts_say_how_far_it_has_gone(made: Made, read_page: ReadPage) -> None:
    """A holder at 150 degC is worse than one at 35 degC, though no volts were read."""

    def after(degrees: float) -> float:
        read = (ReadAt(reading_of("temperature fuse-holder"), degrees, 10.0, 40.0, "high", AT),)
        said = read_page(case_html(made(read=read), BOOK)).said
        assert "with the fault as far gone as fits the readings best" in said
        return float(said.split(" fuse.out ")[1].split(" V")[0])

    assert after(150.0) < after(35.0)
    assert "with the fault middling" in read_page(case_html(made(read=()), BOOK)).said


def test_a_reading_that_the_rig_cannot_have_is_listed_and_not_drawn(
    made: Made, read_page: ReadPage
) -> None:
    """A case file may be mended by hand."""
    odd = ReadAt(reading_of("voltage remote.in lug- calling"), 12.0, 11.0, 13.0, "within", AT)
    said = read_page(case_html(made(read=(odd,)), BOOK)).said
    assert "voltage remote.in lug-, asked to run 12 V" in said


@pytest.mark.parametrize("year", ["2025", "2026"])
def test_every_case_of_the_garden_makes_a_page(year: str, read_page: ReadPage) -> None:
    folder = knowledge_folder().parent / "cases" / "garden-year" / year
    if not folder.is_dir():
        pytest.skip("the garden's cases are not here")
    for path in sorted(folder.glob("*.yaml"))[::4]:
        assert "Where the volts go" in read_page(case_html(load_case(path), BOOK)).said
