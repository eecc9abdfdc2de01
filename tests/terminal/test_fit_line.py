"""How well the book fits what was found: a line of its own, never a cause in the list."""

from __future__ import annotations

import json
from collections.abc import Callable

import pytest
from typer.testing import Result

from diagnose.bench import Bench
from diagnose.circuit.reading_words import reading_of
from diagnose.outcome import cause_title, conclude
from diagnose.pages.reasons import fit_line, likeliest, why_leader
from diagnose.reasoning.consistency import FITS, Fit
from diagnose.reasoning.evidence import Evidence, Measured, Seen
from diagnose.reasoning.hypotheses import OTHER
from diagnose.reasoning.words import of_test
from diagnose.terminal.layout import shares_view
from diagnose.terminal.plain import Screen
from diagnose.terminal.walk.command import rank_view
from diagnose.walkthrough import Walk
from tests.terminal.told import BAD_HOLDER, CHATTERS, whole_result

Run = Callable[..., Result]
TextOf = Callable[[Screen], str]

THREE_LOSSES = {
    "voltage battery+ lug+ calling": 3.0,
    "voltage fuse.in fuse.out calling": 4.0,
    "voltage motor- lug- calling": 4.0,
}
"""Each alone is a bad joint. One after the other in one circuit they share one current, and each
leaves the others less to lose (Kirchhoff): no one fault shows all three."""

ODD = tuple(Measured(reading_of(name), volts) for name, volts in THREE_LOSSES.items())
READ = tuple(
    word for name, volts in THREE_LOSSES.items() for word in ("--read", f"{name} = {volts} V")
)
COOL = (Seen("fuse-holder-look", "clean"), Seen("fuse-holder-heat", "cool"))
LOSS = (Measured(reading_of("voltage fuse.in fuse.out calling"), 4.0),)
SHARE = "that it is nothing of the book."
BADLY = "What was found fits the book badly: "


def flat(text: str) -> str:
    return " ".join(text.split())


def of_the_list(text: str, above: str = "") -> str:
    """What stands in a ranking, down to the line of how well the book fits."""
    return text.partition(above)[2].partition(SHARE)[0]


@pytest.mark.parametrize("told", [(), CHATTERS, BAD_HOLDER, ODD])
def test_no_list_names_what_is_not_in_the_book_as_a_cause(
    bowser: Bench, wide: Screen, text_of: TextOf, told: tuple[Evidence, ...]
) -> None:
    """Also where it would be likelier than anything that is shown."""
    walk = Walk(bowser, told)
    result = conclude(walk)

    wide.show(shares_view(wide, likeliest(bowser, [(OTHER, 0.9), *result.ranking])))
    wide.show(*rank_view(wide, walk, result))

    text = text_of(wide)
    assert SHARE in flat(text)
    assert cause_title(bowser, OTHER) not in of_the_list(text, "\n")


def test_in_front_is_a_failure_mode_of_the_book(bowser: Bench) -> None:
    """A loss in a holder that is clean and cool is hard for the book to explain."""
    walk = Walk(bowser, (*COOL, *LOSS))
    assert walk.belief().ranking[0][0] == OTHER

    (said,) = why_leader(walk).sentences

    assert said.startswith("In front: ")
    assert cause_title(bowser, OTHER) not in said


def test_the_others_of_a_result_are_of_the_book(
    bowser: Bench, wide: Screen, text_of: TextOf
) -> None:
    wide.show(*whole_result(wide, bowser, conclude(Walk(bowser, BAD_HOLDER))))

    text = text_of(wide)
    assert SHARE in text
    assert cause_title(bowser, OTHER) not in of_the_list(text, "Or it could be")


def test_a_fit_is_one_short_line(bowser: Bench) -> None:
    assert fit_line(0.041, FITS) == f"4 % {SHARE}"
    assert fit_line(0.0, FITS) == f"<1 % {SHARE}"
    assert conclude(Walk(bowser, BAD_HOLDER)).fit.fits


def test_a_misfit_names_the_findings_and_what_to_do() -> None:
    said = fit_line(0.2, Fit(ODD, 0.001, fits=False))

    assert said.startswith(f"20 % {SHARE} {BADLY}{'; '.join(map(of_test, THREE_LOSSES))}.")
    assert "Check that first; if it stands" in said
    assert f"{BADLY}all of it together." in fit_line(0.2, Fit((), 0.001, fits=False))


def test_rank_names_what_misfits(run: Run) -> None:
    said = flat(run("rank", "bowser", *READ).stdout)

    named = said.partition(BADLY)[2].partition(". Check")[0]
    assert named
    assert set(named.split("; ")) <= {of_test(name) for name in THREE_LOSSES}


def test_a_result_names_what_misfits(bowser: Bench, narrow: Screen, text_of: TextOf) -> None:
    result = conclude(Walk(bowser, ODD))
    assert not result.fit.fits

    narrow.show(*whole_result(narrow, bowser, result))

    said = flat(text_of(narrow))
    named = said.partition(BADLY)[2].partition(". Check")[0]
    assert any(of_test(name) in named for name in THREE_LOSSES)


def test_json_holds_the_fit(run: Run) -> None:
    holder = ["--seen", "fuse-holder-look=corroded", "--read"]
    holder.append("voltage fuse.in fuse.out calling = 1.2 V")
    told = ("--seen", "relay-sound=chatters", *holder)

    sound = json.loads(run("rank", "bowser", *told, "--json").stdout)["fit"]
    odd = json.loads(run("rank", "bowser", *READ, "--json").stdout)

    assert sound.keys() == odd["fit"].keys() == {"fits", "chance", "odd"}
    assert sound["fits"] is True
    assert sound["odd"] == []
    assert odd["fit"]["fits"] is False
    assert 0 <= odd["fit"]["chance"] < sound["chance"] <= 1
    assert odd["fit"]["odd"]
    assert set(odd["fit"]["odd"]) <= set(THREE_LOSSES)
    assert OTHER in {one["failure_mode"] for one in odd["ranking"]}
