"""Case files: what is written is read back the same, and is fit for people to read."""

from dataclasses import MISSING, fields, replace
from datetime import UTC, datetime, timedelta

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from diagnose.casebook import case_fields, case_file
from diagnose.casebook.case_fields import line, paragraphs
from diagnose.casebook.case_file import from_yaml, to_yaml
from diagnose.casebook.record import (
    CONFIRMATIONS,
    LOADS,
    Case,
    ComeBack,
    PassedOver,
    ReadAt,
    SeenAt,
    StopAt,
    Verification,
)
from diagnose.casebook.rig_text import as_written
from diagnose.catalogue.rule_records import VERDICTS
from diagnose.circuit.meter import LARGEST_OHMS
from diagnose.circuit.reading_words import reading_of
from diagnose.circuit.rig import open_rig, read_rig
from diagnose.documents import parse
from diagnose.errors import harmless
from diagnose.units import read_quantity

READINGS = [
    reading_of(text)
    for text in (
        "voltage motor+ motor- calling",
        "resistance relay.86 relay.85",
        "peak-current motor-feed calling",
        "temperature relay",
        "flow-rate outlet calling",
    )
]
RIGS = [
    open_rig("bowser"),
    open_rig("mist-bench"),
    read_rig(parse("topology: direct\npump: {current: 4.2 A}", "bare")),
    read_rig(parse("topology: relay\npump: {current: 14 A, flow: 9 L/min}", "metric")),
]

texts = st.text(max_size=60).map(line).filter(bool)
rig_names = texts.filter(lambda text: len(harmless(text, 1000)) <= 100)
"""As a rig file can hold: the bound of its name counts what stands for a control character."""

amounts = st.floats(-1e6, 1e6).map(lambda value: value + 0.0)  # one zero, not two
positive = st.floats(0, 1e4).map(lambda value: round(value, 3))
times = st.datetimes(datetime(1990, 1, 1), datetime(2100, 1, 1)).map(
    lambda at: at.replace(microsecond=0, tzinfo=UTC)
)
moves = st.none() | st.floats(0, 1000).map(lambda bits: round(bits, 3))
readings = st.sampled_from(READINGS)


known = st.none() | times
SEEN = st.builds(SeenAt, texts, texts, known, positive, moves, st.booleans())
BAND = (readings, amounts, amounts, amounts)
READ = st.builds(ReadAt, *BAND, st.sampled_from(VERDICTS), known, positive, moves, st.booleans())
PASSED = st.builds(PassedOver, texts, st.sampled_from(("skipped", "unknown")), known, positive)
STOPPED = st.builds(StopAt, texts, known, known)
BACK = st.builds(ComeBack, times, known)


def typed(item):
    """The same with its value as it was typed."""
    over = item.reading.quantity == "resistance" and item.value >= LARGEST_OHMS
    return item if over else replace(item, typed=case_fields.value_text(item.value, item.reading))


def some(items):
    return st.lists(items, max_size=3).map(tuple)


@st.composite
def verifications(draw):
    low, high = sorted((draw(amounts), draw(amounts)))
    ran = draw(st.none() | st.booleans()), draw(st.sampled_from(("", *LOADS)))
    proof = Verification(draw(readings), draw(amounts), low, high, draw(known), *ran)
    return draw(st.sampled_from((proof, typed(proof))))


@st.composite
def rankings(draw):
    names = draw(st.lists(texts, min_size=1, max_size=10, unique=True))
    shares = [round(0.9 / len(names), 6) for _ in names]
    return tuple(zip(names, shares, strict=True)), round(1 - sum(shares), 6)


@st.composite
def cases(draw):
    ranking, rest = draw(rankings())
    opened = draw(times)
    closed = draw(st.booleans())
    true_cause = draw(texts) if closed else ""
    return Case(
        id=draw(texts),
        opened=opened,
        closed=opened + timedelta(seconds=draw(st.integers(0, 10**8))) if closed else None,
        rig=replace(draw(st.sampled_from(RIGS)), name=draw(rig_names)),
        complaint=draw(some(texts)),
        seen=draw(some(SEEN)),
        read=draw(some(READ | READ.map(typed))),
        passed_over=draw(some(PASSED)),
        stops=draw(some(STOPPED)),
        ranking=ranking,
        rest=rest,
        cause=draw(texts),
        repair=draw(texts),
        root_cause=draw(st.just("") | texts),
        root_cause_seen=draw(st.booleans()),
        findings=draw(some(texts)),
        status="closed" if closed else "open",
        confirmed_by=draw(st.sampled_from(CONFIRMATIONS)) if closed else "none",
        true_cause=true_cause,
        true_words=draw(st.just("") | texts),
        verification=draw(st.none() | verifications()),
        came_back=draw(some(BACK)),
        parts=draw(some(texts)),
        minutes=draw(positive),
        questions=draw(st.integers(0, 99)),
        notes=draw(st.text(max_size=200).map(paragraphs)),
        knowledge=draw(texts),
    )


@settings(max_examples=40, deadline=None)
@given(cases())
def test_a_case_comes_back_from_its_file_as_it_was(case):
    assert from_yaml(to_yaml(case), "case.yaml") == case


