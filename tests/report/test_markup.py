"""HTML that cannot be broken out of, whatever text goes into it."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256

from hypothesis import given
from hypothesis import strategies as st

from diagnose.report.markup import Html, anchor, joined, listed, table, tag, text
from diagnose.report.page import STYLE, page


def test_text_is_escaped_and_html_is_not() -> None:
    made = tag("p", '5 < 6 & "so"', tag("b", "it's"), class_='a"b', data_head="<x>")
    assert made == (
        '<p class="a&quot;b" data-head="&lt;x&gt;">5 &lt; 6 &amp; &quot;so&quot;'
        "<b>it&#x27;s</b></p>"
    )


@given(st.text())
def test_no_text_ever_opens_an_element(said: str) -> None:
    made = tag("p", said, title=said)
    inside = made[made.index(">") + 1 : made.rindex("<")]
    assert not set("<>\"'") & set(inside)
    assert made.count("<") == made.count(">") == 2


def test_control_characters_become_visible() -> None:
    assert text("a\x1b[31m\x00b") == "a\\x1b[31m\\x00b"


def test_what_is_not_there_is_left_out() -> None:
    assert joined([None, "a", Html("<br>")]) == "a<br>"
    assert listed([]) is None
    assert table(("a",), []) is None
    assert tag("meta", charset="utf-8", name=None) == '<meta charset="utf-8">'


def test_each_cell_says_its_column() -> None:
    made = table(("reading", "value"), [("volts", "5 V")])
    assert made is not None
    assert '<td data-head="value">5 V</td>' in made


def test_names_of_readings_are_targets() -> None:
    assert anchor("voltage battery+ battery- calling") == "voltage-batteryplus-battery--calling"


def test_only_the_own_script_and_style_may_run() -> None:
    """The hashes are worked out anew, as the W3C's Content Security Policy, level 2, says."""
    made = page("t", tag("p", "x"), " p { color: red; }", "let a = 1;")
    style = b64encode(sha256((STYLE + " p { color: red; }").encode()).digest()).decode()
    script = b64encode(sha256(b"let a = 1;").digest()).decode()
    assert f"style-src &#x27;sha256-{style}&#x27;; script-src &#x27;sha256-{script}&#x27;" in made
    assert "default-src &#x27;none&#x27;" in made
    assert "script-src &#x27;none&#x27;" in page("t", tag("p", "x"))
