"""Rings and brushes through which a reel is fed while it turns."""

from diagnose.circuit.kinds.kind import Kind

KINDS = (Kind("slip_ring", ("feed",), ohms="plug-resistance", sign="box", poles=True),)
