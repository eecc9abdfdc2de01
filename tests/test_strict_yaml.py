"""Strict YAML: `tests/broken` holds one bad document per mistake; hostile ones are made here.

Everything is run twice, with the parser of libyaml and with PyYAML's own.
Outside reference: the `json` module of Python, JSON being a part of YAML.
"""

import json
import time
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose import strict_yaml
from diagnose.documents import parse
from diagnose.errors import BadDocument, DiagnoseError

BROKEN = Path(__file__).parent / "broken"
PARSERS = [name for name in ("CSafeLoader", "SafeLoader") if hasattr(yaml, name)]


@pytest.fixture(autouse=True, params=PARSERS)
def parser(request, monkeypatch):
    monkeypatch.setattr(strict_yaml, "_PARSER", getattr(yaml, request.param))


def read_card(card):
    """Reads a small invented document, asking for every kind of value once."""
    card.text("name")
    card.choice("kind", ("agm", "gel", "flooded"), default="agm")
    card.flag("remote", default=False)
    pump = card.section("pump")
    pump.quantity("current", "A", minimum=0.5, maximum=60)
    pump.quantity("pressure", "psi", default=None)
    card.texts("steps", default=())
    card.numbers("shares", default=())
    for effect in card.sections("effects", default=()):
        effect.text("name")
        effect.number("share", minimum=0, maximum=1)
    card.finish()


def complaints(source, name="card.yaml"):
    """What is said about a document, line by line; nothing when it is in order."""
    try:
        read_card(parse(source, name))
    except DiagnoseError as error:
        return str(error).split("\n")
    return []


