"""What keeps strangers out: the host asked for, the token, other sites' forms, long bodies.

Written by hand, since it is four checks that must come before anything else sees the request, and
the frameworks' own parts for them need cookies and sessions, which this has not.
"""

from __future__ import annotations

import hmac
from collections.abc import Iterable
from dataclasses import dataclass

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from diagnose.casebook.photos import LARGEST

LONGEST_BODY = 64_000
"""Bytes of a form; more was not typed by a person."""

WITH_PHOTO, LONGEST_PHOTO = "/photo", LARGEST + LONGEST_BODY
"""The end of the address that takes a photo, and the bytes of such a form."""

POLICY = (
    "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self' data:; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
"""What a page may load (W3C Content Security Policy, level 3): this server's own files."""

HEADERS = {
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}


@dataclass(frozen=True)
class Guard:
    """Stands before the pages. hosts: names under which this server may be asked, with the port;
    token: the first part of every address, "" for none."""

    pages: ASGIApp
    hosts: frozenset[str]
    token: str = ""

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            await self.pages(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope, headers)
        if refusal is not None:
            await refusal(scope, receive, send)
            return
        most = LONGEST_PHOTO if scope["path"].endswith(WITH_PHOTO) else LONGEST_BODY
        body = await whole_body(receive, headers, most)
        if body is None:
            await _plain("More was sent than fits; nothing was kept.", 413)(scope, receive, send)
            return
        inner = {**scope, **self._below_token(scope)}
        await self.pages(inner, replayed(body, receive), guarded(send))

    def _refusal(self, scope: Scope, headers: Headers) -> PlainTextResponse | None:
        """Why a request is turned away before it is looked at; None where it is not."""
        if headers.get("host", "").lower() not in self.hosts:
            return _plain("This address is not served here.", 421)
        if self.token and not self._has_token(scope["path"]):
            return _plain("Nothing is here. Type the whole address, as the terminal shows it.", 404)
        if scope["method"] not in ("GET", "HEAD", "POST"):
            return _plain("Pages are only read and answered.", 405)
        if scope["method"] == "POST" and not self._is_own(headers):
            return _plain("This answer came from another site; nothing was kept.", 403)
        return None

    def _has_token(self, path: str) -> bool:
        first = path.lstrip("/").split("/", 1)[0]
        return hmac.compare_digest(first.encode(), self.token.encode())

    def _below_token(self, scope: Scope) -> dict[str, str]:
        """The path that the pages see, and where it begins."""
        if not self.token:
            return {}
        return {"root_path": f"/{self.token}"}

    def _is_own(self, headers: Headers) -> bool:
        """Whether a form was sent by a page of this server, as browsers say of each."""
        site, origin = headers.get("sec-fetch-site"), headers.get("origin")
        if site not in (None, "same-origin", "none"):
            return False
        return origin is None or origin.lower().split("://", 1)[-1] in self.hosts


def _plain(sentence: str, status: int) -> PlainTextResponse:
    return PlainTextResponse(sentence + "\n", status, headers=HEADERS)


async def whole_body(receive: Receive, headers: Headers, most: int) -> bytes | None:
    """What was sent; None where it is longer than `most` bytes, of which no more is read."""
    said = headers.get("content-length", "0")
    if not said.isdigit() or int(said) > most:
        return None
    body: bytes = b""
    while True:
        message = await receive()
        if message["type"] == "http.disconnect":
            return body
        body += message.get("body", b"")
        if len(body) > most:
            return None
        if not message.get("more_body"):
            return body


def replayed(body: bytes, receive: Receive) -> Receive:
    """A body that was read, to be read once more."""
    parts: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def again() -> Message:
        return parts.pop() if parts else await receive()

    return again


def guarded(send: Send) -> Send:
    """Each answer with the policy; a page that brings a policy of its own keeps that."""

    async def out(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Content-Security-Policy", POLICY)
        await send(message)

    return out


def hosts_at(names: Iterable[str], port: int) -> frozenset[str]:
    """How a browser may name this server: with its port, and without where that is usual."""
    found = {f"{name}:{port}" for name in names}
    return frozenset(found | ({*names} if port == 80 else set()))
