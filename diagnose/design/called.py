"""What a listed part is called in a drawing, a table or a finding."""

from __future__ import annotations

from diagnose.circuit.form import shipped_form
from diagnose.circuit.kinds import Part
from diagnose.circuit.parts import Placed

OUTPUT = {"remote": "receiver output"}
"""What is called by the part of it that stands in the circuit."""


def called(one: Placed) -> str:
    """A part's name; the first fuse, where it has no other, is the main fuse."""
    if one.part.name == "fuse" and "main_fuse" in one.parameters:
        return "main fuse"
    return named(one.part)


def named(part: Part) -> str:
    """What its owner calls it, or its kind."""
    if part.name != part.kind:
        return part.said
    return OUTPUT.get(part.kind) or shipped_form().said(part.kind)
