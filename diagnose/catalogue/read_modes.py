"""One failure mode from its file: knowledge/failure_modes/<group>/<id>.yaml."""

from __future__ import annotations

from diagnose.catalogue.entry_parts import applies, reading, shows, when
from diagnose.catalogue.records import (
    Change,
    Effect,
    FailureMode,
    Prior,
    PriorFactor,
    RootCause,
    Verify,
)
from diagnose.circuit.parameters import IN_SERIES, NAMES, OF_A_PART, OPEN, PART, unit_of
from diagnose.documents import Section
from diagnose.errors import BadDocument, BadQuantity, UnknownName, nearest
from diagnose.figures import BASES
from diagnose.units import read_quantity

OPERATIONS = ("add", "times", "set")
AXES = ("a", "b")
STATUSES = ("draft", "reviewed", "retired")


def failure_mode(section: Section) -> FailureMode:
    """One failure mode; what is wrong with it is noted in the section."""
    return FailureMode(
        id=section.text("id"),
        title=section.text("title"),
        group=section.text("group"),
        about=section.text("about"),
        applies=applies(section),
        effects=tuple(map(_effect, section.sections("effects"))),
        prior=_prior(section.section("prior")),
        prior_factors=tuple(map(_prior_factor, section.sections("prior_factors", default=()))),
        shows=shows(section),
        never_shows=shows(section, "never_shows"),
        result_of=section.texts("result_of", default=()),
        root_causes=tuple(map(_root_cause, section.sections("root_causes"))),
        repair=section.text("repair"),
        fix=section.texts("fix"),
        parts=section.texts("parts", default=()),
        verify=_verify(section.section("verify"), section.has(PART)),
        prevention=section.texts("prevention"),
        cautions=section.texts("cautions", default=()),
        mistaken_for=section.texts("mistaken_for", default=()),
        sources=section.texts("sources"),
        status=section.choice("status", STATUSES),
        revised=section.text("revised"),
        place=section.place,
    )


def _effect(section: Section) -> Effect:
    sets = section.section("sets", default=None)
    changes = [] if sets is None else [_change(sets, name) for name in sets]
    return Effect(
        section.text("name"),
        section.number("share", default=1.0, minimum=0.0, maximum=1.0),
        tuple(change for change in changes if change),
        section.choice("basis", BASES),
        section.text("why"),
        shows(section),
    )


def _change(sets: Section, parameter: str) -> Change | None:
    part = sets.section(parameter)
    operation = _operation(part)
    known = (*NAMES, *IN_SERIES, *OF_A_PART)
    if parameter not in known:
        hint = nearest(parameter, known)
        sets.problem(UnknownName("circuit parameter", parameter, sets.place_of(parameter), hint))
        return None
    axis = part.choice("axis", AXES, default=AXES[0])
    bounded = part.flag("bounded", default=False)
    ends = _ends(part, operation) if operation else None
    if operation is None or ends is None:
        return None
    mild, severe = (_amount(part, operation, parameter, end) for end in ends)
    return Change(parameter, operation, mild, severe, axis, bounded)


def _operation(part: Section) -> str | None:
    """The one operation that is given; None, with a problem noted, for none or several."""
    given = [word for word in OPERATIONS if part.has(word)]
    if len(given) == 1:
        return given[0]
    part.problem(BadDocument("say one of add, times, set", part.place))
    return None


def _ends(part: Section, operation: str) -> tuple[object, object] | None:
    raw = part.raw(operation)
    ends = raw if isinstance(raw, list) else [raw, raw]
    if len(ends) == 2:
        return ends[0], ends[1]
    part.problem(BadDocument("give one value, or [mild, severe]", part.place_of(operation)))
    return None


def _amount(part: Section, operation: str, parameter: str, value: object) -> float:
    """One end of a change: `open`, or a float in the parameter's unit, or a ratio for `times`."""
    unit = "1" if operation == "times" else unit_of(parameter)
    if value == "open" and operation == "set" and unit == "ohm":
        return OPEN
    try:
        return read_quantity(_scalar(value), "" if unit == "1" else unit, part.place_of(operation))
    except BadQuantity as error:
        part.problem(error)
        return 1.0


def _scalar(value: object) -> str | int | float:
    return value if isinstance(value, str | int | float) else str(value)


def _prior(section: Section) -> Prior:
    return Prior(
        section.number("weight", minimum=0.0), section.choice("basis", BASES), section.text("why")
    )


def _prior_factor(section: Section) -> PriorFactor:
    return PriorFactor(
        when(section, "when"), section.number("times", minimum=0.0), section.text("because")
    )


def _root_cause(section: Section) -> RootCause:
    return RootCause(section.text("cause"), section.text("mend"), when(section, "when"))


def _verify(section: Section, of_a_part: bool) -> Verify:
    found = reading(section, "read", of_a_part)
    section.choice("expect", ("healthy",), default="healthy")
    below, above = (section.quantity(key, found.unit, default=None) for key in ("below", "above"))
    return Verify(found, below, above, section.text("why", default=""))
