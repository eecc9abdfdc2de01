"""Every sentence of the page stands in its file, and none stands there for nothing."""

from __future__ import annotations

import re

from diagnose.handout.page import HERE, SCRIPTS
from diagnose.handout.strings import CHANCES, page_strings


def test_what_the_page_says_and_what_its_file_holds_are_the_same() -> None:
    scripts = "".join((HERE / name).read_text("utf-8") for name in SCRIPTS)
    python = (HERE / "page.py").read_text("utf-8")
    quoted = {*re.findall(r'"([a-z-]+)"', scripts), *re.findall(r'said\["([a-z-]+)"\]', python)}
    called = set(re.findall(r'T\("([a-z-]+)"', scripts))
    words = {name for _, name in CHANCES}

    assert called | words <= page_strings().keys()
    assert page_strings().keys() <= quoted | words
