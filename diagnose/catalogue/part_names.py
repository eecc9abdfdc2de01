"""How what belongs to one part of several of a kind is called: plug-corroded@trailer-plug."""

from __future__ import annotations

MANY = "@"
"""What stands between the id of a template and the name of a part where there are several."""


def template_of(name: str) -> str:
    """The id in the knowledge of an entry that may be one of several copies."""
    return name.partition(MANY)[0]


def copy_for(template: str, part: str) -> str:
    """The id of a template's copy for a part, where there are several of its kind."""
    return f"{template}{MANY}{part.replace(' ', '-').replace('_', '-')}"
