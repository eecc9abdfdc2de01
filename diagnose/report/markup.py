"""HTML that escapes by itself: whatever is not Html is text, and text becomes harmless.

tag("p", "5 < 6", tag("b", "really"), lang="en")  ->  <p lang="en">5 &lt; 6<b>really</b></p>
"""

from __future__ import annotations

import html
from collections.abc import Iterable

from diagnose.errors import harmless

LONGEST = 20_000
"""Characters of one line of text that are shown at most."""

VOID = frozenset(("br", "hr", "input", "meta"))


class Html(str):
    """A piece of HTML that is well formed and safe as it stands."""

    __slots__ = ()


def text(value: str) -> Html:
    """Text as HTML: escaped, control characters made visible."""
    return Html(html.escape("\n".join(harmless(line, LONGEST) for line in value.split("\n"))))


def joined(children: Iterable[Html | str | None]) -> Html:
    """Pieces one after the other; what is None is left out."""
    return Html("".join(c if isinstance(c, Html) else text(c) for c in children if c is not None))


def tag(kind: str, /, *children: Html | str | None, **attributes: str | None) -> Html:
    """One element. Attributes that are None are left out; `class_` is class, `data_x` data-x."""
    told = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{text(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if kind in VOID:
        return Html(f"<{kind}{told}>")
    return Html(f"<{kind}{told}>{joined(children)}</{kind}>")


def listed(items: Iterable[Html | str], kind: str = "ul", **attributes: str | None) -> Html | None:
    """A list, or None where there is nothing to list."""
    found = [tag("li", item) for item in items]
    return tag(kind, *found, **attributes) if found else None


def table(
    heads: Iterable[str], rows: Iterable[Iterable[Html | str]], **attributes: str | None
) -> Html | None:
    """A table with a head, or None without rows. On a phone each cell says which column it is."""
    names = tuple(heads)
    body = [
        tag("tr", *(tag("td", cell, data_head=name) for name, cell in zip(names, row, strict=True)))
        for row in rows
    ]
    if not body:
        return None
    head = tag("thead", tag("tr", *(tag("th", name, scope="col") for name in names)))
    return tag("table", head, tag("tbody", *body), **attributes)


def link(address: str, words: str) -> Html:
    """A link inside the page."""
    return tag("a", words, href=f"#{address}")


def anchor(name: str) -> str:
    """A name as the target of a link: "voltage fuse.in fuse.out calling" too."""
    return "".join(sign if sign.isalnum() else "-" for sign in name.replace("+", "plus"))


def line(words: str) -> str:
    """Text on one line, its gaps as single spaces."""
    return " ".join(words.split())
