"""What one value of a document says, in its type; or why it cannot be taken, with its place."""

from collections.abc import Collection

from diagnose.errors import BadDocument, BadQuantity, Place, UnknownName, nearest, quoted
from diagnose.strict_yaml import Node
from diagnose.units import read_quantity

Limit = float | None


def text(node: Node, place: Place) -> str:
    """A text that is not empty."""
    if not isinstance(node.value, str):
        raise BadDocument(f"should be text, not {shown(node)}; quotes make it text", place)
    if not node.value.strip():
        raise BadDocument("should be text, and is empty", place)
    return node.value


def number(node: Node, place: Place, minimum: Limit = None, maximum: Limit = None) -> float:
    """A bare number from `minimum` to `maximum`, both allowed."""
    if isinstance(node.value, bool) or not isinstance(node.value, int | float):
        raise BadDocument(f"should be a bare number, such as 0.5, not {shown(node)}", place)
    return _within(float(node.value), "", minimum, maximum, place)


def quantity(
    node: Node, place: Place, unit: str, minimum: Limit = None, maximum: Limit = None
) -> float:
    """A quantity as a float in `unit`, as are the limits, both allowed."""
    if not isinstance(node.value, str | int | float):
        raise BadDocument(f"should be a number with its unit, not {shown(node)}", place)
    return _within(read_quantity(node.value, unit, place), unit, minimum, maximum, place)


def flag(node: Node, place: Place) -> bool:
    """true or false."""
    if not isinstance(node.value, bool):
        raise BadDocument(f"should be true or false, not {shown(node)}", place)
    return node.value


def choice(node: Node, place: Place, kind: str, options: Collection[str]) -> str:
    """A text that is one of `options`. kind: what they are, for the message."""
    if not isinstance(node.value, str):
        choices = ", ".join(options)
        raise BadDocument(f"should be one of {choices}, not {shown(node)}", place)
    if node.value not in options:
        raise UnknownName(kind, node.value, place, nearest(node.value, options), options)
    return node.value


def _within(value: float, unit: str, minimum: Limit, maximum: Limit, place: Place) -> float:
    """`value`, refused with the limit in the sentence when it is beyond one."""
    if minimum is not None and value < minimum:
        raise BadQuantity(f"should be at least {minimum:g} {unit}".rstrip(), place)
    if maximum is not None and value > maximum:
        raise BadQuantity(f"should be at most {maximum:g} {unit}".rstrip(), place)
    return value


def shown(node: Node) -> str:
    """A value as a message may show it."""
    if isinstance(node.value, dict):
        return "a mapping"
    if isinstance(node.value, list):
        return "a list"
    if isinstance(node.value, bool) or node.value is None:
        return str(node.value).lower().replace("none", "nothing")
    return quoted(str(node.value))
