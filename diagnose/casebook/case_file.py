"""Case files: a Case as YAML that a person can read and mend, and back again, strictly.

Every text of a case is made harmless on its way out and on its way in, so that what comes from
somebody else's file can be shown on a terminal.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import is_dataclass
from functools import partial
from operator import attrgetter
from pathlib import Path
from typing import Any, get_args, get_origin

import yaml

from diagnose.annotations import By, From, In
from diagnose.casebook.case_fields import line
from diagnose.casebook.files import read_regular
from diagnose.casebook.record import SCHEMA, Case
from diagnose.casebook.rig_text import exactly, rig_values
from diagnose.circuit.rig import Rig
from diagnose.documents import Section, parse
from diagnose.errors import BadDocument, quoted
from diagnose.field_types import mark, split
from diagnose.record_reader import Field, fields_of, read
from diagnose.strict_yaml import LARGEST

HEADER = "# One repair; times are UTC. What is wrong may be mended here by hand.\n"


class Flow(dict[str, Any]):
    """A mapping that is written on one line."""


class _Dumper(getattr(yaml, "CSafeDumper", yaml.SafeDumper)):  # type: ignore[misc]
    """Writes so that documents.py reads the same values back."""


# What needs no quotes: words, quantities, times and ids, but not the words of YAML itself.
_PLAIN = re.compile(
    r"[A-Za-z].*"
    r"|-?[0-9.]+(e[-+]?[0-9]+)? [A-Za-z].*"
    r"|[0-9-]{10} [0-9:]{8} UTC"
    r"|[0-9-]{11}[a-z].*"
)
_RESERVED = frozenset(("on", "off", "yes", "no", "true", "false", "null"))


def _write_text(dumper: yaml.SafeDumper, text: str) -> yaml.ScalarNode:
    plain = _PLAIN.fullmatch(text) and text.lower() not in _RESERVED
    style = "|" if "\n" in text else None if plain else "'"
    return dumper.represent_scalar("tag:yaml.org,2002:str", text, style)


def _write_number(dumper: yaml.SafeDumper, value: float) -> yaml.ScalarNode:
    text = exactly(value, "")
    if "e" in text and "." not in text:
        text = text.replace("e", ".0e")
    kind = "float" if "." in text else "int"
    return dumper.represent_scalar(f"tag:yaml.org,2002:{kind}", text)


def _write_flow(dumper: yaml.SafeDumper, values: Flow) -> yaml.MappingNode:
    return dumper.represent_mapping("tag:yaml.org,2002:map", values.items(), flow_style=True)


_Dumper.add_representer(str, _write_text)
_Dumper.add_representer(float, _write_number)
_Dumper.add_representer(Flow, _write_flow)


def load_case(path: Path) -> Case:
    """The case in a file, whose name must be its id.

    Raises DiagnoseError: BadDocument, or Mistakes with every problem of the file.
    """
    source = read_regular(path, LARGEST + 1)
    return read_case(parse(source, str(path)), path.stem)


def from_yaml(text: str | bytes, name: str) -> Case:
    """The case in a text that messages call `name`. Raises as `load_case`."""
    return read_case(parse(text, name))


READERS: dict[int, Callable[[Section], Case]] = {1: partial(read, Case)}
"""One reader a schema: each knows its own form and gives today's Case, which is saved in the
newest form. An older reader stays as it is when a schema is added."""


def read_case(document: Section, name: str | None = None) -> Case:
    """The case in an opened document, whatever its schema; `name`: the id that it must have."""
    place = document.place_of("schema")
    schema = document.number("schema")
    reading = READERS.get(int(schema)) if schema.is_integer() else None
    if reading is None and schema > SCHEMA:
        newer = f"this case is of schema {schema:g}, and this program reads up to {SCHEMA}"
        raise BadDocument(f"{newer}; install a newer version of it", place)
    if reading is None:
        raise BadDocument(f"there is no case schema {schema:g}; write {SCHEMA}", place)
    case = reading(document)
    if name is not None and case.id != name:
        said = f"the file is called {quoted(name)}, so its id should be the same"
        document.wrong("id", said)
    document.finish()
    return case


def to_yaml(case: Case) -> str:
    """The text of the file of one case."""
    return HEADER + _dump(case_values(case))


def rig_yaml(rig: Rig) -> str:
    """The text of a rig file that says everything about a rig."""
    return _dump(_tidied(rig_values(rig)))


def _dump(values: dict[str, Any]) -> str:
    text: str = yaml.dump(values, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=100)
    return text


def case_values(case: Case) -> dict[str, Any]:
    """The case as plain values in the order of the file; what is empty is left out."""
    rig = {"rig": _tidied(rig_values(case.rig))}
    assumed = {"rig_assumed": [line(key) for key in case.rig.assumed]} if case.rig.assumed else {}
    return {"schema": SCHEMA} | values_of(case) | rig | assumed


def values_of(record: Any) -> dict[str, Any]:
    """A record as plain values by key, in the order of its fields, or of its ORDER. What is empty
    is left out, and what is not so unless somebody said that it is not."""
    found = {field.path[-1]: _said(record, field) for field in fields_of(type(record))}
    order = getattr(record, "ORDER", found)
    said = {key: found[key] if key in found else getattr(record, key) for key in order}
    return {key: value for key, value in said.items() if value not in (None, "", [], {})}


def _said(record: Any, field: Field) -> Any:
    """What is written of one field."""
    value = getattr(record, field.name)
    if value is False and field.default is False:
        return None
    if made := mark(split(field.hint)[1], From):
        return made.write(record) if made.write else None
    return _plain(value, field.hint, record)


def _plain(value: Any, hint: Any, record: Any) -> Any:
    base, marks = split(hint)
    if by := mark(marks, By):
        return by.write(value)
    if unit := mark(marks, In):
        return exactly(value, attrgetter(unit.of)(record))
    if isinstance(value, tuple):
        inner = get_args(base)[0]
        if get_origin(inner) is tuple:
            return dict(value)
        items = (_plain(one, inner, record) for one in value)
        return [Flow(one) if isinstance(one, dict) else one for one in items if one != ""]
    if is_dataclass(value):
        return values_of(value)
    known = [one for one in get_args(base) if one is not type(None)]
    return _plain(value, known[0], record) if known and value is not None else value


def _tidied(values: dict[str, Any]) -> dict[str, Any]:
    """The parts of a rig on a line each, its texts harmless."""
    found: dict[str, Any] = {}
    for key, value in values.items():
        found[key] = Flow(_tidied(value)) if isinstance(value, dict) else value
        if isinstance(value, str):
            found[key] = line(value)
        if isinstance(value, list):
            found[key] = [Flow(one) if isinstance(one, dict) else one for one in value]
    return found
