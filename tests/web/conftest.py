"""The server, asked as a browser asks it, with forms filled in and sent. Every case is invented."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path

import httpx2 as httpx
import pytest
from starlette.testclient import TestClient

from diagnose.bench import Bench
from diagnose.casebook.store import Casebook
from diagnose.web.guard import Guard
from diagnose.web.pages import Pages
from diagnose.web.walks import Walks

Fields = list[tuple[str, str]]


@dataclass
class Sent:
    """A form as it stands on a page: fixed and ticked fields, and what its buttons send."""

    to: str
    method: str
    fields: Fields = field(default_factory=list)
    offered: Fields = field(default_factory=list)
    buttons: Fields = field(default_factory=list)

    def with_(self, **more: str) -> dict[str, list[str]]:
        """Its fields with some typed in."""
        found: dict[str, list[str]] = {}
        for name, value in [*self.fields, *more.items()]:
            found.setdefault(name.replace("_", "-") if name == "by_part" else name, []).append(
                value
            )
        return found


class Read(HTMLParser):
    """A page: its words, its first heading and its forms."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.forms: list[Sent] = []
        self.links: list[str] = []
        self.heading, self._words, self._in_heading = "", [""], False
        self.feed(text)
        self.said = " ".join(" ".join(self._words).split())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        self._in_heading = self._in_heading or (tag == "h1" and not self.heading)
        if tag == "form":
            self.forms.append(Sent(told["action"], told["method"]))
        if tag == "a":
            self.links.append(told["href"])
        if tag == "button" and "name" in told:
            self.forms[-1].buttons.append((told["name"], told["value"]))
        if tag == "input" and "name" in told:
            field = told["name"], told.get("value", "")
            kind = told.get("type", "text")
            counts = kind == "hidden" or "checked" in told
            (self.forms[-1].fields if counts else self.forms[-1].offered).append(field)

    def handle_endtag(self, tag: str) -> None:
        self._in_heading = self._in_heading and tag != "h1"

    def handle_data(self, data: str) -> None:
        self._words.append(data)
        self.heading += data if self._in_heading else ""

    def form(self, ending: str) -> Sent:
        """The form that is sent to an address with this ending."""
        return next(one for one in self.forms if one.to.endswith(ending))


@dataclass
class Visitor:
    """Somebody with a browser: goes, and sends forms."""

    client: TestClient
    at: str = "/"
    answer: httpx.Response | None = None

    def go(self, to: str) -> Read:
        self.answer = self.client.get(to)
        self.at = self.answer.url.path
        return Read(self.answer.text)

    def send(self, form: Sent, **typed: str) -> Read:
        self.answer = self.client.post(form.to, data=form.with_(**typed))
        self.at = self.answer.url.path
        return Read(self.answer.text)

    @property
    def status(self) -> int:
        assert self.answer is not None
        return self.answer.status_code

    def begin(self, words: str = "", rig: str = "bowser", **more: str) -> Read:
        """A walk with a complaint in words, of which all that is sure is confirmed."""
        page = self.send(
            self.go(f"/begin?rig={rig}&at=rig&meter=yes").form("/begin"), words=words, **more
        )
        return self.send(page.form("/begin")) if words else page

    def answered(self, page: Read, answer: str) -> Read:
        """The question of a page answered."""
        return self.send(page.form("/answer"), answer=answer)


Open = Callable[..., Visitor]


@pytest.fixture
def walks(tmp_path: Path, bench_of: Callable[[str], Bench]) -> Walks:
    rigs = {name: bench_of(name).rig for name in ("bowser", "mist-bench")}
    made = {rig: bench_of(name) for name, rig in rigs.items()}
    return Walks(Casebook(tmp_path / "cases"), rigs, lambda rig, own: made[rig])


@pytest.fixture
def visit(walks: Walks) -> Open:
    """A browser before a server over `walks`; token: of a shared one."""

    def open_one(token: str = "", host: str = "testserver") -> Visitor:
        guarded = Guard(Pages.of(walks).app(), frozenset({"testserver"}), token)
        origin = {"origin": f"http://{host}", "host": host}
        return Visitor(TestClient(guarded, headers=origin, raise_server_exceptions=True))

    return open_one
