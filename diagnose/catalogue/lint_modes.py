"""Checks on a failure mode as a whole: is it complete, how often it comes, what lies behind it."""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Iterator, Mapping

from diagnose.catalogue.entry_parts import CONDITION, Verify
from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.catalogue.records import FailureMode
from diagnose.catalogue.rig_shapes import Shape
from diagnose.circuit.reading_words import fits
from diagnose.errors import Place, quoted
from diagnose.record_places import under
from diagnose.units import show_quantity

_DATE = re.compile(r"2[0-9]{3}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])")
CASES = (500.0, 1500.0)
"""What the prior weights of one rig may sum to: they are cases per 1000, judged one by one."""

FEWEST_WORDS = 3
"""Words in which a reason can be given at all."""


@check("K401", Severity.MUST_FIX)
def nothing_is_missing(knowledge: Knowledge) -> Found:
    """A failure mode has an effect, a fix, a root cause, a prevention and a source."""
    for mode in knowledge.catalogue.failure_modes.values():
        for key in ("effects", "fix", "root_causes", "prevention", "sources"):
            if not getattr(mode, key):
                yield under(mode.place, key), "must not be empty"


@check("K402", Severity.MUST_FIX)
def chain_of_causes_ends(knowledge: Knowledge) -> Found:
    """From every failure mode, result_of leads to one that is not a result itself."""
    modes = knowledge.catalogue.failure_modes
    for mode in modes.values():
        behind = _behind(mode, modes)
        if behind and all(modes[name].result_of for name in behind):
            yield under(mode.place, "result_of"), "runs in a circle without a first cause"


def _behind(mode: FailureMode, modes: Mapping[str, FailureMode]) -> Collection[str]:
    """Every failure mode that result_of leads to, step by step."""
    found: set[str] = set()
    ahead = [*mode.result_of]
    while ahead:
        name = ahead.pop()
        if name in modes and name not in found:
            found.add(name)
            ahead += modes[name].result_of
    return found


@check("K403", Severity.MUST_FIX)
def proof_is_a_known_reading(knowledge: Knowledge) -> Found:
    """The reading that proves a repair is in readings.yaml, which says how to take it."""
    known = knowledge.catalogue.readings
    for mode in knowledge.catalogue.failure_modes.values():
        name = str(mode.verify.reading)
        if name not in known:
            yield under(mode.place, "verify", "read"), f"{quoted(name)} is not in readings.yaml"


@check("K404", Severity.MUST_FIX)
def proof_can_be_read(knowledge: Knowledge) -> Found:
    """The reading that proves a repair can be taken on every rig with this failure mode."""
    for mode in knowledge.catalogue.failure_modes.values():
        without = [str(shape) for one, shape in _on(knowledge, mode) if not _readable(one, shape)]
        if without:
            place = under(mode.place, "verify", "read")
            yield place, f"cannot be read on these rigs: {'; '.join(dict.fromkeys(without))}"


def _on(knowledge: Knowledge, mode: FailureMode) -> Iterator[tuple[FailureMode, Shape]]:
    """A failure mode on every rig that can have it, of a template for each part."""
    return ((one, shape) for shape in knowledge.shapes for one in shape.modes(mode))


def _readable(mode: FailureMode, shape: Shape) -> bool:
    return fits(mode.verify.reading, shape.model.rig)


@check("K405", Severity.SHOULD_FIX)
def proof_accepts_a_sound_rig(knowledge: Knowledge) -> Found:
    """The limits of the proof hold on sound rigs, and it says why it proves anything."""
    for mode in knowledge.catalogue.failure_modes.values():
        place = under(mode.place, "verify")
        if not mode.verify.why:
            yield place, "say why this reading proves the repair"
        pairs = [(one, shape) for one, shape in _on(knowledge, mode) if _readable(one, shape)]
        told = (_refused(one.verify, shape) for one, shape in pairs)
        if refused := next(filter(None, told), ""):
            yield place, refused


def _refused(verify: Verify, shape: Shape) -> str:
    """What a sound rig of this shape reads, if the limits of the proof refuse it."""
    if verify.above is None and verify.below is None:
        return ""
    value = float(shape.sound.predict(verify.reading)[0][0])
    low = -math.inf if verify.above is None else verify.above
    high = math.inf if verify.below is None else verify.below
    reads = show_quantity(value, verify.reading.unit)
    return "" if low <= value <= high else f"a sound rig ({shape}) reads {reads}"


