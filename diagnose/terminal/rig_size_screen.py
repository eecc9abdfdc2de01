"""The command rig size: wire, fuse and relay for a current and a length."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from diagnose.design.recommend import Recommendation, Row, recommend
from diagnose.design.site import Site
from diagnose.design.sizing import Choice, Sizes, either
from diagnose.design.wording import FOOT, brief, length, n, q
from diagnose.figures import Figures, shipped_figures
from diagnose.terminal.json_records import Record, written
from diagnose.terminal.layout import NARROW, heading, rows
from diagnose.terminal.plain import Screen, mark, para
from diagnose.terminal.rig_site import within

if TYPE_CHECKING:
    from rich.console import RenderableType


def sized(current: str, one_way: str, where: Site, as_json: bool) -> None:
    """Raises BadQuantity."""
    figures = shipped_figures()
    amps = within(current, "A", 0.1, 200, "--current")
    metres = within(one_way, "ft", 0.3, 400, "--length") * FOOT
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
    yield para(f"Run {either(advice.wire)}, out and back.", "bold")
    least, usual = advice.fuses
    fuse = q(usual, "A") if least == usual else f"{n(least)} or {q(usual, 'A')}"
    yield para(f"Main fuse {fuse}, within 7 in of the battery; it protects {_protected(advice)}.")
    yield para(f"Relay with a contact of {q(advice.contact, 'A')} or more, control fuse 2 to 5 A.")
    yield para("")
    constant = figures.get("wire-size-constant")
    for name, choice in (("3 %", good), ("10 %", advice.rows[0].most)):
        yield para(f"{name}: {size_sum(constant, advice.current, choice)}", indent=2)
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
    return f"{sum_} = {n(choice.needed)} CM, so {either(choice.sizes)}"


def never_thinner(protected: Sizes, fuse: float) -> str:
    """What holds whatever the drop permits: the fuse [A] must protect the wire behind it."""
    return f"Behind a {q(fuse, 'A')} fuse nothing thinner than {either(protected)}, however short."


def _protected(advice: Recommendation) -> str:
    return f"{either(advice.protected)} and thicker"


def wire_table(screen: Screen, table: Sequence[Row]) -> RenderableType:
    """Lengths one way and the thinnest wire for 3 % and for 10 %."""
    if screen.width < NARROW:
        lines = [
            (f"{_feet(row.good)}: 3 % {_names(row.good)}; 10 % {_names(row.most)}",)
            for row in table
        ]
        return rows(lines, [None])
    head = ("one way", "", "3 %", "", "10 %", "")
    cells = [(*_lengths(row.good), *_sizes(row.good), *_sizes(row.most)) for row in table]
    return rows([head, *cells], [8, 8, 9, 9, 9, 9], right=[0, 1])


def _feet(choice: Choice) -> str:
    return f"{brief(choice.length / FOOT)} ft"


def _lengths(choice: Choice) -> tuple[str, str]:
    return _feet(choice), f"{brief(choice.length)} m"


def _sizes(choice: Choice) -> tuple[str, ...]:
    return tuple(size.name if size else "-" for size in choice.sizes)


def _names(choice: Choice) -> str:
    return " or ".join(_sizes(choice))


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
        "wire": [size.name if size else None for size in advice.wire],
        "fuse": [*advice.fuses],
        "relay_contact": advice.contact,
        "lengths": [wire_record(row) for row in advice.rows],
        "site": site_record(where),
    }


def wire_record(row: Row) -> Record:
    """One length: metres one way, and for both drops the copper needed and the sizes."""
    return {
        "length": row.good.length,
        **{
            name: {
                "circular_mils": choice.needed,
                "volts": choice.volts,
                "sizes": [size.name if size else None for size in choice.sizes],
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
