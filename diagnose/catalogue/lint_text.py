"""Checks on the texts themselves: nothing that a screen, a page or a stranger would choke on."""

from __future__ import annotations

import re
from collections.abc import Iterator

from diagnose.catalogue.issues import Found, Severity, check
from diagnose.catalogue.knowledge import Knowledge
from diagnose.errors import Place, quoted

_MARKUP = re.compile(r"\[/?[A-Za-z#@][^\[\]]*\]|</?[A-Za-z][^<>]*>")
_BRAND = re.compile("[\u2122\u00ae\u00a9\u2120\u2117]")
_MACHINE = re.compile(r"(?<![\w.])/(?:home|root|tmp|usr|var|work|mnt|Users)/|\b[A-Za-z]:\\|file://")


def _found(knowledge: Knowledge, pattern: re.Pattern[str]) -> Iterator[tuple[Place, str]]:
    for place, text in knowledge.written.texts():
        if found := pattern.search(text):
            yield place, quoted(found[0])


@check("K901", Severity.MUST_FIX)
def no_markup(knowledge: Knowledge) -> Found:
    """No text holds what a screen or a page would take for markup."""
    for place, text in _found(knowledge, _MARKUP):
        yield place, f"{text} would be taken for markup; use round brackets"


@check("K902", Severity.MUST_FIX)
def no_invisible_characters(knowledge: Knowledge) -> Found:
    """No text holds control characters or invisible ones."""
    for place, text in knowledge.written.texts():
        hidden = next((c for c in text if not c.isprintable() and c != "\n"), None)
        if hidden:
            yield place, f"holds the character {quoted(hidden)}, which cannot be seen"


@check("K903", Severity.MUST_FIX)
def no_brand_signs(knowledge: Knowledge) -> Found:
    """No text holds a sign of trade mark or copyright: nobody's product is named here."""
    for place, text in _found(knowledge, _BRAND):
        yield place, f"{text} belongs to somebody's name; say what the part does instead"


@check("K904", Severity.MUST_FIX)
def no_machine_paths(knowledge: Knowledge) -> Found:
    """No text holds a path of the machine it was written on."""
    for place, text in _found(knowledge, _MACHINE):
        yield place, f"{text} is a path of somebody's machine"
