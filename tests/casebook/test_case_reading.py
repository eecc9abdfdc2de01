"""What is wrong in a case file is named, and what another schema or zone wrote is understood."""

from datetime import UTC, datetime

import pytest

from diagnose.casebook import case_file
from diagnose.casebook.case_fields import time_of, written_time
from diagnose.casebook.case_file import from_yaml, to_yaml
from diagnose.casebook.record import ReadAt, Verification
from diagnose.circuit.reading_words import reading_of
from diagnose.errors import BadDocument, DiagnoseError, Mistakes


def test_every_problem_of_a_file_is_named_with_line_and_key(made):
    text = to_yaml(made())
    for right, wrong in [
        ("status: open", "status: opne"),
        ("opened: 2026-03-02 09:00:00 UTC", "opened: last Monday"),
        ("value: 4.5 V", "value: 4.5 A"),
        ("minutes: 12.5", "minutes: long"),
        ("current: 14 A", "curent: 14 A"),
        ("rest: 0.125", "rest: 0.5"),
    ]:
        assert text.count(right) == 1
        text = text.replace(right, wrong)

    with pytest.raises(Mistakes) as caught:
        from_yaml(text, "2026/some-case.yaml")

    said = str(caught.value)
    for words in (
        "line 4, key opened: 'last Monday' is not a time; write it as '2026-03-02 09:05:00 UTC'",
        "line 5, key status: there is no status called 'opne'. Did you mean 'open'?",
        "key minutes: should be a bare number",
        "key read[1].value: '4.5 A' is another kind of quantity; a voltage is wanted",
        "key ranking: the ranking and the rest make 1.375, not 1",
        "key rig.pump.current: this key is needed here and is missing",
        "key rig.pump.curent: there is no key called 'curent'. Did you mean 'current'?",
    ):
        assert words in said
    assert all(part.startswith("2026/some-case.yaml, line ") for part in said.splitlines())


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"status": "closed"}, "needs the time at which it was closed"),
        ({"status": "reopened"}, "needs the time in came_back"),
        ({"confirmed_by": "verification"}, "needs its true_cause"),
        (
            {"status": "closed", "closed": datetime(2026, 3, 1, tzinfo=UTC)},
            "closed before it was opened",
        ),
    ],
)
def test_entries_that_cannot_both_be_right_are_refused(made, changes, words):
    with pytest.raises(Mistakes, match=words):
        from_yaml(to_yaml(made(**changes)), "case.yaml")


def test_a_verification_states_its_outcome_and_is_held_to_it(made):
    proof = Verification(reading_of("voltage motor+ motor- calling"), 11.9, 11.2, 12.6)
    text = to_yaml(made(verification=proof))

    with pytest.raises(Mistakes, match=r"key verification.within: does not agree"):
        from_yaml(text.replace("value: 11.9 V", "value: 9.9 V"), "case.yaml")


def test_what_was_typed_must_be_the_value(made):
    """Whoever mends a value by hand mends both, and the report cannot show the old one."""
    drop = reading_of("voltage fuse.in fuse.out calling")
    text = to_yaml(made(read=(ReadAt(drop, 4.0, 0.03, 0.138, "high", typed="about 4 V"),)))
    assert from_yaml(text, "case.yaml").read[0].typed == "about 4 V"

    with pytest.raises(Mistakes, match=r"key read\[1\].typed: does not agree with the value"):
        from_yaml(text.replace("value: 4 V", "value: 5 V"), "case.yaml")
    with pytest.raises(Mistakes, match="another kind of quantity"):
        from_yaml(text.replace("about 4 V", "about 4 A"), "case.yaml")


def test_a_case_of_a_newer_program_says_so(made):
    text = to_yaml(made()).replace("schema: 1", "schema: 7")

    with pytest.raises(BadDocument, match="line 2, key schema: this case is of schema 7") as caught:
        from_yaml(text, "case.yaml")
    assert "install a newer version" in str(caught.value)


def test_a_case_of_an_older_schema_is_read_by_its_own_reader(made, monkeypatch):
    """No older schema exists yet: an invented one, without the key `knowledge`, stands in."""

    def read_older(document):
        return made(id=document.text("name"), knowledge="unknown")

    monkeypatch.setitem(case_file.READERS, 0, read_older)
    case = from_yaml("schema: 0\nname: 2026-03-02-a\n", "case.yaml")

    assert to_yaml(case).startswith(case_file.HEADER + "schema: 1\nid: 2026-03-02-a\n")


def test_an_unknown_schema_is_refused(made):
    with pytest.raises(DiagnoseError, match="there is no case schema -3"):
        from_yaml(to_yaml(made()).replace("schema: 1", "schema: -3"), "case.yaml")


@pytest.mark.parametrize(
    "text", ["2026-03-02 09:05:00 UTC", "2026-03-02T09:05:00Z", "2026-03-02T10:05:00+01:00"]
)
def test_times_may_be_written_as_people_and_as_iso_8601_have_them(text):
    assert written_time(time_of(text)) == "2026-03-02 09:05:00 UTC"


@pytest.mark.parametrize("text", ["2026-03-02", "2026-03-02 09:05:00", "0001-01-01T00:00:00+14:00"])
def test_a_time_without_a_zone_or_out_of_reach_is_refused(text):
    with pytest.raises(BadDocument, match="is not a time"):
        time_of(text)
