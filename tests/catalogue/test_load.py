"""The knowledge folder as a Catalogue: right values, and every mistake of every file at once."""

from collections.abc import Callable
from pathlib import Path

import pytest

from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.records import holds
from diagnose.circuit.meter import Reading
from diagnose.circuit.parameters import OPEN
from diagnose.errors import DiagnoseError, Mistakes
from diagnose.figures import load_figures

Spoil = Callable[[str, str, str], None]
HOLDER = "failure_modes/main-fuse/fuse-holder-corroded.yaml"
BLOWN = "failure_modes/main-fuse/main-fuse-blown.yaml"


def mistakes(folder: Path) -> tuple[DiagnoseError, ...]:
    with pytest.raises(Mistakes) as caught:
        load_catalogue(folder)
    return caught.value.problems


def test_amounts_are_floats_in_the_unit_of_their_parameter(folder: Path, spoil: Spoil) -> None:
    spoil(HOLDER, "[0.03 ohm, 5 ohm]", "[30 mohm, 0.005 kohm]")
    spoil(
        BLOWN,
        "main_fuse: {set: open}",
        "main_fuse: {set: open}\n      battery.voltage: {times: 0.8}",
    )

    modes = load_catalogue(folder).failure_modes

    changes = [
        (change.parameter, change.operation, change.mild, change.severe)
        for mode in ("fuse-holder-corroded", "main-fuse-blown")
        for effect in modes[mode].effects
        for change in effect.changes
    ]
    assert changes == [
        ("fuse_holder", "add", pytest.approx(0.03), pytest.approx(5.0)),
        ("fuse_holder", "set", OPEN, OPEN),
        ("main_fuse", "set", OPEN, OPEN),
        ("battery.voltage", "times", 0.8, 0.8),
    ]


def test_entries_are_as_they_are_written(folder: Path) -> None:
    book = load_catalogue(folder)

    holder = book.failure_modes["fuse-holder-corroded"]
    assert holder.verify.reading == Reading("voltage", ("fuse.in", "fuse.out"), "calling")
    assert (holder.verify.below, holder.verify.above) == (0.5, None)
    assert (holder.prior.weight, holder.prior_factors[0].times) == (600, 2)
    assert holder.effects[1].shows == {"fuse-holder-look": {"loose": "often"}}
    assert Path(holder.place.file).name == "fuse-holder-corroded.yaml"
    look = book.observations["fuse-holder-look"]
    assert look.options == {"clean": "bright", "corroded": "green", "loose": "moves"}
    assert (look.otherwise["clean"], look.wrong, look.minutes) == (0.8, 0.05, 1)
    assert (look.state, look.opens, look.predicted, look.place.line) == ("off", True, False, 14)
    assert book.readings["current coil calling"].applies == {"topology": ("relay",)}
    voltage = book.quantities["voltage"]
    assert (voltage.unit, voltage.relative, voltage.absolute) == ("V", 0.005, 0.02)
    assert (voltage.impossible_below, voltage.impossible_above) == (-20, 20)
    assert book.words == {"usually": 0.8, "often": 0.6}
    assert book.cautions["hot-part"].sources == ("workshop",)
    assert book.sources["workshop"].basis == "seen"
    assert book.complaints["fuse-is-green"].seen == {"fuse-holder-look": "corroded"}


def test_error_of_a_temperature_is_a_difference(folder: Path) -> None:
    assert load_catalogue(folder).quantities["temperature"].absolute == 4


def test_what_is_left_out_takes_its_default(folder: Path, spoil: Spoil) -> None:
    spoil("observations/fuses.yaml", "    otherwise: {intact: 0.9, open: 0.1}\n", "")

    book = load_catalogue(folder)

    assert book.observations["main-fuse-element"].otherwise == {"intact": 0.5, "open": 0.5}
    assert book.failure_modes["main-fuse-blown"].shows == {}
    assert book.failure_modes["main-fuse-blown"].applies == {}
    assert book.failure_modes["main-fuse-blown"].cautions == ()


