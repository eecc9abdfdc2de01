"""The command rig size: wire, fuse and relay for a current and a length."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import TYPE_CHECKING

from diagnose.design.recommend import Recommendation, Row, recommend
from diagnose.design.site import Site
from diagnose.design.sizing import Choice, Sizes, either
from diagnose.design.wording import FOOT, brief, length, n, q
from diagnose.errors import every
from diagnose.figures import Figures, shipped_figures
from diagnose.terminal.json_records import Record, written
from diagnose.terminal.layout import NARROW, heading, rows
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.rig.site import within

if TYPE_CHECKING:
    from rich.console import RenderableType


def sized(current: str, one_way: str, lies: Callable[[], Site], as_json: bool) -> None:
    """lies: how the wires lie, from options. Raises Mistakes with all that is wrong."""
    figures = shipped_figures()
    amps, metres, where = every(
        (
            lambda: within(current, "pump.current", "A", "--current"),
            lambda: within(one_way, "wire.length", "ft", "--length") * FOOT,
            lies,
        )
    )
    advice = recommend(amps, metres, where, figures)
    if as_json:
        print(written(record(advice, where), indent=2))
        return
    screen = Screen.standard()
    screen.show(*view(screen, advice, where, figures))


def view(
    screen: Screen, advice: Recommendation, where: Site, figures: Figures
) -> Iterator[RenderableType]:
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


def wire_table(screen: Screen, table: Sequence[Row]) -> RenderableType:
    """Lengths one way and the thinnest wire for 3 % and for 10 %."""
    if screen.width < NARROW:
        lines = [
            (f"{_feet(row.good)}: 3 % {_names(row, row.good)}; 10 % {_names(row, row.most)}",)
            for row in table
        ]
        return rows(lines, [None])
    head = ("one way", "", "3 %", "", "10 %", "")
    cells = [(*_lengths(row.good), *_sizes(row, row.good), *_sizes(row, row.most)) for row in table]
    return rows([head, *cells], [8, 8, 9, 9, 9, 9], right=[0, 1])


def _feet(choice: Choice) -> str:
    return f"{brief(choice.length / FOOT)} ft"


def _lengths(choice: Choice) -> tuple[str, str]:
    return _feet(choice), f"{brief(choice.length)} m"


def _sizes(row: Row, choice: Choice) -> tuple[str, ...]:
    return tuple(size.name if size else "-" for size in row.offered(choice))


def _names(row: Row, choice: Choice) -> str:
    return " or ".join(_sizes(row, choice))


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
