"""The text of a rig file from what was told of it; `read_rig` takes it as it is."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from textwrap import wrap

from diagnose.circuit.form import NONE, Field, shipped_form
from diagnose.circuit.listing import ANY, LOAD
from diagnose.design.draft import UNKNOWN, Said, Told, has_relay, listed, parts

HEAD = (
    "# A rig file. Lengths are along the wire, one way.",
    "# Check it: diagnose rig check FILE",
)
WIDTH = 80
COMMENTS = 26
"""Column behind which a comment begins."""

NOT_IN_A_FILE = ("circuit", "details", "return")
"""Questions whose answers say only what else is asked."""

PARTS = "parts"
SECTIONS = ("battery", PARTS, "pump", "wire", "return", "water", "switch")
"""The order of a file that lists its parts."""


def rig_file(said: Said) -> str:
    """A commented rig file: what stands at the top, then each section with its values."""
    return "\n".join([*HEAD, *_lines(said)]) + "\n"


def _lines(said: Said) -> Iterator[str]:
    fields = _told(said)
    for field in fields:
        if not _section(field):
            yield from _values("", field, said[field.key])
    for name in SECTIONS if listed(said) else dict.fromkeys(map(_section, fields)):
        if name == PARTS:
            yield from _listed(said)
        elif name:
            yield from _block(name, [one for one in fields if _section(one) == name], said)


def _told(said: Said) -> list[Field]:
    """The fields of the rig itself that were answered, in the order in which they are asked."""
    form = shipped_form()
    names = ("before-parts", "after-parts") if listed(said) else ("usual", "details")
    keys = dict.fromkeys(key for name in names for key in form.orders[name])
    own = (*keys, *(key for key in said if key in form.fields and key not in keys))
    unfit = (*NOT_IN_A_FILE, "control.tap", *(("topology", "control") if listed(said) else ()))
    return [form[key] for key in own if key in said and key not in unfit]


def _section(field: Field) -> str:
    """The part of a file in which a field stands; that of several flags is called like it."""
    return field.key if field.key == "water" else field.section


def _block(name: str, fields: list[Field], said: Said) -> Iterator[str]:
    """One section with its heading; all of it a comment when nothing of it is known."""
    if not fields:
        return
    known = any(said[field.key] != UNKNOWN for field in fields)
    yield f"{name}:" if known else f"# {name}:"
    wire = [one for one in fields if name == "return" and one.name in ("length", "gauge")]
    for field in fields:
        if field not in wire:
            yield from _values("  ", field, said[field.key])
    if wire:
        yield "  wire:" if any(said[one.key] != UNKNOWN for one in wire) else "  # wire:"
        for field in wire:
            yield from _values("    ", field, said[field.key])


def _values(indent: str, field: Field, value: str) -> Iterator[str]:
    """The lines of one answer: one, or one for each of several flags."""
    if field.key != "water":
        yield _line(indent, field.name, _as_yaml(field, value), field.beside)
        return
    if value == UNKNOWN:
        names = f"{', '.join(field.options)}: not known"
        yield from wrap(names, WIDTH, initial_indent=f"{indent}# ", subsequent_indent=f"{indent}# ")
        return
    told = value.split()
    for flag, meaning in field.options.items():
        yield _line(indent, flag, str(flag in told).lower(), meaning)


def _line(indent: str, name: str, value: str, comment: str) -> str:
    if value == UNKNOWN:
        return f"{indent}# {name}:".ljust(COMMENTS) + f"  # not known; {comment}"
    return f"{indent}{name}: {value}".ljust(COMMENTS) + f"  # {comment}"


def _as_yaml(field: Field, value: str) -> str:
    """A value as strict YAML: yes and no as truth values, quoted where it could be misread."""
    if value == UNKNOWN:
        return value
    if field.flag:
        return {"yes": "true", "no": "false"}.get(value, value)
    if field.many:
        return f"[{', '.join(value.split() or [NONE])}]"
    return _quoted(value) if field.key == "name" else _plain(value)


_PLAIN = re.compile(r"[0-9a-z][\w .+*/^-]*")


def _plain(value: str) -> str:
    return value if _PLAIN.fullmatch(value) else _quoted(value)


def _quoted(value: str) -> str:
    return json.dumps(value, ensure_ascii=False)


def _listed(said: Said) -> Iterator[str]:
    """The parts in the order of the copper, the coil's line, and what else hangs on the feed."""
    yield "feed:".ljust(COMMENTS) + "  # from the battery's plus to the motor"
    for part in parts(said, "feed"):
        yield f"  - {_part(part)}"
    if has_relay(said) and "control.tap" in said:
        yield "control:".ljust(COMMENTS) + "  # from its tap to the relay's coil"
        if said["control.tap"] != UNKNOWN:
            yield f"  tap: {_plain(said['control.tap'])}"
        inside = parts(said, "control")
        yield "  parts:" if inside else "  parts: []"
        for part in inside:
            yield from _in_control(part)
    loads = parts(said, "loads")
    if loads:
        yield "loads:".ljust(COMMENTS) + "  # what else hangs on the feed"
        for part in loads:
            yield f"  - {_of_load(part)}"


def _in_control(part: Told) -> Iterator[str]:
    if part.kind != ANY:
        yield f"    - {_part(part)}"
        return
    yield f"    - {ANY}:".ljust(COMMENTS) + "  # either of them"
    for one in part.inside:
        yield f"        - {_part(one)}"


def _part(part: Told) -> str:
    """One part: its kind, with its name and values where any are known."""
    own = part.name not in (part.kind, "control fuse")
    values = ([f"name: {_quoted(part.name)}"] if own else []) + _known(part)
    return f"{part.kind}: {{{', '.join(values)}}}" if values else part.kind


def _known(part: Told) -> list[str]:
    return [f"{key}: {_plain(value)}" for key, value in part.values if value != UNKNOWN]


def _of_load(part: Told) -> str:
    name = [] if part.name == LOAD else [f"name: {_quoted(part.name)}"]
    return f"{{{', '.join([*name, *_known(part)])}}}"
