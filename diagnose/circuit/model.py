"""A rig as it is computed: with the figures, and with its parameters when sound."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from diagnose.circuit.healthy import healthy
from diagnose.circuit.label import Work, at_work
from diagnose.circuit.parameters import Batch
from diagnose.circuit.rig import Rig
from diagnose.figures import Figures, shipped_figures


@dataclass(frozen=True)
class Model:
    """A rig, the figures it is computed from, and its parameters when sound; well: this very rig
    when it is well, one circuit, where it is known better than by its description."""

    rig: Rig
    figures: Figures
    sound: Mapping[str, float]
    well: Batch | None = None

    @classmethod
    def of(cls, rig: Rig, figures: Figures | None = None) -> Model:
        figures = (figures or shipped_figures()).at(rig.times_12)
        return cls(rig, figures, healthy(rig, figures))

    @cached_property
    def work(self) -> Work:
        """The pump at its working pressure."""
        return at_work(self.rig, self.figures)

    def sound_batch(self, count: int = 1) -> Batch:
        """Sound circuits of this rig."""
        return Batch.of(self.sound, count)
