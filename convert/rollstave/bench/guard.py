"""Who may use the bench: its own page and nobody else.

A page of another site can make a browser send requests to 127.0.0.1. So the Host must be ours
(another name that leads here is DNS rebinding), what changes anything must come from our own
origin and carry the token that only our page was given, and no answer may be framed, sniffed or
read by others. Sources: the Fetch standard (Origin, Sec-Fetch-Site, CORP), Content Security Policy
Level 3, RFC 9110 (413, 415, 421).
"""

from __future__ import annotations

import hmac
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

LARGEST_BODY: Final = 4_000_000  # bytes
TOKEN_HEADER: Final = "X-Bench-Token"
HEADERS: Final = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
        "font-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; "
        "frame-ancestors 'none'"
    ),
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Referrer-Policy": "no-referrer",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cache-Control": "no-store",
}


class Guard:
    """Middleware around the whole app. ``port`` is where it listens, ``token`` the secret of this
    run."""

    def __init__(self, app: ASGIApp, port: int, token: str) -> None:
        self.app = app
        self.token = token
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        if port == 80:
            self.hosts |= {"127.0.0.1", "localhost"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope["method"], headers)
        if refusal is not None:
            await refusal(scope, receive, _with_headers(send))
            return
        limited = _Limited(receive)
        try:
            await self.app(scope, limited, _with_headers(send))
        except TooLarge:
            await _no("The text is too long for the bench.", 413)(
                scope, receive, _with_headers(send)
            )

    def _refusal(self, method: str, headers: Headers) -> Response | None:
        if headers.getlist("host") != [host := headers.get("host", "")] or host not in self.hosts:
            return _no("This address is not the bench's own.", 421)
        if method in ("GET", "HEAD"):
            # A link from elsewhere may open the page, but nothing may be fetched from elsewhere.
            elsewhere = headers.get("sec-fetch-site", "none") not in ("none", "same-origin")
            if elsewhere and headers.get("sec-fetch-mode") != "navigate":
                return _no("Only the bench's own page may ask for this.", 403)
            return None
        if method != "POST":
            return _no("The bench knows GET and POST.", 405)
        if headers.get("origin", f"http://{host}") != f"http://{host}":
            return _no("Only the bench's own page may do this.", 403)
        if headers.get("sec-fetch-site", "same-origin") != "same-origin":
            return _no("Only the bench's own page may do this.", 403)
        if not hmac.compare_digest(headers.get(TOKEN_HEADER, "").encode(), self.token.encode()):
            return _no("This page is from an earlier run of the bench; open it again.", 403)
        if headers.get("content-type", "").partition(";")[0].strip() != "application/json":
            return _no("The bench takes JSON.", 415)
        length = headers.get("content-length", "0")
        if not length.isdecimal() or int(length) > LARGEST_BODY:
            return _no("The text is too long for the bench.", 413)
        return None


class TooLarge(Exception):
    """A body grew over the limit while it was read."""


class _Limited:
    """A receive function that counts: a body sent in pieces has no Content-Length."""

    def __init__(self, receive: Receive) -> None:
        self.receive = receive
        self.size = 0

    async def __call__(self) -> Message:
        message = await self.receive()
        self.size += len(message.get("body", b""))
        if self.size > LARGEST_BODY:
            raise TooLarge
        return message


def _no(words: str, status: int) -> Response:
    return PlainTextResponse(words, status)


def _with_headers(send: Send) -> Send:
    async def sender(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers[name] = value
        await send(message)

    return sender
