"""Reading documents: values in their types, problems gathered, and a place for everything."""

import pytest

from diagnose import strict_yaml
from diagnose.documents import load, parse
from diagnose.errors import BadDocument, BadQuantity, Mistakes, Place

CARD = """\
name: tree-watering bowser
kind: gel
remote: true
pump:
  current: 14,5 A
  pressure: 3.5 bar   # metric works too
steps:
- look
- "off"
shares: [1, 0.25, 1e-3]
effects:
- {name: one blade, share: 0.3}
- name: >
    both
    blades
  share: .7
revised: 2026-11-25
"""


@pytest.fixture
def card():
    return parse(CARD, "card.yaml")


def test_values_come_in_their_types(card):
    assert card.text("name") == "tree-watering bowser"
    assert card.choice("kind", ("agm", "gel")) == "gel"
    assert card.flag("remote") is True
    assert card.section("pump").quantity("current", "A") == 14.5
    assert card.section("pump").quantity("pressure", "kPa") == pytest.approx(350)
    assert card.texts("steps") == ("look", "off")
    assert card.numbers("shares") == (1.0, 0.25, 0.001)
    assert [effect.text("name") for effect in card.sections("effects")] == [
        "one blade",
        "both blades\n",
    ]
    assert [effect.number("share") for effect in card.sections("effects")] == [0.3, 0.7]
    assert card.text("revised") == "2026-11-25"
    card.finish()


def test_everything_remembers_its_place(card):
    second = card.sections("effects")[1]

    assert card.place == Place("card.yaml")
    assert card.place_of("kind") == Place("card.yaml", 2, "kind")
    assert card.section("pump").place == Place("card.yaml", 4, "pump")
    assert card.section("pump").place_of("pressure") == Place("card.yaml", 6, "pump.pressure")
    assert second.place_of("share") == Place("card.yaml", 16, "effects[2].share")
    assert second.place_of("colour") == Place("card.yaml", 13, "effects[2].colour")


def test_raw_gives_plain_values_and_takes_all_below_as_read(card):
    assert card.raw("effects") == [
        {"name": "one blade", "share": 0.3},
        {"name": "both blades\n", "share": 0.7},
    ]
    assert card.raw("colour") is None
    for key in card:
        card.raw(key)
    card.finish()


def test_keys_keep_their_order_and_asking_for_them_reads_nothing(card):
    assert card.keys() == tuple(card)
    assert card.keys()[:3] == ("name", "kind", "remote")
    assert len(card) == 8
    with pytest.raises(Mistakes) as caught:
        card.finish()
    assert len(caught.value.problems) == 8


def test_a_key_that_was_looked_for_is_known():
    card = parse("colour: red", "card.yaml")

    assert card.has("colour")
    assert not card.has("size")
    card.finish()


def test_an_unread_key_deep_inside_is_found(card):
    for key in card:
        if key != "effects":
            card.raw(key)
    for effect in card.sections("effects"):
        effect.text("name")

    with pytest.raises(Mistakes) as caught:
        card.finish()

    keys = [problem.place.key for problem in caught.value.problems]
    assert keys == ["effects[1].share", "effects[2].share"]


def test_defaults_stand_in_for_missing_keys_unchecked():
    card = parse("{}", "card.yaml")
    nothing = object()

    assert card.text("a", "x") == "x"
    assert card.text("a", None) is None
    assert card.number("a", default=nothing, minimum=3) is nothing
    assert card.quantity("a", "V", default=12.6) == 12.6
    assert card.flag("a", None) is None
    assert card.choice("a", ("x",), default="other") == "other"
    assert card.texts("a", ()) == card.numbers("a", ()) == card.sections("a", ()) == ()
    assert card.section("a", None) is None
    card.finish()


def test_a_missing_key_is_noted_and_reading_goes_on_with_a_harmless_value():
    card = parse("{}", "card.yaml")

    found = [
        card.text("text"),
        card.number("number", minimum=2),
        card.quantity("quantity", "V"),
        card.flag("flag"),
        card.choice("choice", ("first", "second")),
        card.texts("texts"),
        card.numbers("numbers"),
        card.sections("sections"),
    ]

    assert found == ["", 2, 0.0, False, "first", (), (), ()]
    with pytest.raises(Mistakes) as caught:
        card.finish()
    assert len(caught.value.problems) == len(found)


def test_a_missing_section_is_one_problem_however_much_is_asked_of_it():
    card = parse("name: bowser", "card.yaml")
    card.text("name")

    pump = card.section("pump")
    for number in range(2 * strict_yaml.MOST_PROBLEMS):
        pump.quantity(f"current_{number}", "A")

    with pytest.raises(Mistakes) as caught:
        card.finish()
    assert [problem.place.key for problem in caught.value.problems] == ["pump"]


def test_problems_of_the_caller_are_raised_with_the_others_in_order_of_place():
    card = parse("a: 1\nb: x\nc: 3\n", "card.yaml")
    own = BadDocument("shares do not sum to 1", card.place_of("a"))

    card.text("c")
    card.number("b")
    card.problem(own)
    card.raw("a")

    with pytest.raises(Mistakes) as caught:
        card.finish()
    assert caught.value.problems[0] is own
    assert [problem.place.line for problem in caught.value.problems] == [1, 2, 3]


def test_limits_are_allowed_themselves():
    card = parse("a: 0\nb: 1\nc: 500 mA", "card.yaml")

    assert card.number("a", minimum=0, maximum=1) == 0
    assert card.number("b", minimum=0, maximum=1) == 1
    assert card.quantity("c", "A", minimum=0.5, maximum=0.5) == 0.5
    card.finish()


def test_a_bad_quantity_keeps_its_type_and_place():
    card = parse("a: 1 V", "card.yaml")
    card.quantity("a", "A")

    with pytest.raises(Mistakes) as caught:
        card.finish()

    (problem,) = caught.value.problems
    assert isinstance(problem, BadQuantity)
    assert problem.place == Place("card.yaml", 1, "a")


def test_a_file_is_called_by_the_name_it_was_given(tmp_path):
    path = tmp_path / "card.yaml"
    path.write_text(CARD, encoding="utf-8")

    assert load(path).place_of("kind") == Place(str(path), 2, "kind")


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("nowhere.yaml", "there is no such file"),
        (".", "cannot be read: Is a directory"),
        ("a\0b", "cannot be read: not a file name"),
        ("a" * 5000, "cannot be read"),
    ],
    ids=["missing", "folder", "nul", "long"],
)
def test_a_file_that_cannot_be_opened_is_named(tmp_path, name, words):
    with pytest.raises(BadDocument, match=words) as caught:
        load(tmp_path / name)

    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 400


def test_a_large_file_is_not_read_to_its_end(tmp_path):
    path = tmp_path / "large.yaml"
    with path.open("wb") as file:
        file.truncate(10**12)

    with pytest.raises(BadDocument, match="over 1 MB"):
        load(path)
