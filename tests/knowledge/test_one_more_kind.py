"""A kind of part is added by one Python module and files of knowledge, as is promised."""

from __future__ import annotations

import shutil
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from diagnose.bench import Bench, Shop
from diagnose.catalogue.load import load_catalogue
from diagnose.catalogue.rule_records import RIG_FACTS
from diagnose.circuit import kinds as package
from diagnose.circuit.kinds import kinds
from diagnose.circuit.meter import Circuits, Reading
from diagnose.circuit.model import Model
from diagnose.circuit.network import branches, points_on
from diagnose.circuit.rig import Rig, read_rig
from diagnose.documents import parse
from diagnose.errors import DiagnoseError
from diagnose.figures import knowledge_folder
from diagnose.walkthrough import Walk

KIND, WORN = "slip_ring", "slip-ring-worn"
"""Rings and brushes under a reel that turns; no rig of the book has any."""

GIVEN = Path(__file__).parent / "one_more_kind"
RIG = (GIVEN / "rig.yaml").read_text("utf-8")
TWO = RIG.replace("- slip_ring", "- slip_ring\n  - slip_ring: {name: swivel}")


@pytest.fixture
def module(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The module in the folder of the kinds, for as long as a test lasts."""
    shutil.copy(GIVEN / f"{KIND}.py", tmp_path)
    monkeypatch.setattr(package, "__path__", [*package.__path__, str(tmp_path)])
    kinds.cache_clear()
    monkeypatch.setitem(RIG_FACTS, "part", (*kinds(), "load"))
    yield
    kinds.cache_clear()
    sys.modules.pop(f"{package.__name__}.{KIND}", None)
    if hasattr(package, KIND):
        delattr(package, KIND)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """The knowledge with its files: the failure mode, its id, and the kind where readings across a
    part are asked for."""
    folder = tmp_path / "knowledge"
    shutil.copytree(knowledge_folder(), folder)
    shutil.copy(GIVEN / f"{WORN}.yaml", folder / "failure_modes" / "power-wiring")
    _entered(folder / "vocabulary.yaml", "  power-wiring: [", f"{WORN}, ")
    _entered(folder / "readings.yaml", "    part: [plug, ", f"{KIND}, ")
    return folder


def _entered(file: Path, behind: str, word: str) -> None:
    text = file.read_text("utf-8")
    assert behind in text
    file.write_text(text.replace(behind, behind + word), "utf-8")


def rig_of(text: str) -> Rig:
    return read_rig(parse(text, "rig.yaml"))


def ranked(bench: Bench, **read: str) -> list[str]:
    walk = Walk(bench)
    for points, value in read.items():
        walk.answer(walk.ask(f"voltage {points} calling"), value)
    return [name for name, _ in walk.belief().ranking]


def test_without_its_module_the_kind_is_refused() -> None:
    with pytest.raises(DiagnoseError, match="no part of the feed called 'slip_ring'"):
        rig_of(RIG)


@pytest.mark.usefixtures("module")
def test_its_module_alone_draws_it_into_the_network() -> None:
    rig = rig_of(RIG)
    drawn = {parameter for branch in branches(rig) for parameter in branch.parameters}

    assert {"part:slip_ring", "part:slip_ring.minus"} <= drawn
    assert {f"slip_ring.{end}" for end in ("in", "out", "minus.in", "minus.out")} < set(
        points_on(rig)
    )


@pytest.mark.usefixtures("module")
def test_its_failure_mode_leads_once_it_is_read(folder: Path, shop: Shop) -> None:
    """9 A through 0.1 ohm and more; the same volts lost in the minus ring as well. With two of the
    kind it is the one that was read."""
    grown = Shop(load_catalogue(folder), shop.book, shop.refusals)
    bench, two = (Bench.for_rig(rig_of(text), grown) for text in (RIG, TWO))

    assert ranked(bench, **{"slip_ring.in slip_ring.out": "0.9 V"})[0] == WORN
    assert ranked(bench, **{"slip_ring.minus.out slip_ring.minus.in": "0.9 V"})[0] == WORN
    assert ranked(two, **{"swivel.in swivel.out": "0.9 V"})[0] == f"{WORN}@swivel"
    assert ranked(two, **{"slip_ring.in slip_ring.out": "0.9 V"})[0] == f"{WORN}@slip-ring"


@pytest.mark.usefixtures("module")
def test_what_it_takes_is_ohms_law() -> None:
    """A tenth of an ohm at the plus ring: a tenth of a volt for each ampere."""
    model = Model.of(rig_of(RIG))
    read = Circuits(model, model.sound_batch().with_values({"part:slip_ring": 0.1}))

    volts, _ = read.predict(Reading("voltage", ("slip_ring.in", "slip_ring.out"), "calling"))
    amps, _ = read.predict(Reading("current", ("motor-feed",), "calling"))
    assert volts[0] == pytest.approx(0.1 * amps[0], rel=1e-6)
