"""Who may use the bench: its own page and nobody else.

A page of another site can make a browser send requests to 127.0.0.1. So the Host must be ours
(another name that leads here is DNS rebinding), what changes anything must come from our own
origin and carry the token that only our page was given, and no answer may be framed, sniffed or
read by others. Another user of this machine can send any request at all, so nothing is answered
without the cookie that :mod:`rollstave.bench.entrance` gives out once. Sources: the Fetch standard
(Origin, Sec-Fetch-Site, CORP), Content Security Policy Level 3, RFC 9110 (413, 415, 421).
"""

from __future__ import annotations

import hmac
from typing import Final

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from rollstave.bench.document import LARGEST
from rollstave.bench.entrance import ENTER, Entrance, refusal

# Every text that the bench loads can be sent again: in JSON a byte takes six at most (``\\u001f``).
LARGEST_BODY: Final = 6 * LARGEST + 100_000  # bytes
_LARGEST_FORM: Final = 1000  # bytes; the key and its name
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
    """Middleware around the whole app. ``port`` is where it listens, ``entrance`` has the secrets
    of this run."""

    def __init__(self, app: ASGIApp, port: int, entrance: Entrance) -> None:
        self.app = app
        self.entrance = entrance
        self.hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}
        if port == 80:
            self.hosts |= {"127.0.0.1", "localhost"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        entering = scope["path"] == ENTER
        check = self._may_enter if entering else self._refusal
        no = check(scope["method"], headers)
        if no is not None:
            await no(scope, receive, _with_headers(send))
            return
        limited = _Limited(receive, _LARGEST_FORM if entering else LARGEST_BODY)
        try:
            await self.app(scope, limited, _with_headers(send))
        except TooLarge:
            await _no("The text is too long for the bench.", 413)(
                scope, receive, _with_headers(send)
            )

    def _wrong_host(self, headers: Headers) -> Response | None:
        host = headers.get("host", "")
        if headers.getlist("host") != [host] or host not in self.hosts:
            return _no("This address is not the bench's own.", 421)
        return None

    def _may_enter(self, method: str, headers: Headers) -> Response | None:
        """Why a key may not even be tried. It comes from a file that the browser was told to open,
        or from a page that sends no referrer; the origin of both is ``null``."""
        if no := self._wrong_host(headers):
            return no
        if method != "POST":
            return refusal()
        if headers.get("origin", "null") not in ("null", f"http://{headers['host']}"):
            return _no("Only the bench's own page may do this.", 403)
        if not _is_of_kind(headers, "application/x-www-form-urlencoded"):
            return _no("The bench takes the key from a form.", 415)
        return _too_long(headers, _LARGEST_FORM)

    def _refusal(self, method: str, headers: Headers) -> Response | None:
        if no := self._wrong_host(headers):
            return no
        if method not in ("GET", "HEAD", "POST"):
            return _no("The bench knows GET and POST.", 405)
        if not self.entrance.lets_in(headers.getlist("cookie")):
            if method != "POST" and "text/html" in headers.get("accept", ""):
                return refusal(from_elsewhere=headers.get("sec-fetch-site", "none") != "none")
            return _no("This window was not let in to the bench; run the command again.", 403)
        if method in ("GET", "HEAD"):
            # A link from elsewhere may open the page, but nothing may be fetched from elsewhere.
            elsewhere = headers.get("sec-fetch-site", "none") not in ("none", "same-origin")
            if elsewhere and headers.get("sec-fetch-mode") != "navigate":
                return _no("Only the bench's own page may ask for this.", 403)
            return None
        if headers.get("origin", own := f"http://{headers['host']}") != own:
            return _no("Only the bench's own page may do this.", 403)
        if headers.get("sec-fetch-site", "same-origin") != "same-origin":
            return _no("Only the bench's own page may do this.", 403)
        token = headers.get(TOKEN_HEADER, "").encode()
        if not hmac.compare_digest(token, self.entrance.token.encode()):
            return _no("This page is from an earlier run of the bench; open it again.", 403)
        if not _is_of_kind(headers, "application/json"):
            return _no("The bench takes JSON.", 415)
        return _too_long(headers, LARGEST_BODY)


def _is_of_kind(headers: Headers, kind: str) -> bool:
    return headers.get("content-type", "").partition(";")[0].strip() == kind


def _too_long(headers: Headers, most: int) -> Response | None:
    """The answer to a body that says it is too long; digits alone can be too many for ``int``."""
    length = headers.get("content-length", "0")
    if not (length.isascii() and length.isdecimal() and len(length) < 12 and int(length) <= most):
        return _no("The text is too long for the bench.", 413)
    return None


class TooLarge(Exception):
    """A body grew over the limit while it was read."""


class _Limited:
    """A receive function that counts: a body sent in pieces has no Content-Length."""

    def __init__(self, receive: Receive, most: int) -> None:
        self.receive = receive
        self.most = most
        self.size = 0

    async def __call__(self) -> Message:
        message = await self.receive()
        self.size += len(message.get("body", b""))
        if self.size > self.most:
            raise TooLarge
        return message


def _no(words: str, status: int) -> Response:
    return PlainTextResponse(words, status)


def _with_headers(send: Send) -> Send:
    async def sender(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
        await send(message)

    return sender
