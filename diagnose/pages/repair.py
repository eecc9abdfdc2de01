"""What is said and taken when a repair is proved."""

from __future__ import annotations

from diagnose.casebook.closure import LOADED
from diagnose.circuit.reading_words import in_words
from diagnose.errors import UnknownName, nearest
from diagnose.outcome import Proof
from diagnose.reasoning import words


def check_load(load: str) -> str:
    """How the pump ran while the proof was read, "" for as usual. Raises UnknownName."""
    if load and load not in LOADED:
        raise UnknownName("load", load, None, nearest(load, LOADED), (*LOADED,))
    return load


def proof_sentence(wanted: Proof) -> str:
    """The reading to take after the repair, with its band."""
    sound = words.band(wanted.low, wanted.high, wanted.reading)
    return f"{in_words(wanted.reading)}: {sound} when it is mended."
