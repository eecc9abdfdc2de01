"""What other programs may use: its examples are true, and it says what the command line says."""

from __future__ import annotations

import doctest
import json
import subprocess
import sys
from importlib import resources
from types import ModuleType

import pytest
from typer.testing import CliRunner

import diagnose
from diagnose import api, api_records
from diagnose.terminal.app import app

SLOW = "pump-action=slow"
DROP = "voltage motor- lug- calling = 1.9 V"


@pytest.mark.parametrize("module", [diagnose, api], ids=lambda module: module.__name__)
def test_examples_are_true(module: ModuleType) -> None:
    found = doctest.testmod(module, optionflags=doctest.ELLIPSIS, report=True)

    assert found.attempted > 3
    assert found.failed == 0


def test_every_name_is_given_on_and_explained() -> None:
    for name in diagnose.__all__:
        assert getattr(diagnose, name).__doc__.strip(), name
    records = {name for name, one in vars(api_records).items() if hasattr(one, "__match_args__")}
    assert records - {"Rig", "CommissioningRecord"} <= {*diagnose.__all__}
    with pytest.raises(AttributeError, match="has no attribute 'ranck'"):
        getattr(diagnose, "ranck")  # noqa: B009
    assert {*diagnose.__all__} <= {*dir(diagnose)}


def test_nothing_is_loaded_before_it_is_used() -> None:
    """The package alone brings in nothing of its own, and no library."""
    seen = "import sys, diagnose; print(*(m for m in sys.modules if m.startswith('diagnose.')))"
    loud = f"{seen}; print(*({{'numpy', 'pint', 'experta', 'rich'}} & {{*sys.modules}}))"
    done = subprocess.run([sys.executable, "-c", loud], capture_output=True, text=True, check=True)

    assert done.stdout.split() == []


def test_types_are_told_to_those_who_check_them() -> None:
    """Source: PEP 561, a package with types holds a file py.typed."""
    assert (resources.files(diagnose) / "py.typed").is_file()


def test_it_ranks_as_the_command_does() -> None:
    run = CliRunner().invoke(app, ["rank", "bowser", "--seen", SLOW, "--read", DROP, "--json"])
    told = json.loads(run.output)
    found = api.rank(api.open_rig("bowser"), seen=[SLOW], read=[DROP])

    assert {one.failure_mode: one.probability for one in found.causes} == pytest.approx(
        {one["failure_mode"]: one["probability"] for one in told["ranking"]}
    )
    assert found.causes[0].failure_mode == told["cause"]
    assert found.causes[0].repair == told["repair"]
    assert list(found.fix) == told["fix"]
    assert list(found.cautions) == told["cautions"]
    assert (found.next_test.name if found.next_test else None) == (
        told["next"]["id"] if told["next"] else None
    )


def test_it_expects_what_the_command_does() -> None:
    run = CliRunner().invoke(app, ["expect", "bowser", "--fault", "ground-resistive", "--json"])
    told = {one["read"]: one for one in json.loads(run.output)["readings"]}
    found = api.expect(api.open_rig("bowser"), "ground-resistive")

    assert [one.read for one in found] == [*told]
    for one in found:
        assert [one.low, one.high] == pytest.approx(told[one.read]["expected"])
        assert one.faulty == pytest.approx(told[one.read]["faulty"])
        assert (one.unit, one.differs) == (told[one.read]["unit"], told[one.read]["differs"])


def test_a_next_test_can_be_answered_in_its_own_words() -> None:
    rig = api.open_rig("bowser")
    given: dict[str, list[str]] = {"seen": ["pump-action=cuts-in-and-out"], "read": []}
    for _ in range(4):
        asked = api.rank(rig, **given).next_test
        assert asked is not None
        assert asked.minutes > 0
        assert asked.ask
        assert asked.why
        if asked.kind == "seen":
            given["seen"].append(f"{asked.name}={next(iter(asked.answers))}")
        else:
            assert asked.expected is not None
            given["read"].append(f"{asked.name} = {asked.expected[0]:.2f} {asked.unit}")


def test_a_danger_is_told_until_it_is_made_safe() -> None:
    rig = api.open_rig("bowser")
    hot = ["pump-action=cuts-in-and-out", "fuse-holder-heat=too-hot-to-hold"]
    [danger] = api.rank(rig, seen=hot).dangers

    assert danger.name == "too-hot"
    assert danger.do
    assert api.rank(rig, seen=hot, made_safe=["too-hot"]).dangers == ()
    assert api.rank(rig, seen=hot).fix[: len(danger.do)] == danger.do


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"seen": ["pump-action"]}, "is not observation=answer"),
        ({"seen": "pump-action"}, "'pump-action' is not observation=answer"),
        ({"read": ["voltage motor+ motor- calling = 900 V"]}, "is not possible here"),
        ({"seen": ["flow=much"], "read": ["volt = 1"]}, "\nread: "),
        ({"made_safe": ["too-hot"]}, "No stop called 'too-hot' stands now"),
    ],
)
def test_what_cannot_be_taken_is_one_of_the_family(given: dict[str, list[str]], words: str) -> None:
    with pytest.raises(diagnose.DiagnoseError) as caught:
        api.rank(api.open_rig("bowser"), **given)
    assert words in str(caught.value)


def test_a_rig_that_is_not_there_is_one_of_the_family(tmp_path: object) -> None:
    for name in ("bowsr", f"{tmp_path}/none.yaml"):
        with pytest.raises(diagnose.DiagnoseError):
            api.open_rig(name)