@check("K406", Severity.MUST_FIX)
def prior_is_possible(knowledge: Knowledge) -> Found:
    """A prior is above 0, and each factor on it is above 0 too."""
    for mode in knowledge.catalogue.failure_modes.values():
        if mode.prior.weight <= 0:
            yield under(mode.place, "prior", "weight"), "must be above 0; retire what never comes"
        for number, factor in enumerate(mode.prior_factors, 1):
            if factor.times <= 0:
                yield under(mode.place, "prior_factors", number, "times"), "must be above 0"


@check("K407", Severity.SHOULD_FIX)
def prior_factor_does_something(knowledge: Knowledge) -> Found:
    """A factor on a prior is not 1, and says when it holds."""
    for mode in knowledge.catalogue.failure_modes.values():
        for number, factor in enumerate(mode.prior_factors, 1):
            if factor.times == 1 or not factor.when:
                place = under(mode.place, "prior_factors", number)
                yield place, "changes nothing, or always holds: put it into the weight"


@check("K408", Severity.SHOULD_FIX)
def priors_are_cases_per_thousand(knowledge: Knowledge) -> Found:
    """On every rig the prior weights sum to about 1000: they are cases per 1000."""
    modes = knowledge.catalogue.failure_modes.values()
    totals: dict[float, str] = {}
    for shape in knowledge.shapes:
        total = sum(mode.prior.weight for mode in modes if shape.modes(mode))
        totals.setdefault(total, str(shape))
    for total, shape_name in totals.items():
        if not CASES[0] <= total <= CASES[1]:
            said = f"on a rig ({shape_name}) the weights sum to {total:.0f}, not to about 1000"
            yield Place(str(knowledge.folder / "failure_modes")), said


@check("K409", Severity.MUST_FIX)
def condition_can_hold(knowledge: Knowledge) -> Found:
    """Every condition on the rig can hold on some rig, together with that of its entry."""
    for place, condition, entry in knowledge.every(CONDITION):
        if not any(shape.may(condition, entry.applies) for shape in knowledge.shapes):
            yield place, "holds on no rig that there is"


@check("K410", Severity.SHOULD_FIX)
def revision_has_a_date(knowledge: Knowledge) -> Found:
    """A failure mode says when it was last revised, as year-month-day."""
    for mode in knowledge.catalogue.failure_modes.values():
        if not _DATE.fullmatch(mode.revised):
            place = under(mode.place, "revised")
            yield place, f"{quoted(mode.revised)} is no date such as 2026-11-25"


@check("K411", Severity.NOTE)
def failure_mode_is_reviewed(knowledge: Knowledge) -> Found:
    """A failure mode has been reviewed by a second person."""
    for mode in knowledge.catalogue.failure_modes.values():
        if mode.status == "draft":
            yield under(mode.place, "status"), "is a draft still"


@check("K412", Severity.NOTE)
def circuit_is_not_overruled(knowledge: Knowledge) -> Found:
    """A failure mode as a whole does not say what the circuit model works out."""
    observations = knowledge.catalogue.observations
    for mode in knowledge.catalogue.failure_modes.values():
        for name in mode.shows:
            if name in observations and observations[name].predicted:
                place = under(mode.place, "shows", name)
                yield place, "overrules the circuit model for every effect: is that meant?"


@check("K413", Severity.NOTE)
def chain_of_causes_does_not_loop(knowledge: Knowledge) -> Found:
    """Who looks for the cause behind a failure mode is not led back to it."""
    modes = knowledge.catalogue.failure_modes
    for mode in modes.values():
        if mode.id in _behind(mode, modes):
            yield under(mode.place, "result_of"), "leads back to this failure mode itself"


@check("K414", Severity.SHOULD_FIX)
def prior_says_what_it_rests_on(knowledge: Knowledge) -> Found:
    """A prior gives its reason in more than a word, since its basis alone convinces nobody."""
    for mode in knowledge.catalogue.failure_modes.values():
        if len(mode.prior.why.split()) < FEWEST_WORDS:
            yield under(mode.place, "prior", "why"), "say what this share of cases rests on"