def test_no_field_of_a_case_is_lost_in_its_file(mended):
    """A case of which nothing is left out: a field that is added is asked for here."""
    at = mended().opened
    case = mended(
        complaint=("relay-chatters",),
        passed_over=(PassedOver("smell", "unknown", at, 0.5),),
        stops=(StopAt("too-hot", at, at), StopAt("smoked", at), StopAt("no-fuse")),
        root_cause="No cap on the holder.",
        root_cause_seen=True,
        findings=("4.5 V are lost across the main fuse and its holder.",),
        true_words="Green blades",
        parts=("blade fuse holder",),
        verification=Verification(READINGS[0], 12.0, 11.2, 12.6, at, True, "in-use", "12.0 V"),
        came_back=(ComeBack(at, at),),
        notes="Wet inside.",
    )
    optional = [one for one in fields(Case) if one.default is not MISSING]
    assert [one.name for one in optional if getattr(case, one.name) == one.default] == []

    again = from_yaml(to_yaml(case), "case.yaml")

    assert again == case
    assert again.standing == ("smoked", "no-fuse")


def test_the_same_holds_for_the_parser_and_writer_that_are_all_python(made, monkeypatch):
    case = made(notes="off\n\n010: 'x'\n# 1:30")

    class Python(yaml.SafeDumper):
        yaml_representers = case_file._Dumper.yaml_representers

    monkeypatch.setattr(case_file, "_Dumper", Python)
    monkeypatch.setattr("diagnose.strict_yaml._PARSER", yaml.SafeLoader)

    assert from_yaml(to_yaml(case), "case.yaml") == case


@pytest.mark.parametrize(
    "text",
    ["on", "No", "null", "~", "010", "0x1F", "1:30", "1_000", "1e999", ".inf", "1e5", "- x",
     "# x", "{a", "[b", "a: b", "a #b", "'", '"', "&a", "*a", "!t", "%", "@", "`",
     "?", "|", ">", "=",
     "<<", "2026-03-02", "09", "é ☂", "a" * 400, "---", "..."],
)  # fmt: skip
def test_words_that_yaml_would_misread_stay_text(made, text):
    case = made(complaint=(text,), parts=(text, "other"), notes=f"{text}\n{text}", true_words=text)

    assert from_yaml(to_yaml(case), "case.yaml") == case


def test_the_file_is_for_people(made):
    text = to_yaml(made(notes="Holder was green.\nNew one fitted."))

    assert "opened: 2026-03-02 09:00:00 UTC\nstatus: open\n" in text
    assert "notes: |-\n  Holder was green.\n  New one fitted.\n" in text
    assert "  pump: {current: 14 A, pressure: 50 psi, flow: 4 gal/min, at: working}\n" in text
    assert "  wire: {gauge: 8 AWG, length: 14 ft}\n" in text
    assert "- {observation: relay-sound, option: chatters, minutes: 0.5, moved: 1.25, at: " in text
    assert "value: 4.5 V, low: 0.03 V, high: 0.138 V, verdict: high" in text
    stopped = to_yaml(made(stops=(StopAt("too-hot", made().opened), StopAt("smoked"))))
    line_of_one = "- {stop: too-hot, raised: '2026-03-02 09:00:00 UTC'}"
    assert f"stops:\n{line_of_one}\n- {{stop: smoked}}\n" in stopped
    assert (
        "ranking:\n  fuse-holder-corroded: 0.75\n  fuse-holder-loose: 0.125\nrest: 0.125\n" in text
    )


def test_an_open_ohms_reading_is_written_as_the_meter_shows_it(made):
    reading = ReadAt(READINGS[1], LARGEST_OHMS, 70.0, 100.0, "open")

    text = to_yaml(made(read=(reading,)))

    assert "value: OL," in text
    assert from_yaml(text, "case.yaml").read == (reading,)


@pytest.mark.parametrize("rig", RIGS, ids=lambda rig: rig.name)
def test_a_rig_is_recorded_whole_with_what_was_assumed(made, rig):
    text = to_yaml(made(rig=rig))

    assert from_yaml(text, "case.yaml").rig == rig
    assert f"rig_assumed:\n- {rig.assumed[0]}\n" in text if rig.assumed else "assumed" not in text


@given(st.floats(1e-6, 1e7))
def test_a_rigs_value_is_written_so_that_it_reads_back_exactly(value):
    text = as_written(value, "ft", "in", "cm", "m")

    assert read_quantity(text, "m") == value


ESCAPES = "\x1b[2J\x07\x00\x9b31m\u202e\r\x7f"


def test_control_characters_reach_neither_the_file_nor_who_reads_it(made):
    case = made(
        notes=f"a{ESCAPES}\nb",
        complaint=(ESCAPES,),
        true_words=ESCAPES,
        parts=(ESCAPES,),
        rig=replace(RIGS[0], name=f"x{ESCAPES}"),
    )

    text = to_yaml(case)

    assert text.replace("\n", "").isprintable()
    again = from_yaml(text, "case.yaml")
    shown = [again.notes.replace("\n", ""), *again.complaint, again.true_words, again.rig.name]
    assert all(part.isprintable() and "\\x1b[2J" in part for part in shown)


def test_control_characters_in_a_file_from_elsewhere_are_made_visible(made):
    text = to_yaml(made()).replace("repair: replace-fuse-holder", "repair: fuse\u202eholder")

    assert from_yaml(text, "case.yaml").repair == "fuse\\u202eholder"
