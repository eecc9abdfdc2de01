"""The form in which a rig is told: it fits the program, the bounds and the kinds of parts."""

from __future__ import annotations

import pytest

from diagnose.circuit import rig
from diagnose.circuit.bounds import bounds
from diagnose.circuit.form import GAUGE_UNIT, Field, form_in, shipped_form
from diagnose.circuit.kinds import kinds
from diagnose.circuit.listing import ANY
from diagnose.circuit.rig import USUAL_FROM
from diagnose.design.proposals import PROPOSED_FROM
from diagnose.documents import parse
from diagnose.errors import Mistakes
from diagnose.units import read_gauge, read_quantity

FORM = shipped_form()
FIELDS = [*FORM.fields.values()]


@pytest.mark.parametrize(
    ("key", "known"),
    [
        ("topology", rig.TOPOLOGIES),
        ("control", rig.CONTROLS),
        ("control_tap", rig.TAPS),
        ("use", rig.USES),
        ("pump.at", rig.PUMP_AT),
        ("pump.kind", rig.PUMP_KINDS),
        ("battery.kind", rig.BATTERY_KINDS),
        ("charging", tuple(one for one in rig.CHARGING if one != "none")),
        ("water.supply", rig.WATER["supply"]),
        ("water.outlet", rig.WATER["outlet"]),
        ("water", tuple(key for key, words in rig.WATER.items() if not words)),
    ],
)
def test_the_answers_are_those_that_the_program_works_with(
    key: str, known: tuple[str, ...]
) -> None:
    assert sorted(FORM[key].options) == sorted(known)


@pytest.mark.parametrize("field", FIELDS, ids=lambda field: field.key)
def test_a_field_hangs_together(field: Field) -> None:
    if field.unit:
        assert field.bound in bounds()
    assert not field.usual_from or field.usual_from in USUAL_FROM
    assert not field.proposed_from or field.proposed_from in PROPOSED_FROM
    assert all(one in kinds() or one in ("load", "control_fuse") for one in field.parts)
    for value in filter(None, (field.usual, field.proposed)):
        if field.unit == GAUGE_UNIT:
            assert read_gauge(value) > 0
        elif field.unit:
            low, high = bounds()[field.bound].ends(field.si)
            assert low <= read_quantity(value, field.si) <= high
        elif field.options:
            assert value in (*field.options, "none", "unknown")


def test_every_question_is_one_and_has_a_help_and_a_reason() -> None:
    for field in FIELDS:
        assert field.ask.endswith("?"), field.key
        assert len(field.help) > 15, field.key
        assert len(field.why) > 15, field.key


def test_every_kind_of_part_is_called_something() -> None:
    assert set(FORM.kinds) == {*kinds(), ANY}


def test_no_limit_stands_twice_and_none_stands_unused() -> None:
    options = {"name", "air", "insulation", "bundle", "duty", "part.name"}
    used = {field.bound for field in FIELDS if field.unit} | options

    assert set(bounds()) == used


def test_a_form_with_mistakes_is_refused_with_all_of_them() -> None:
    text = (
        "orders: {usual: [nmae]}\nkinds: {}\nfields:\n  - {key: name, label: n, ask: a?, help: h}\n"
    )

    with pytest.raises(Mistakes) as caught:
        form_in(parse(text, "form.yaml"))

    assert [str(one) for one in caught.value.problems] == [
        "form.yaml, line 1, key orders.usual[1]: there is no field called 'nmae'. Did you mean "
        "'name'?",
        "form.yaml, line 4, key fields[1].why: this key is needed here and is missing",
    ]
