"""The interview about a rig: what is asked next, and what is proposed.

The usual circuit is asked for as one plans it: the pump, the way to it, the wire, its fuse, what
calls it, the relay, the battery. Any other is told part by part, in the order of the copper.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import count, takewhile

from diagnose.circuit.form import Field, shipped_form
from diagnose.circuit.kinds import kinds
from diagnose.circuit.listing import ANY, alike
from diagnose.circuit.rig import Rig, read_rig, rig_in
from diagnose.design.draft import (
    DONE,
    UNKNOWN,
    YES,
    Said,
    Told,
    all_parts,
    behind_protection,
    fields_of,
    has_relay,
    listed,
    parts,
    points,
    starts_pump,
)
from diagnose.design.proposals import as_usual, proposed
from diagnose.design.rig_writer import rig_file
from diagnose.documents import parse
from diagnose.figures import Figures, shipped_figures


@dataclass(frozen=True)
class Step:
    """One question. key: where its answer goes; part: what it is about, as its owner calls it;
    options: the answers, where they depend on the rig; place: where a part is asked for."""

    key: str
    field: Field
    part: str = ""
    options: Mapping[str, str] | None = None
    place: str = ""

    @property
    def label(self) -> str:
        """What it is called in short."""
        return self.field.label.format(part=self.part)

    @property
    def ask(self) -> str:
        return self.field.ask.format(part=self.part)

    @property
    def help(self) -> str:
        return self.field.help.format(part=self.part)

    @property
    def choices(self) -> Mapping[str, str]:
        """Its answers with what they mean; empty for a quantity or a name."""
        return self.field.options if self.options is None else self.options


def next_step(said: Said) -> Step | None:
    """What `rig new` asks next; None when all is told."""
    if listed(said):
        return _other(said)
    return _of_rig(said, ("circuit", *shipped_form().orders["usual"]))


def next_in_walk(said: Said) -> Step | None:
    """What a walk without a rig file asks next."""
    orders = shipped_form().orders
    details = orders["details"] if said.get("details") == YES else ()
    return _of_rig(said, (*orders["walk"], *details))


def _of_rig(said: Said, keys: Iterable[str]) -> Step | None:
    """The first question about the rig itself that is wanted and has no answer."""
    form = shipped_form()
    left = (form[key] for key in keys if key not in said)
    wanted = (Step(field.key, field, _called(field)) for field in left if _wanted(said, field))
    return next(wanted, None)


def _wanted(said: Said, field: Field) -> bool:
    if field.key in ("return.length", "return.gauge"):
        return said.get("return") == "other"
    relay = has_relay(said) if listed(said) else said.get("topology", "relay") == "relay"
    return relay or field.only != "relay"


def _called(field: Field) -> str:
    """What a part of the usual circuit is called: "main fuse"."""
    return field.section.replace("_", " ") if field.parts else ""


def _other(said: Said) -> Step | None:
    orders = shipped_form().orders
    return (
        _of_rig(said, orders["before-parts"])
        or _next_part(said, "feed")
        or (_control(said) if has_relay(said) else None)
        or _next_load(said)
        or _of_rig(said, orders["after-parts"])
    )


def _control(said: Said) -> Step | None:
    if "control.tap" not in said:
        tap = shipped_form()["control.tap"]
        return Step(tap.key, tap, "", points(said, before_relay=True))
    return _next_part(said, "control")


def _next_part(said: Said, place: str) -> Step | None:
    """What is left to ask about the parts of one place."""
    form = shipped_form()
    key = "control.any" if place.endswith(ANY) else {"control": "control.parts"}.get(place, place)
    told = {part.key: part for part in parts(said, place)}
    for number in count(1):
        at = f"{place}.{number}"
        if at not in said:
            return Step(at, form[key], "", None, place)
        if said[at] == DONE:
            return None
        step = _about(said, told[at])
        if step:
            return step
    return None


def _about(said: Said, part: Told) -> Step | None:
    """What is left to ask about one part."""
    form = shipped_form()
    if part.kind == ANY:
        return _next_part(said, f"{part.key}.{ANY}")
    if f"{part.key}.name" not in said and name_taken(said, part.name, part.key):
        return Step(f"{part.key}.name", form["part.name"], form.said(part.kind))
    for field in fields_of(said, part):
        if (key := f"{part.key}.{field.name}") not in said:
            return Step(key, field, part.said)
    return None


def name_taken(said: Said, name: str, key: str) -> bool:
    """Whether a part that was told before that at `key` has a name already."""
    before = takewhile(lambda one: one.key != key, all_parts(said))
    return any(alike(one.name) == alike(name) for one in before)


def _next_load(said: Said) -> Step | None:
    form = shipped_form()
    for number in count(1):
        key = f"loads.{number}"
        if key not in said:
            return Step(key, form["loads"])
        if said[key] == "no":
            return None
        name = said.get(f"{key}.name", "load")
        if f"{key}.name" not in said:
            return Step(f"{key}.name", form["load.name"])
        if f"{key}.at" not in said:
            return Step(f"{key}.at", form["load.at"], name, points(said))
        if f"{key}.current" not in said:
            return Step(f"{key}.current", form["load.current"], name)
    return None


def proposal(step: Step, said: Said, figures: Figures | None = None) -> str:
    """What Enter stands for: a sound value, given what was said before."""
    if step.place:
        return _part_proposed(said, step.place, figures or shipped_figures())
    if step.options is not None:
        return behind_protection(said, step.options)
    if step.field.key == "part.name":
        return _free_name(said, step.part)
    return proposed(step.field, draft(said), figures or shipped_figures())


def usual_answer(step: Step, said: Said) -> str:
    """What is taken when nobody knows, as a walk takes it."""
    return as_usual(step.field, draft(said), shipped_figures())


def _free_name(said: Said, kind: str) -> str:
    names = (f"{ordinal} {kind}" for ordinal in ("second", "third", "fourth", "further"))
    taken = {part.said for part in all_parts(said)}
    return next((name for name in names if name not in taken), f"{kind} {len(taken)}")


def _part_proposed(said: Said, place: str, figures: Figures) -> str:
    """The part that is missing most."""
    here = {part.kind for part in parts(said, place)}
    if place.endswith(ANY):
        wanted = [kind for kind in ("float_switch", "hand_switch") if kind not in here]
        return wanted[0] if wanted else DONE
    if place == "control":
        return "fuse" if "fuse" not in here else DONE if starts_pump(said) else "pressure_switch"
    if not any(kinds()[kind].protects for kind in here):
        return "fuse"
    if "master_switch" not in here:
        return "master_switch"
    if "relay" in here or starts_pump(said):
        return DONE
    relay = proposed(shipped_form()["topology"], draft(said), figures) == "relay"
    return "relay" if relay else "pressure_switch"


def draft(said: Said) -> Rig:
    """The rig described so far in its sizes, in the usual circuit and the rest as usual. Raises
    Mistakes for values that no rig can have."""
    sizes = said
    if listed(said):
        form = shipped_form()
        known = {*form.orders["before-parts"], "use"} - {"pump.switch"}
        sizes = {key: value for key, value in said.items() if key in known}
        sizes["topology"] = "relay" if has_relay(said) else "direct"
    current = as_usual(shipped_form()["pump.current"], _any_rig(), shipped_figures())
    needed = {"topology": "relay", "pump.current": current}
    return rig_of({**needed, **{key: value for key, value in sizes.items() if value != UNKNOWN}})


def _any_rig() -> Rig:
    return rig_of({"topology": "relay", "pump.current": "10 A"})


def rig_of(said: Said) -> Rig:
    """The rig that was told, as its file would be read. Raises Mistakes."""
    return read_rig(parse(rig_file(said), "your answers"))


def so_far(said: Said) -> Rig:
    """The rig as far as its parts were listed, for a drawing."""
    return rig_in(parse(rig_file(said), "your answers"))


def completed(said: Said) -> Said:
    """The answers with what a list cannot lack, to see whether all that was told can be."""
    done = {f"{load.key}.current": "1 A" for load in parts(said, "loads")} | dict(said)
    for part in parts(said, "control"):
        if part.kind == ANY:
            done |= _added(f"{part.key}.{ANY}", len(part.inside), 2)
    if has_relay(done) and "control.tap" not in done:
        done["control.tap"] = "lug+"
    if not starts_pump(done):
        place = "control" if has_relay(done) else "feed"
        told = len(parts(done, place))
        done |= _added(place, told, told + 1)
    return done


def _added(place: str, told: int, wanted: int) -> dict[str, str]:
    """Switches that stand in for those that are still to be told."""
    numbers = range(told + 1, wanted + 1)
    return {f"{place}.{n}": "hand_switch" for n in numbers} | {
        f"{place}.{n}.name": f"still to be told {n}" for n in numbers
    }
