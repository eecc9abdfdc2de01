"""Nothing is asked about a part that a rig does not have."""

from __future__ import annotations

import pytest

from diagnose.catalogue.load import shipped_catalogue
from diagnose.catalogue.templates import for_rig
from diagnose.circuit.heat import COMPONENTS, components_on
from diagnose.circuit.model import Model
from diagnose.circuit.rig import Rig, bundled_rigs, open_rig
from diagnose.design.facts import rig_facts
from diagnose.reasoning import available_tests
from tests.design.few_parts import FUSE, rig_of

RIGS = [
    *(pytest.param(open_rig(name), id=name) for name in bundled_rigs()),
    pytest.param(rig_of("hand_switch"), id="no protection"),
    pytest.param(rig_of(FUSE, "hand_switch"), id="fuse and switch"),
]


@pytest.mark.parametrize("rig", RIGS)
def test_the_heat_of_a_part_is_asked_for_where_the_rig_has_it(rig: Rig) -> None:
    tests = available_tests.tests_for(
        for_rig(shipped_catalogue(), rig), rig, rig_facts(Model.of(rig))
    )
    asked = {test.id.removesuffix("-heat") for test in tests if test.id.endswith("-heat")}

    assert asked & set(COMPONENTS) <= set(components_on(rig))
