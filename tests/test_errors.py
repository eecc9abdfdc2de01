"""The error family: what a message says, and that nothing in it can do harm."""

import pytest

from diagnose.errors import (
    BadDocument,
    BadQuantity,
    DiagnoseError,
    Mistakes,
    Place,
    UnknownName,
    harmless,
    nearest,
    quoted,
)

PLACE = Place("rig.yaml", 4, "pump.current")


@pytest.mark.parametrize(
    ("place", "text"),
    [
        (PLACE, "rig.yaml, line 4, key pump.current"),
        (Place("rig.yaml", 4), "rig.yaml, line 4"),
        (Place("rig.yaml"), "rig.yaml"),
        (Place("rig.yaml", None, "topology"), "rig.yaml, key topology"),
        (Place("rig\x1b.yaml", 1, "pu\nmp"), r"rig\x1b.yaml, line 1, key pu\nmp"),
    ],
)
def test_a_place_reads_as_a_person_would_say_it(place, text):
    assert str(place) == text


def test_a_very_long_file_name_keeps_its_end():
    shown = str(Place("/" + "a" * 5000 + "/rig.yaml"))

    assert shown.startswith("…")
    assert shown.endswith("/rig.yaml")
    assert len(shown) <= 240


def test_every_error_begins_with_its_place():
    assert str(BadQuantity("is too much", PLACE)) == f"{PLACE}: is too much"
    assert str(BadQuantity("is too much")) == "is too much"


def test_an_error_keeps_its_facts():
    error = UnknownName("failure mode", "fuse-blwn", PLACE, "fuse-blown")

    assert (error.kind, error.name, error.place, error.nearest) == (
        "failure mode",
        "fuse-blwn",
        PLACE,
        "fuse-blown",
    )
    assert str(error) == (
        f"{PLACE}: there is no failure mode called 'fuse-blwn'. Did you mean 'fuse-blown'?"
    )


def test_an_unknown_name_with_nothing_near_shows_a_short_list_of_what_is_known():
    few = UnknownName("kind", "lithium", PLACE, None, ("gel", "agm"))
    many = UnknownName("kind", "lithium", PLACE, None, map(str, range(100)))

    assert str(few).endswith("Known here: agm, gel.")
    assert "Known here" not in str(many)


@pytest.mark.parametrize("kind", [BadQuantity, BadDocument])
def test_bad_values_are_value_errors_too(kind):
    assert issubclass(kind, ValueError)


@pytest.mark.parametrize("kind", [UnknownName, BadQuantity, BadDocument, Mistakes])
def test_the_family_has_one_base(kind):
    assert issubclass(kind, DiagnoseError)


def test_mistakes_are_flat_and_one_a_line():
    first, second, third = (BadDocument(text) for text in ("one", "two", "three"))

    mistakes = Mistakes([first, Mistakes([second, third])])

    assert mistakes.problems == (first, second, third)
    assert str(mistakes) == "one\ntwo\nthree"


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("14 A", "14 A"),
        ("élan Ω", "élan Ω"),
        ("a\x1b[31mb", r"a\x1b[31mb"),
        ("a\nb\r\0", r"a\nb\r\x00"),
        ("\u202eabc", r"\u202eabc"),
        ("\ud800", r"\ud800"),
    ],
)
def test_what_is_echoed_is_harmless(text, shown):
    assert harmless(text) == shown
    assert quoted(text) == f"'{shown}'"


@pytest.mark.parametrize("text", ["a" * 61, "\x1b" * 61, "\U000e0001" * 1_000_000], ids=len)
def test_what_is_echoed_is_short(text):
    assert len(harmless(text)) == 60
    assert harmless(text).endswith("…")


def test_sixty_characters_are_shown_whole():
    assert harmless("a" * 60) == "a" * 60


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("presure", "pressure"),
        ("PRESSURE", "pressure"),
        ("agn", "AGM"),
        ("zzz", None),
        ("", None),
        pytest.param("pressure" * 100_000, None, id="very long"),
    ],
)
def test_nearest(name, expected):
    assert nearest(name, {"pressure", "AGM", "flow"}) == expected


def test_nearest_does_not_depend_on_the_order_of_the_names():
    names = ["mA", "MA", "ma"]

    assert nearest("mah", names) == nearest("mah", reversed(names))


def test_a_message_repeats_nothing_of_a_document_that_could_do_harm():
    error = BadDocument("there is no \u202e\x1b[2J " + "x" * 5000, Place("card.yaml", 3))

    assert str(error).isprintable()
    assert len(str(error)) < 450
    assert str(error).startswith("card.yaml, line 3: there is no \\u202e\\x1b[2J x")


def test_many_mistakes_keep_a_line_each():
    several = Mistakes([BadDocument("one"), Mistakes([BadDocument("two"), BadDocument("three")])])

    assert str(several).splitlines() == ["one", "two", "three"]
    assert several.message == str(several)
