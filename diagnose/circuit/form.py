"""The form in which a rig is told: every value of a rig file, as knowledge/rig_form.yaml has it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property

from diagnose.circuit.bounds import bounds
from diagnose.documents import Section, load
from diagnose.errors import UnknownName, nearest
from diagnose.figures import PER_12, knowledge_folder
from diagnose.units import read_quantity

GAUGE_UNIT, COUNT = "gauge", "1"
"""Instead of a unit: a wire size, and a bare number."""

CONTROL_FUSE = "control_fuse"
"""What a fuse in the coil's line is called where its fields are looked up."""

FIRST_PROTECTION = "first-protection"
"""What a part must be for fields that have it as `only`: the first that opens at too much."""

NONE = "none"
"""The answer where none of several options is so."""


@dataclass(frozen=True)
class Field:
    """One value of a rig file.

    key: where it stands; label: what it is called in short; ask, help, why: the question; unit: of
    a quantity; options: word to meaning; many: whether several of them may hold; flag: whether its
    yes and no are truth values; parts: kinds of listed parts that have it too; only: what a rig or
    part must be for it to be asked; usual, usual_from: what is taken where no file says it, or the
    rule that finds it; proposed, proposed_from: what `rig new` proposes instead; beside: the
    comment in a file; bound: its row of figure table rig-bounds; needed: whether no file can do
    without it; per_12: the power of the system's voltage over 12 V with which what is usual goes.
    """

    key: str
    label: str
    ask: str
    help: str
    why: str
    unit: str
    options: Mapping[str, str]
    many: bool
    flag: bool
    parts: tuple[str, ...]
    only: str
    usual: str
    usual_from: str
    proposed: str
    proposed_from: str
    beside: str
    bound: str
    needed: bool
    per_12: int = 0

    @property
    def section(self) -> str:
        """The part of a file in which it stands; empty at the top."""
        return self.key.rpartition(".")[0]

    @property
    def name(self) -> str:
        """Its key within that part."""
        return self.key.rpartition(".")[2]

    @property
    def si(self) -> str:
        """The unit in which the program holds it."""
        return _SI.get(self.unit, self.unit)

    @property
    def usual_si(self) -> float:
        """What is usual, in that unit; 0 where a rule finds it."""
        return read_quantity(self.usual, self.si) if self.usual else 0.0


_SI = {"psi": "Pa", "gal/min": "m^3/s", "ft": "m", "in": "m", COUNT: "", GAUGE_UNIT: ""}


@dataclass(frozen=True)
class Form:
    """All fields by key; the orders in which they are asked; what kinds of parts are called, as
    pairs of name and meaning."""

    fields: Mapping[str, Field]
    orders: Mapping[str, tuple[str, ...]]
    kinds: Mapping[str, tuple[str, str]]

    def __getitem__(self, key: str) -> Field:
        """The field of a key. Raises UnknownName."""
        if key not in self.fields:
            raise UnknownName("field of a rig", key, None, nearest(key, self.fields))
        return self.fields[key]

    def order(self, name: str) -> tuple[Field, ...]:
        """Fields in the order in which they are asked."""
        return tuple(self[key] for key in self.orders[name])

    def of_part(self, kind: str) -> tuple[Field, ...]:
        """What a file may say of a listed part."""
        return self._of_parts.get(kind, ())

    @cached_property
    def _of_parts(self) -> Mapping[str, tuple[Field, ...]]:
        kinds = {kind for one in self.fields.values() for kind in one.parts}
        return {
            kind: tuple(one for one in self.fields.values() if kind in one.parts) for kind in kinds
        }

    def said(self, kind: str) -> str:
        """What a kind is called."""
        return self.kinds[kind][0] if kind in self.kinds else kind.replace("_", " ")


def form_in(document: Section) -> Form:
    """A form from an opened document. Raises Mistakes with all its problems."""
    sections = document.sections("fields")
    fields, limited = [*map(_field, sections)], bounds()
    for field, section in zip(fields, sections, strict=True):
        if field.unit and field.bound not in limited:
            place, near = section.place_of("bound"), nearest(field.bound, limited)
            document.problem(UnknownName("row of rig-bounds", field.bound, place, near))
    known = {one.key: one for one in fields}
    orders = document.section("orders")
    named = {name: orders.placed(name) for name in orders}
    for key, place in (pair for pairs in named.values() for pair in pairs):
        if key not in known:
            document.problem(UnknownName("field", key, place, nearest(key, known)))
    kinds = document.section("kinds")
    called = {name: _called(kinds.section(name)) for name in kinds}
    document.finish()
    return Form(known, {n: tuple(key for key, _ in pairs) for n, pairs in named.items()}, called)


def _called(section: Section) -> tuple[str, str]:
    return section.text("said"), section.text("is")


def _field(one: Section) -> Field:
    options = one.section("options", default=None)
    key = one.text("key")
    texts = {name: _line(one.text(name)) for name in ("label", "ask", "help", "why")}
    rest = ("unit", "only", "usual", "usual_from", "proposed", "proposed_from", "beside")
    return Field(
        key=key,
        options={word: _line(options.text(word)) for word in options} if options else {},
        many=one.flag("many", default=False),
        flag=one.flag("flag", default=False),
        parts=one.texts("parts", default=()),
        bound=one.text("bound", default=key),
        needed=one.flag("needed", default=False),
        per_12=int(one.number(PER_12, default=0)),
        **texts,
        **{name: one.text(name, default="") for name in rest},
    )


def _line(text: str) -> str:
    return " ".join(text.split())


@cache
def shipped_form() -> Form:
    """The form that comes with the program, read once."""
    return form_in(load(knowledge_folder() / "rig_form.yaml"))