def test_conditions_take_one_value_or_several_and_true_is_yes(folder: Path, spoil: Spoil) -> None:
    applies = "applies: {remote: true, topology: relay, control: [manual, float_switch]}"
    spoil(BLOWN, "about: The", f"{applies}\nabout: The")

    found = load_catalogue(folder).failure_modes["main-fuse-blown"].applies

    assert found["remote"] == ("yes",)
    assert holds(found, {"remote": "yes", "topology": "relay", "control": "manual"})
    assert not holds(found, {"remote": "yes", "topology": "relay", "control": "pressure_switch"})
    assert not holds(found, {"remote": "no", "topology": "relay", "control": "manual"})
    assert not holds(found, {"topology": "relay", "control": "manual"})


MISTAKES = {
    "unknown parameter": (
        HOLDER,
        "fuse_holder: {add",
        "fuse_holdr: {add",
        "line 9, key effects[1].sets.fuse_holdr: there is no circuit parameter called 'fuse_holdr'."
        " Did you mean 'fuse_holder'?",
    ),
    "no operation": (
        HOLDER,
        "{add: [",
        "{plus: [",
        "effects[1].sets.fuse_holder: give exactly one of add, times, set; here is plus",
    ),
    "two operations": (
        BLOWN,
        "{set: open}",
        "{set: open, add: 1 ohm}",
        "give exactly one of add, times, set; here is add, set",
    ),
    "three ends": (
        HOLDER,
        "[0.03 ohm, 5 ohm]",
        "[1 ohm, 2 ohm, 3 ohm]",
        "fuse_holder.add: give one",
    ),
    "another unit": (HOLDER, "5 ohm]", "5 V]", "line 9", "'5 V' is another kind of quantity"),
    "no number": (HOLDER, "5 ohm]", "much]", "line 9", "'much' is not a number with a unit"),
    "open volts": (BLOWN, "main_fuse: {set", "battery.voltage: {set", "'open' is not a number"),
    "open times": (BLOWN, "{set: open}", "{times: open}", "'open' is not a number"),
    "a ratio with a unit": (BLOWN, "{set: open}", "{times: 2 ohm}", "'2 ohm' is another kind"),
    "basis": (HOLDER, "basis: estimate", "basis: guess", "line 10", "no basis called 'guess'"),
    "status": (BLOWN, "status: reviewed", "status: done", "line 21", "no status called 'done'"),
    "share": (HOLDER, "share: 0.7", "share: 70", "line 7", "at most 1"),
    "weight": (BLOWN, "weight: 400", "weight: many", "prior.weight: should be a bare number"),
    "no fix": (BLOWN, "fix: [Find the cause first.]\n", "", "key fix: this key is needed here"),
    "no verification": (BLOWN, "verify: {", "proof: {", "key verify: this key is needed here"),
    "unknown key": (BLOWN, "repair:", "mend:", "no key called 'mend'"),
    "unknown point": (
        BLOWN,
        "fuse.in fuse.out",
        "fuse.in fuse.on",
        "no test point called 'fuse.on'",
    ),
    "expect": (BLOWN, "expect: healthy", "expect: dead", "verify.expect", "'dead'"),
    "limit in another unit": (HOLDER, "below: 0.5 V", "below: 0.5 A", "verify.below: '0.5 A'"),
    "shows without words": (HOLDER, "{corroded: usually}", "corroded", "should be a mapping"),
    "words as a list": (HOLDER, "sources: [workshop]", "sources: workshop", "should be a list"),
    "observation": (
        "observations/fuses.yaml",
        "wrong: 0.05",
        "wrong: 0.7",
        "line 8",
        "at most 0.5",
    ),
    "reading": ("readings.yaml", "current coil", "current coal", "line 69", "no conductor called"),
    "reading without condition": (
        "readings.yaml",
        "fuse.in fuse.out calling",
        "fuse.in fuse.out",
        "needs a condition",
    ),
    "unit of a quantity": ("readings.yaml", "unit: psi", "unit: bar", "quantities.pressure.unit"),
    "meter": ("readings.yaml", "absolute: 0.02 V", "absolute: 2 A", "voltage.meter.absolute"),
    "word": ("words.yaml", "0.8", "1.8", "usually.probability: should be at most 1"),
    "caution": ("cautions.yaml", "text:", "says:", "hot-part.text: this key is needed"),
    "source": ("sources.yaml", "kind: handbook", "kind: book", "workshop.kind", "'handbook'"),
    "complaint": ("complaints.yaml", "say:", "said:", "complaints[1].say: this key is needed"),
}


