"""Every field of a case file, with the least, the most and the oddest that it can be given: it is
refused in one sentence that names it, or taken and read back; and no other file suffers."""

import copy
from dataclasses import replace
from datetime import timedelta

import pytest
import yaml

from diagnose.casebook.brief import brief_of
from diagnose.casebook.case_fields import (
    EARLIEST,
    LATEST,
    LONGEST_LINE,
    LONGEST_NOTES,
    RANGES,
    time_of,
    written_time,
)
from diagnose.casebook.case_file import case_values, from_yaml, to_yaml
from diagnose.casebook.closure import reopen
from diagnose.casebook.export import csv_lines, json_lines
from diagnose.casebook.index import opened_index
from diagnose.casebook.record import PassedOver, StopAt, Verification
from diagnose.casebook.review import review
from diagnose.casebook.similar import answers_of_case, similar
from diagnose.circuit.reading_words import reading_of
from diagnose.errors import BadDocument, DiagnoseError, Mistakes

NUMBERS = (0, -1, 0.5, 1e-320, 2**53 + 1, 2**63, 1e300, -1e300, float("nan"), float("inf"))
TEXTS = (" ", "x", "x" * 501, "x" * 30_000, "\u202e" * 400, "10", "OL", "= 1 + 1")
TIMES = ("0026-03-02 09:05:00 UTC", "9999-12-31 23:59:59 UTC", "1970-01-01T00:00:00+14:00")
OTHERS = (None, True, [], {}, [[]], {"x": 1}, [None])
OF_ANOTHER_KIND = (-1, 2**63, float("nan"), "x", "10", "OL")
"""What stands for all numbers where a text belongs, and for all texts where a number does."""
DUMPER = getattr(yaml, "CSafeDumper", yaml.SafeDumper)


@pytest.fixture(scope="module")
def whole(made, mended):
    """A case in which every field of the schema stands."""
    case = mended(1)
    proof = Verification(
        reading_of("voltage motor+ motor- calling"),
        11.9,
        11.2,
        12.6,
        case.opened,
        runs=True,
        load="in-use",
        typed="11.9 V",
    )
    back = reopen(case, clock=lambda: case.opened + timedelta(days=3)).came_back
    moment = case.opened

    return replace(
        case,
        complaint=("relay-chatters",),
        read=(replace(case.read[0], typed="4.5 V", sure=True),),
        seen=(replace(case.seen[0], sure=True),),
        passed_over=(PassedOver("smell", "skipped", moment, 0.5),),
        stops=(StopAt("too-hot", moment, moment),),
        root_cause="No cap.",
        root_cause_seen=True,
        findings=("Lost before the pump.",),
        true_words="Green.",
        verification=proof,
        came_back=back,
        parts=("fuse holder",),
        notes="Twice.",
        rig=replace(case.rig, assumed=("remote",), use="spraying"),
    )


def leaves(values, trail=()):
    """The trail of every field, mappings and lists among them."""
    if trail:
        yield trail
    if isinstance(values, dict):
        items = values.items()
    else:
        items = enumerate(values) if isinstance(values, list) else ()
    for key, part in items:
        yield from leaves(part, (*trail, key))


def sound_at(values, trail):
    for key in trail:
        values = values[key]
    return values


def odd_for(value):
    """All that is odd of the kind of a sound value, and some of other kinds."""
    if isinstance(value, str):
        return (*TEXTS, *TIMES, *OF_ANOTHER_KIND[:3], *OTHERS)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return (*NUMBERS, *OF_ANOTHER_KIND[3:], *OTHERS)
    return (*OF_ANOTHER_KIND, *OTHERS)


def given(values, trail, odd):
    """The same with one field replaced."""
    changed = copy.deepcopy(values)
    at = changed
    for key in trail[:-1]:
        at = at[key]
    at[trail[-1]] = odd
    return changed


def dotted(trail):
    return "".join(f"[{k + 1}]" if isinstance(k, int) else f".{k}" for k in trail).lstrip(".")


def test_the_walk_through_the_schema_leaves_nothing_out(whole):
    """Every field that the writer knows stands in the case that is walked."""

    keys = set(case_values(whole))
    assert {"came_back", "verification", "stops", "passed_over", "notes", "rig_assumed"} <= keys
    assert len(keys) == 29, "a key that was added wants a value in `whole`"
    assert from_yaml(to_yaml(whole), "case.yaml") == whole


