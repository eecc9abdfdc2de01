"""The frame of a page: one file, no network; made for screens, phones and paper."""

from __future__ import annotations

from base64 import b64encode
from hashlib import sha256

from diagnose.report.markup import Html, tag

STYLE = """
:root { --ink: #1c2321; --soft: #5b6663; --line: #cfd6d3; --tint: #f1f5f3; --mark: #1d5c87;
  --warn: #8a4b00; --stop: #a3201a; }
* { box-sizing: border-box; }
body { margin: 0 auto; padding: 1rem; max-width: 52rem; color: var(--ink); background: #fff;
  font: 16px/1.5 system-ui, sans-serif; overflow-wrap: break-word; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: 0 0 .4rem; }
h2 { font-size: 1.3rem; margin: 2rem 0 .5rem; border-bottom: 2px solid var(--line); }
h3 { font-size: 1.1rem; margin: 1.6rem 0 .3rem; }
h4 { font-size: .95rem; margin: .9rem 0 .2rem; color: var(--mark); }
p, ul, ol { margin: .3rem 0 .6rem; }
ul, ol { padding-left: 1.4rem; }
a { color: var(--mark); }
table { border-collapse: collapse; width: 100%; margin: .3rem 0 .8rem; font-size: .92em; }
th, td { text-align: left; vertical-align: top; padding: .2rem .5rem .2rem 0;
  border-bottom: 1px solid var(--line); }
th { font-weight: 600; color: var(--soft); }
svg { display: block; max-width: 100%; height: auto; }
code { font: .95em ui-monospace, monospace; }
.soft { color: var(--soft); font-size: .92em; }
.caution { border-left: 4px solid var(--warn); padding: .2rem .6rem; background: #fff8ee; }
@media screen and (max-width: 34rem) {
  body { padding: .7rem; font-size: 15px; }
  thead { display: none; }
  tr { display: block; padding: .3rem 0; border-bottom: 1px solid var(--line); }
  td { display: block; border: 0; padding: 0; }
  td::before { content: attr(data-head) ": "; color: var(--soft); }
  td:first-child { font-weight: 600; }
  td:first-child::before { content: ""; }
}
@media print {
  @page { margin: 14mm; }
  body { padding: 0; max-width: none; font-size: 10pt; }
  a { color: inherit; text-decoration: none; }
  h2, h3, h4 { break-after: avoid; }
  tr, figure, svg, li { break-inside: avoid; }
  .screen { display: none; }
}
"""


def page(title: str, body: Html, style: str = "", script: str = "") -> str:
    """A whole document. style: added to the common one; script: the only one that may run.

    The policy lets nothing in from anywhere, so that text that slipped through could do nothing.
    """
    css = STYLE + style
    allowed = ("default-src 'none'", "img-src data:", f"style-src {_only(css)}")
    policy = "; ".join([*allowed, f"script-src {_only(script)}"])
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("meta", name="referrer", content="no-referrer"),
        tag("title", title),
        Html(f"<style>{css}</style>"),
    )
    run = Html(f"<script>{script}</script>") if script else None
    return f"<!DOCTYPE html>\n{tag('html', head, tag('body', body, run), lang='en')}\n"


def _only(text: str) -> str:
    """A source expression that allows exactly this text (W3C Content Security Policy, level 2)."""
    if not text:
        return "'none'"
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"
