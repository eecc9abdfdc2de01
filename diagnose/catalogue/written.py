"""The knowledge files as they are written: the value at a place, its line, and every text."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from diagnose import strict_yaml
from diagnose.errors import Place
from diagnose.strict_yaml import Node, Notes


@dataclass(frozen=True)
class Written:
    """The YAML files below a folder, each opened once when it is first asked for."""

    folder: Path
    _trees: dict[str, Node] = field(default_factory=dict, compare=False, repr=False)

    def texts(self) -> Iterator[tuple[Place, str]]:
        """Every text and key of every file, with its place."""
        for path in sorted(self.folder.rglob("*.yaml")):
            yield from _texts(self._tree(str(path)), Place(str(path)))

    def value(self, place: Place) -> object:
        """The plain value that stands at a place; None when there is none."""
        node, rest = strict_yaml.descend(self._tree(place.file), place.key)
        return None if rest else strict_yaml.plain(node)

    def located(self, place: Place) -> Place:
        """The same place with the line on which its key stands, or would have to stand."""
        path = Path(place.file)
        if not place.key or path.suffix != ".yaml" or not path.is_file():
            return place
        node, _ = strict_yaml.descend(self._tree(place.file), place.key)
        return Place(place.file, node.line, place.key)

    def _tree(self, file: str) -> Node:
        if file not in self._trees:
            self._trees[file] = strict_yaml.read(Path(file).read_bytes(), file, Notes(muted=True))
        return self._trees[file]


def under(place: Place, *keys: str | int) -> Place:
    """The place of something below `place`: keys of mappings, and items of lists from 1."""
    path = place.key
    for key in keys:
        path += f"[{key}]" if isinstance(key, int) else f".{key}" if path else key
    return Place(place.file, place.line, path)


def _texts(node: Node, place: Place) -> Iterator[tuple[Place, str]]:
    if isinstance(node.value, str):
        yield place, node.value
    elif isinstance(node.value, dict):
        for key, part in node.value.items():
            here = under(Place(place.file, part.line, place.key), key)
            yield here, key
            yield from _texts(part, here)
    elif isinstance(node.value, list):
        for number, part in enumerate(node.value, 1):
            yield from _texts(part, under(Place(place.file, part.line, place.key), number))
