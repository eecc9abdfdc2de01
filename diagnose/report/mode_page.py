"""One failure mode as the handbook has it, computed for one rig."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from diagnose.catalogue.records import FailureMode, ReadingEntry, holds
from diagnose.circuit.meter import Reading
from diagnose.design.volt_plot import Level
from diagnose.outcome import Proof, proof
from diagnose.reasoning.words import band, spaced
from diagnose.report.telling_apart import Apart, Parting, Sign
from diagnose.report.volts_svg import mode_levels

READ = 6
"""Readings that are shown."""


@dataclass(frozen=True)
class Line:
    """One reading: what sound rigs read, and what this failure mode mostly reads, in words."""

    reading: Reading
    sound: str
    here: str


@dataclass(frozen=True)
class ModePage:
    """needs: what a rig must have for this failure mode, when this one has it not; the rest is
    then empty. volts: along the circuit, where it changes them; apart: what it is mistaken for on
    this rig, with the tests that tell."""

    mode: FailureMode
    needs: str
    signs: tuple[Sign, ...] = ()
    reads: tuple[Line, ...] = ()
    volts: tuple[Level, ...] = ()
    apart: tuple[tuple[FailureMode, tuple[Parting, ...]], ...] = ()
    proof: Proof | None = None


def mode_page(apart: Apart, mode: FailureMode) -> ModePage:
    """The page of a failure mode on the rig that `apart` is about."""
    bench = apart.bench
    if mode.id not in bench.hypotheses.modes:
        return ModePage(mode, needs(mode, bench.hypotheses.facts))
    book = bench.shop.catalogue.failure_modes
    others = [book[name] for name in mode.mistaken_for if name in bench.hypotheses.modes]
    return ModePage(
        mode,
        "",
        apart.shows(mode.id),
        _reads(apart, mode.id),
        mode_levels(bench, mode),
        tuple((other, apart.by(mode.id, other.id)) for other in others),
        proof(bench, mode.verify),
    )


def needs(mode: FailureMode, facts: Mapping[str, str]) -> str:
    """What a rig must have for a failure mode, and this one has not."""
    missing = [
        f"{spaced(fact)}: {' or '.join(value.replace('_', ' ') for value in values)}"
        for fact, values in mode.applies.items()
        if not holds({fact: values}, facts)
    ]
    return ", ".join(missing) or "a part that this rig has not"


def _reads(apart: Apart, mode: str) -> tuple[Line, ...]:
    """The readings that are most out of their sound band, in the order of the book."""
    readings = [
        test.entry.reading
        for test in apart.bench.tests.values()
        if isinstance(test.entry, ReadingEntry)
    ]
    far = {reading: apart.away(mode, reading) for reading in readings}
    best = sorted(readings, key=lambda reading: -far[reading])[:READ]
    return tuple(_line(apart, mode, r) for r in readings if r in best and far[r] > 1)


def _line(apart: Apart, mode: str, reading: Reading) -> Line:
    sound = apart.bench.healthy.expected(reading)
    return Line(reading, band(sound.low, sound.high, reading), apart.band(mode, reading))
