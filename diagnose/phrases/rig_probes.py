"""What the test points of a rig's own parts are called: "in to out of the battery plug"."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from diagnose.catalogue.plain_vocabulary import RigThing
from diagnose.catalogue.probe_words import ProbeWords, plain
from diagnose.circuit.kinds import Part, kinds

POINTS = {
    "in": ("{} in", "battery side of {}", "in of {}", "into {}", "before {}", "ahead of {}"),
    "out": ("{} out", "pump side of {}", "out of {}", "behind {}", "after {}", "load side of {}"),
}
"""How the two test points of a part are told."""

ACROSS = ("{}", "{} in to out", "{} in out", "in to out of {}", "in to out on {}")
"""How a part is told as what lies between its two points."""

MINUS = ("{} minus", "minus of {}", "minus side of {}", "negative of {}", "negative side of {}")
"""How it is told of a part that breaks the minus too, as what lies between its points there."""

MINUS_POINTS = {"minus.in": ("{} minus in",), "minus.out": ("{} minus out",)}


def with_parts(
    probes: ProbeWords,
    named: Mapping[RigThing, tuple[Part, ...]],
    meanings: Mapping[str, tuple[str, ...]],
) -> ProbeWords:
    """These words with the points of some parts, each under the thing that it is; meanings: things
    whose name may mean any of several."""
    points, parts, either = dict(probes.points), dict(probes.parts), dict(probes.either)
    probed = {
        thing: [one for one in found if one.kind in kinds()] for thing, found in named.items()
    }
    for thing, found in probed.items():
        general = [plain(one) for one in thing.words if one.replace(" ", "").isalpha()]
        for part in found:
            names = dict.fromkeys((plain(part.said), *(general if len(found) == 1 else ())))
            points |= dict(_points(part, names))
            parts |= _across(part, names)
        if len(found) > 1:
            either |= dict.fromkeys(general, tuple(plain(part.said) for part in found))
    spoken = {thing.name: [plain(one.said) for one in found] for thing, found in probed.items()}
    for name, things in meanings.items() if any(probed.values()) else ():
        own = [one for thing in things for one in spoken.get(thing, ())]
        base = [name] if name in parts else [one for one in map(plain, things) if one in parts]
        if own:
            either[name] = (*base, *own)
    return replace(probes, points=points, parts=parts, either=either)


def _points(part: Part, names: Iterable[str]) -> Iterator[tuple[str, tuple[str, ...]]]:
    told = {**POINTS, **(MINUS_POINTS if kinds()[part.kind].poles else {})}
    for point, forms in told.items():
        yield f"{part.name}.{point}", tuple(_told(forms, names))


def _across(part: Part, names: Iterable[str]) -> dict[str, tuple[str, str]]:
    found = dict.fromkeys(_told(ACROSS, names), (f"{part.name}.in", f"{part.name}.out"))
    if kinds()[part.kind].poles:
        minus = (f"{part.name}.minus.out", f"{part.name}.minus.in")
        found |= dict.fromkeys(_told(MINUS, names), minus)
    return found


def _told(forms: Iterable[str], names: Iterable[str]) -> Iterator[str]:
    """Every form with every name, with an article and without."""
    for form in forms:
        for name in names:
            yield form.format(name)
            if " of " in form or form.startswith(("into", "before", "behind", "after", "in to")):
                yield form.format(f"the {name}")