@pytest.fixture(scope="module")
def spoiled(whole):
    """Every field replaced by all that is odd for it: field, what it was given, text, and what
    that comes to: a case or an error."""
    values, found = yaml.safe_load(to_yaml(whole)), []
    for trail in leaves(values):
        for odd in odd_for(sound_at(values, trail)):
            changed = given(values, trail, odd)
            if trail != ("id",):
                changed["id"] = f"2026-03-02-odd-{len(found):06x}"
            text = yaml.dump(changed, Dumper=DUMPER, sort_keys=False, allow_unicode=True)
            try:
                outcome = from_yaml(text, "case.yaml")
            except DiagnoseError as problem:
                outcome = problem
            found.append((dotted(trail), odd, text, outcome))
    return found


def test_every_field_is_refused_by_name_or_taken_and_read_back(spoiled):
    refused = 0
    for field, odd, _, outcome in spoiled:
        if isinstance(outcome, DiagnoseError):
            refused += 1
            check_sentences(outcome, field, odd)
        else:
            assert from_yaml(to_yaml(outcome), "case.yaml") == outcome, (field, odd)
    assert refused > 1000
    assert len(spoiled) - refused > 100


def check_sentences(problem, field, odd):
    """One sentence a problem; the first that is named by the field, or by what it belongs to."""
    problems = problem.problems if isinstance(problem, Mistakes) else (problem,)
    for one in problems:
        assert isinstance(one, BadDocument | DiagnoseError)
        assert "\n" not in str(one)
        assert len(str(one)) < 700
    whole_of = field.split("[")[0].split(".")[0]
    named = [str(one) for one in problems]
    assert any(whole_of in text for text in named), (field, odd, named)


def test_what_is_odd_breaks_no_list_review_or_export(casebook, spoiled, made):
    """All that was taken, and some of what was refused, beside a sound case."""
    folder, refused = casebook.save(made(999)).parent, 0
    for number, (field, _, text, outcome) in enumerate(spoiled):
        bad = isinstance(outcome, DiagnoseError)
        if field != "id" and not (bad and number % 50):
            (folder / f"2026-03-02-odd-{number:06x}.yaml").write_text(text, "utf-8")
            refused += bad

    cases = casebook.cases()
    with opened_index(casebook) as index:
        briefs = index.briefs()
        assert {brief.id: brief for brief in briefs} == {c.id: brief_of(c) for c in cases}
        assert made(999).id in {brief.id for brief in briefs}
        assert len({problem.place.file for problem in index.problems}) == refused > 10
        assert review(index, briefs, {}).cases == len(briefs) > 100
        assert similar(index, answers_of_case(made(999))).cases
    assert len([*csv_lines(cases)]) == len(briefs) + 1
    assert len([*json_lines(cases)]) == len(briefs)


@pytest.mark.parametrize("odd", ["1e300", "9223372036854775808", "-1", "2.5", "10001"])
def test_questions_are_a_whole_number_that_somebody_can_have_asked(casebook, made, odd):
    path = casebook.save(made(1))
    casebook.save(made(2))
    path.write_text(path.read_text().replace("questions: 7", f"questions: {odd}"))

    with opened_index(casebook) as index:
        assert [brief.id for brief in index.briefs()] == [made(2).id]
        (said,) = map(str, index.problems)
    assert "key questions: should be " in said


@pytest.mark.parametrize("year", ["0026", "1969", "2201", "9999"])
def test_a_year_out_of_reach_is_refused_by_name(year):
    with pytest.raises(BadDocument, match="is not a time from 1970 to 2200; mend the year"):
        time_of(f"{year}-03-02 09:05:00 UTC")


@pytest.mark.parametrize("at", [EARLIEST, LATEST])
def test_the_ends_of_time_are_written_and_read(at):
    assert time_of(written_time(at)) == at
    assert written_time(at.replace(year=26))[:5] == "0026-", "four digits, whatever the system"


def test_a_text_is_refused_before_it_would_be_cut(made):
    """What the owner wrote by hand would be lost when the case is closed."""
    text = to_yaml(made(notes="N", root_cause="R"))
    longest = text.replace("notes: N", f"notes: {'n' * LONGEST_NOTES}")
    longest = longest.replace("root_cause: R", f"root_cause: {'r' * LONGEST_LINE}")
    assert len(from_yaml(longest, "case.yaml").notes) == LONGEST_NOTES

    for key, size in (("notes", LONGEST_NOTES), ("root_cause", LONGEST_LINE)):
        letter = key[0]
        longer = text.replace(f"{key}: {letter.upper()}", f"{key}: {letter * (size + 1)}")
        with pytest.raises(Mistakes, match=f"key {key}: is {size + 1} characters long; {size} at"):
            from_yaml(longer, "case.yaml")


def test_every_range_has_a_reason():
    for limit in RANGES.values():
        assert limit.least < limit.most
        assert limit.why