# Mistake: the words that each line of the message must contain.
MISTAKES = {
    "repeated-key": [["line 3, key name:", "given twice", "line 1"]],
    "anchor-and-alias": [["line 2, key pump:", "anchors and aliases", "write it out"]],
    "tag": [["line 1, key name:", "tags", "plain values"]],
    "bare-on": [["line 3, key remote:", "bare on", "quotes"]],
    "bare-no-as-key": [
        ["line 2, key pump.no:", "bare no", "quotes"],
        ["line 2, key pump.no:", "no key called 'no'"],
    ],
    "bare-off-in-a-list": [["line 5, key steps[2]:", "bare off", "quotes"]],
    "leading-zero": [["line 2, key pump.current:", "'010'", "octal"]],
    "base-sixty": [["line 1, key name:", "'1:30'", "base 60", "quotes"]],
    "underscore": [["line 3, key shares[2]:", "'1_000'", "underscores"]],
    "hexadecimal": [["line 2, key pump.current:", "'0x10'", "decimal"]],
    "infinite": [["line 3, key shares[1]:", "'.inf'", "not a finite number"]],
    "too-large-number": [["line 2, key pump.current:", "'1e999'", "too large a number"]],
    "unknown-key": [["line 2, key pump.presure:", "no key called", "Did you mean 'pressure'?"]],
    "unknown-top-key": [["line 3, key weather:", "Known here:", "effects, kind, name"]],
    "missing-key": [["line 2, key pump.current:", "missing"]],
    "missing-section": [["missing-section.yaml, key pump:", "missing"]],
    "no-value": [["line 3, key pump.current:", "no value"]],
    "wrong-dimension": [["line 3, key pump.current:", "'14 V'", "a current", "'14 A'"]],
    "unknown-unit": [["line 3, key pump.current:", "'ampers'", "did you mean 'amps'"]],
    "thousands": [["line 3, key pump.current:", "'1,234.5 A'", "thousands"]],
    "no-number": [["line 3, key pump.current:", "'plenty'", "a current"]],
    "under-the-minimum": [["line 3, key pump.current:", "at least 0.5 A"]],
    "over-the-maximum": [["line 3, key pump.current:", "at most 60 A"]],
    "quantity-is-a-list": [["line 3, key pump.current:", "number with its unit", "a list"]],
    "number-for-text": [["line 1, key name:", "text", "'42'", "quotes"]],
    "empty-text": [["line 1, key name:", "text", "empty"]],
    "text-for-number": [["line 3, key shares[2]:", "number", "'half'"]],
    "flag-for-number": [["line 3, key shares[1]:", "number", "true"]],
    "text-for-flag": [["line 3, key remote:", "true or false", "'yes'"]],
    "unknown-choice": [["line 3, key kind:", "'agn'", "Did you mean 'agm'?"]],
    "choice-is-a-flag": [["line 3, key kind:", "agm, gel, flooded", "true"]],
    "text-for-list": [["line 3, key steps:", "list", "'look first'"]],
    "text-for-mapping": [["line 2, key pump:", "mapping", "'14 A'"]],
    "item-is-no-mapping": [["line 5, key effects[2]:", "mapping", "'two'"]],
    "deep-in-a-list": [["line 6, key effects[2].share:", "at most 1"]],
    "control-character": [["line 1, key name:", "control character"]],
    "raw-control-character": [["line 1:", "control character", r"'\x1b'"]],
    "not-utf-8": [["line 3:", "not UTF-8"]],
    "nul": [["line 2:", "control character", r"'\x00'"]],
    "empty": [["empty.yaml:", "is empty"]],
    "only-a-comment": [["only-a-comment.yaml:", "is empty"]],
    "two-documents": [["line 3:", "second document"]],
    "list-at-the-top": [["line 1:", "mapping"]],
    "key-is-a-list": [["line 2:", "key must be a plain word"]],
    "too-deep": [["line 3", "deeper than 20"]],
    "tab": [["line 3:", "not YAML", "tab"]],
    "open-quote": [["line 2:", "not YAML", "quotation mark"]],
    "open-bracket": [["line 2:", "not YAML", "bracket"]],
    "colon-in-text": [["line 1:", "not YAML", "':' may not stand here"]],
    "no-colon": [["line 2:", "not YAML", "':'", "missing"]],
    "indentation": [["line 4:", "not YAML", "indentation"]],
    "backslash": [["line 1:", "not YAML", "single quotes"]],
    "bracket-too-many": [["line 1:", "not YAML", "bracket"]],
    "ampersand": [["line 1:", "not YAML", "begins with &"]],
    "text-after-fold": [["line 1:", "not YAML", "comment"]],
    "alias-bomb": [
        ["line 1, key name:", "text", "a mapping"],
        ["line 2, key name.a:", "anchors and aliases"],
    ],
    "everything-at-once": [
        ["everything-at-once.yaml, line 2, key nmae:", "Did you mean 'name'?"],
        ["line 3, key remote:", "bare yes"],
        ["line 5, key pump.current:", "a current"],
        ["line 7, key pump.pressure:", "given twice"],
        ["line 8, key kind:", "Did you mean 'agm'?"],
        ["line 10, key effects[1].name:", "missing"],
        ["line 10, key effects[1].share:", "at most 1"],
    ],
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_a_mistake_is_named_with_its_place(mistake):
    lines = complaints((BROKEN / f"{mistake}.yaml").read_bytes(), f"{mistake}.yaml")

    for line, words in zip(lines, MISTAKES[mistake], strict=True):
        assert [word for word in words if word not in line] == [], line


def test_every_broken_document_has_its_words():
    assert {path.stem for path in BROKEN.glob("*.yaml")} == set(MISTAKES)


def test_a_document_full_of_mistakes_stops_being_read():
    lines = complaints("\n".join(f"key{number}: yes" for number in range(10_000)))

    assert len(lines) == strict_yaml.MOST_PROBLEMS + 1
    assert "put the problems above right first" in lines[-1]


HOSTILE = {
    "five megabytes on a line": "name: " + "x" * 5_000_000,
    "a long line": "name: " + "x" * 900_000,
    "brackets": "name: " + "[" * 400_000,
    "braces": "{a: " * 200_000,
    "dashes": "- " * 400_000,
    "question marks": "? " * 400_000,
    "colons": "a: " * 300_000,
    "quotes": "'" * 400_001,
    "escapes": 'name: "' + "\\x41" * 50_000,
    "ampersands": "name: &" + "a" * 400_000,
    "digits": "name: " + "9" * 400_000,
    "one key for ever": "a: 1\n" * 100_000,
    "unknown keys": "".join(f"presure{number}: 1\n" for number in range(2_000)),
    "one very long key": "? " + "k" * 500_000 + "\n: 1",
    "a long name": "pump: {current: " + "9" * 50 + "e" + "9" * 50 + " A}",
}


@pytest.mark.parametrize("attack", HOSTILE)
def test_a_hostile_document_is_refused_shortly_and_soon(attack):
    start = time.process_time()

    lines = complaints(HOSTILE[attack])

    assert time.process_time() - start < 1.0
    assert lines
    assert all(line.isprintable() and len(line) < 300 for line in lines)


@pytest.mark.parametrize("text", ["\ud800", "\0", "\ufffe", "a: \x7f"])
def test_text_that_no_file_could_hold_is_refused(text):
    with pytest.raises(BadDocument, match="control character"):
        parse(text, "card.yaml")


@pytest.mark.parametrize(
    "source", ["\ufeffa: 1", b"\xef\xbb\xbfa: 1", "a: 1\r\n", "---\na: 1\n...\n"]
)
def test_marks_that_editors_leave_are_taken(source):
    card = parse(source, "card.yaml")

    assert card.raw("a") == 1
    card.finish()


keys = st.text(st.characters(blacklist_categories=("Cc", "Cs", "Cn", "Zl", "Zp")), min_size=1)
leaves = st.none() | st.booleans() | st.integers(-(10**30), 10**30) | keys
leaves |= st.floats(allow_nan=False, allow_infinity=False)
trees = st.recursive(leaves, lambda t: st.lists(t) | st.dictionaries(keys, t), max_leaves=20)
both_parsers = settings(
    max_examples=30, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@both_parsers
@given(st.dictionaries(keys, trees, min_size=1))
def test_json_is_read_as_the_json_module_reads_it(tree):
    text = json.dumps(tree, ensure_ascii=False)

    card = parse(text, "card.yaml")

    assert {key: card.raw(key) for key in card} == json.loads(text)
    card.finish()


@both_parsers
@given(st.text() | st.binary())
def test_any_text_is_a_document_or_a_printable_complaint(source):
    assert all(line.isprintable() and line.startswith("card") for line in complaints(source))