@pytest.mark.parametrize("mistake", MISTAKES)
def test_mistake_is_refused_with_its_place(mistake: str, folder: Path, spoil: Spoil) -> None:
    file, old, new, *said = MISTAKES[mistake]
    spoil(file, old, new)

    problems = mistakes(folder)

    assert {Path(one.place.file).name for one in problems if one.place} == {Path(file).name}
    text = "\n".join(map(str, problems))
    assert all(words in text for words in said), text


def test_all_mistakes_of_all_files_come_at_once(folder: Path, spoil: Spoil) -> None:
    spoil(HOLDER, "fuse_holder: {add", "fuse_holdr: {add")
    spoil(HOLDER, "revised: 2026-11-25", "revized: 2026-11-25")
    spoil(BLOWN, "group: main-fuse", "group: [")
    spoil("observations/fuses.yaml", "minutes: 1", "minutes: soon")
    spoil("readings.yaml", "current coil", "current coal")
    spoil("readings.yaml", "unit: psi", "unit: bar")
    (folder / "words.yaml").unlink()
    spoil("cautions.yaml", "sources: [workshop]", "sources: workshop")
    spoil("sources.yaml", "kind: handbook", "kind: book")
    spoil("complaints.yaml", "say:", "said:")

    problems = mistakes(folder)

    found: dict[str, int] = {}
    for one in problems:
        assert one.place is not None, one
        name = Path(one.place.file).name
        found[name] = found.get(name, 0) + 1
        assert bool(one.place.line or one.place.key) == (name != "words.yaml"), one
    assert found == {
        "fuse-holder-corroded.yaml": 3,
        "main-fuse-blown.yaml": 1,
        "fuses.yaml": 1,
        "readings.yaml": 2,
        "words.yaml": 1,
        "cautions.yaml": 1,
        "sources.yaml": 1,
        "complaints.yaml": 2,
    }


TWICE = {
    "failure mode": (
        BLOWN,
        "id: main-fuse-blown",
        "id: fuse-holder-corroded",
        "fuse-holder-corroded",
    ),
    "observation": (
        "observations/fuses.yaml",
        "id: fuse-holder-look",
        "id: main-fuse-element",
        "main-fuse-element",
    ),
    "reading": (
        "readings.yaml",
        "resistance fuse.in fuse.out",
        "temperature fuse-holder",
        "temperature fuse-holder",
    ),
    "complaint": (
        "complaints.yaml",
        "complaints:\n",
        "complaints:\n  - {id: fuse-is-green, say: s, seen: {fuse-holder-look: corroded}}\n",
        "fuse-is-green",
    ),
}


@pytest.mark.parametrize("kind", TWICE)
def test_a_second_entry_of_one_id_is_refused(kind: str, folder: Path, spoil: Spoil) -> None:
    file, old, new, name = TWICE[kind]
    spoil(file, old, new)

    (problem,) = mistakes(folder)

    assert f"there is a {kind} '{name}' already (" in problem.message


def test_a_second_figure_of_one_name_is_refused_though_in_another_file(folder: Path) -> None:
    more = "figures:\n  leak: {value: 2 ohm, about: a, source: estimate, basis: estimate}\n"
    (folder / "figures" / "more.yaml").write_text(more, "utf-8")

    with pytest.raises(Mistakes) as caught:
        load_figures(folder / "figures")

    (problem,) = caught.value.problems
    assert "more.yaml, line 2" in str(problem)
    assert "there is 'leak' already (" in str(problem)
    assert "circuit.yaml, line 2" in str(problem)


def test_a_folder_without_knowledge_names_every_file_that_is_missing(tmp_path: Path) -> None:
    text = "\n".join(map(str, mistakes(tmp_path)))

    for name in ("readings", "words", "cautions", "sources", "complaints"):
        assert f"{name}.yaml: there is no such file" in text
