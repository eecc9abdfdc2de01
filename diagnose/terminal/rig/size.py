"""The command rig size: wire, fuse and relay for a current and a length; and how wires lie."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import partial
from typing import Any

from diagnose.circuit.bounds import bounds
from diagnose.design.recommend import Recommendation, Row, recommend
from diagnose.design.site import Site, site
from diagnose.design.sizing import Choice, Sizes, either
from diagnose.design.wording import FOOT, brief, length, n, q
from diagnose.errors import BadQuantity, Place, every, quoted
from diagnose.figures import Figures, shipped_figures
from diagnose.terminal.json_lines import Record, print_json
from diagnose.terminal.layout import NARROW, heading, rows
from diagnose.terminal.plain import Renderable, Screen, mark, para
from diagnose.units import read_quantity

SITE = {
    "insulation": ("insulation", "degC"),
    "air": ("air", "degC"),
    "bundle": ("bundle", ""),
    "duty": ("duty", "h"),
    "switch_rating": ("switch.contact", "A"),
}
"""Options that say how wires lie and what they feed: whose bounds, and the unit."""


def size(current: str, length: str, units: list[str] | None, as_json: bool, **lie: Any) -> None:
    """Raises Mistakes with all that is wrong."""
    typed = [(current, "A"), (length, "ft"), (lie["insulation"], "degC"), (lie["air"], "degC")]
    current, length, lie["insulation"], lie["air"] = with_units(typed, units or [])
    figures = shipped_figures()
    amps, metres, where = every(
        (
            lambda: within(current, "pump.current", "A", "--current"),
            lambda: within(length, "wire.length", "ft", "--length") * FOOT,
            lambda: site_from(**lie),
        )
    )
    advice = recommend(amps, metres, where, figures)
    if as_json:
        print_json(record(advice, where))
        return
    screen = Screen.standard()
    screen.show(*view(screen, advice, where, figures))


def site_from(sheathed: bool = False, **typed: str) -> Site:
    """A Site from options as typed, "" where nothing was said. Raises Mistakes."""
    said = {name: text for name, text in typed.items() if text}
    places = (f"--{name.replace('_', '-')}" for name in said)
    parts = [
        partial(within, text, *SITE[name], place)
        for (name, text), place in zip(said.items(), places, strict=True)
    ]
    values: dict[str, Any] = dict(zip(said, every(parts), strict=True))
    if "bundle" in values:
        values["bundle"] = math.ceil(values["bundle"])
    return site(**values, sheathed=sheathed)


def within(typed: str, key: str, unit: str, place: str) -> float:
    """A quantity in `unit` within the bounds of `key`. Raises BadQuantity."""
    return bounds()[key].read(typed, unit, Place(place))


def with_units(typed: Sequence[tuple[str, str]], words: Sequence[str]) -> list[str]:
    """Values with the units that stood outside quotes on the command line: of --current 14 A
    the shell makes an option `14` and a word `A`.

    typed: each value as typed, with the unit that it can be had in. Raises BadQuantity for a word
    that is the unit of none of them.
    """
    values = [value for value, _ in typed]
    for word in words:
        fitting = (i for i, (_, unit) in enumerate(typed) if _completes(values[i], word, unit))
        place = next(fitting, None)
        if place is None:
            raise BadQuantity(f"{quoted(word)} is neither an option nor a unit that is missing")
        values[place] += f" {word}"
    return values


def _completes(value: str, word: str, unit: str) -> bool:
    """Whether a bare number and a word make a quantity of this kind."""
    try:
        read_quantity(value, "")
        read_quantity(f"{value} {word}", unit)
    except BadQuantity:
        return False
    return True


def view(
    screen: Screen, advice: Recommendation, where: Site, figures: Figures
) -> Iterator[Renderable]:
    """The answer first, then how it comes about, then other lengths."""
    good = advice.rows[0].good
    yield heading(screen, f"{q(advice.current, 'A')} over {length(good.length)} one way")
    yield para(advice.missing or f"Run {either(advice.wire)}, out and back.", "bold")
    least, usual = advice.fuses
    fuse = q(usual, "A") if least == usual else f"{n(least)} or {q(usual, 'A')}"
    protects = f"; it protects {either(advice.protected)} and thicker"
    told = protects if any(advice.protected) else ""
    yield para(f"Main fuse {fuse}, within 7 in of the battery{told}.")
    yield para(f"Relay with a contact of {q(advice.contact, 'A')} or more, control fuse 2 to 5 A.")
    yield para("")
    constant = figures.get("wire-size-constant")
    for name, choice in (("3 %", good), ("10 %", advice.rows[0].most)):
        sum_ = size_sum(constant, advice.current, choice)
        yield para(f"{name}: {sum_}, {comes_to(advice.rows[0], choice)}", indent=2)
    yield para("")
    yield mark("Wire by length, 12 V, from the least copper that a size may have", "bold")
    yield wire_table(screen, advice.rows)
    yield para(never_thinner(advice.protected, usual), "dim")
    yield para("")
    yield para(site_line(where), "dim")


def size_sum(constant: float, current: float, choice: Choice) -> str:
    """The size formula with its numbers."""
    feet = q(2 * choice.length / FOOT, "ft")
    sum_ = f"{n(constant)} x {q(current, 'A')} x {feet} / {q(choice.volts, 'V')}"
    return f"{sum_} = {n(choice.needed)} CM"


def comes_to(row: Row, choice: Choice) -> str:
    """The wire for a drop, and whether it is the fuse that asks for so much."""
    offered = row.offered(choice)
    if not any(offered):
        return "and no wire of the tables will do"
    why = "so" if offered == choice.sizes else "and the fuse asks for more:"
    return f"{why} {either(offered)}"


def never_thinner(protected: Sizes, fuse: float) -> str:
    """What holds whatever the drop permits: the fuse [A] must protect the wire behind it."""
    if not any(protected):
        return f"No wire of the tables is protected by a {q(fuse, 'A')} fuse as it lies here."
    return f"Behind a {q(fuse, 'A')} fuse nothing thinner than {either(protected)}, however short."


def wire_table(screen: Screen, table: Sequence[Row]) -> Renderable:
    """Lengths one way and the thinnest wire for 3 % and for 10 %."""
    known = [(row.good.length, _sizes(row, row.good), _sizes(row, row.most)) for row in table]
    if screen.width < NARROW:
        return rows(
            [
                (f"{brief(long / FOOT)} ft: 3 % {' or '.join(a)}; 10 % {' or '.join(b)}",)
                for long, a, b in known
            ],
            [None],
        )
    head = ("one way", "", "3 %", "", "10 %", "")
    cells = [(f"{brief(long / FOOT)} ft", f"{brief(long)} m", *a, *b) for long, a, b in known]
    return rows([head, *cells], [8, 8, 9, 9, 9, 9], right=[0, 1])


def _sizes(row: Row, choice: Choice) -> tuple[str, ...]:
    return tuple(size.name if size else "-" for size in row.offered(choice))


def site_line(where: Site) -> str:
    """What was taken for how the wires lie."""
    assumed = [name for name in where.assumed if name != "duty"]
    usual = "; taken as usual: " + ", ".join(assumed) if assumed else ""
    return (
        f"Wires: {where.insulation} degC insulation, air of {n(where.air)} degC, {where.bundle} in "
        f"a bundle{usual}. Local codes go first."
    )


def record(advice: Recommendation, where: Site) -> Record:
    """The same as one JSON object."""
    return {
        "type": "size",
        "current": advice.current,
        "wire": _named(advice.wire),
        "fuse": [*advice.fuses],
        "protected": _named(advice.protected),
        "missing": advice.missing,
        "relay_contact": advice.contact,
        "lengths": [wire_record(row) for row in advice.rows],
        "site": site_record(where),
    }


def _named(sizes: Sizes) -> list[str | None]:
    return [size.name if size else None for size in sizes]


def wire_record(row: Row) -> Record:
    """One length: metres one way, and for both drops the copper needed and the thinnest sizes that
    have it and are protected by the fuse; set_by says which of the two asks for them."""
    return {
        "length": row.good.length,
        **{
            name: {
                "circular_mils": choice.needed,
                "volts": choice.volts,
                "sizes": _named(row.offered(choice)),
                "set_by": "drop" if row.offered(choice) == choice.sizes else "fuse",
            }
            for name, choice in (("3 %", row.good), ("10 %", row.most))
        },
    }


def site_record(where: Site) -> Record:
    return {
        "insulation": where.insulation,
        "air": where.air,
        "bundle": where.bundle,
        "duty": where.duty,
        "assumed": [*where.assumed],
    }
