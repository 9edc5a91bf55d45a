"""The way in: a key that opens the bench once and is exchanged for a cookie.

Every user of this machine can connect to 127.0.0.1, and can read every process's command line. So
the key goes to the browser in a file that only its owner can read, and from there by POST: it
never stands in an address, a command line or the browser's history. It is exchanged once and is
worth nothing after that; the file is gone by then. The cookie ends with the browser, no script can
read it and no other site can have it sent (RFC 6265bis: HttpOnly, SameSite=Strict). Its name is
another for each bench, so that two do not mix.

What this does not keep out: the administrator, and a server of another user's on this machine, if
the browser is led to it while the bench is open (cookies do not know ports).
"""

from __future__ import annotations

import base64
import contextlib
import hashlib
import hmac
import os
import secrets
import shutil
import tempfile
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Final
from urllib.parse import parse_qs

from starlette.requests import Request, cookie_parser
from starlette.responses import HTMLResponse, Response

ENTER: Final = "/enter"
_FILE: Final = "open-the-bench.html"


class Entrance:
    """The secrets of one run: the key, the cookie, and the token that the page shows with what it
    sends. ``close`` removes the file with the key."""

    def __init__(self) -> None:
        self.key = secrets.token_urlsafe(32)
        self.token = secrets.token_urlsafe(32)
        self.cookie = (f"rollstave-bench-{secrets.token_hex(8)}", secrets.token_urlsafe(32))
        self.used = False
        self._folder: Path | None = None

    def is_key(self, key: str) -> bool:
        """True for the key, whether it was used or not."""
        return hmac.compare_digest(key.encode("utf-8", "replace"), self.key.encode())

    def exchange(self, key: str) -> bool:
        """True once, for the key."""
        if not self.is_key(key) or self.used:
            return False
        self.used = True
        self.close()
        return True

    def lets_in(self, cookies: list[str]) -> bool:
        """True if the Cookie headers of a request have the cookie of this run."""
        name, value = self.cookie
        sent = cookie_parser("; ".join(cookies)).get(name, "")
        return hmac.compare_digest(sent.encode("utf-8", "replace"), value.encode())

    def write_file(self, port: int) -> Path:
        """A page that brings the key to the bench at once, in a folder that only its owner can
        enter. Raises OSError."""
        self._folder = Path(tempfile.mkdtemp(prefix="rollstave-bench-"))  # of mode 0700
        path = self._folder / _FILE
        page = _page("opening.html").replace("KEY", self.key).replace("PORT", str(port))
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as stream:
            stream.write(page)
        return path

    def close(self) -> None:
        """Remove the file with the key, if there is one."""
        if self._folder is not None:
            with contextlib.suppress(OSError):
                shutil.rmtree(self._folder)
            self._folder = None


async def enter(entrance: Entrance, request: Request) -> Response:
    """Exchange a key for the cookie, once.

    The answer is a page that goes on to the bench, because a browser that was sent on from another
    place (the file with the key) would not show a strict cookie there.
    """
    body = (await request.body()).decode("ascii", "replace")  # at most a thousand bytes
    key = parse_qs(body).get("key", [""])[0].strip()
    if not entrance.exchange(key):
        return refusal(used=entrance.is_key(key), wrong=not entrance.is_key(key))
    answer = HTMLResponse(_page("entered.html"))
    name, value = entrance.cookie
    answer.set_cookie(name, value, httponly=True, samesite="strict", path="/")
    return answer


def refusal(used: bool = False, wrong: bool = False, from_elsewhere: bool = False) -> Response:
    """The page for a window that was not let in: why, and how to get in. It says nothing of the
    tab, and asks for the key."""
    from jinja2 import Environment

    template = Environment(autoescape=True).from_string(_page("refused.html"))
    html = template.render(used=used, wrong=wrong, from_elsewhere=from_elsewhere)
    # The one page that has its style within, because a style sheet needs the cookie too.
    style = html.partition("<style>")[2].partition("</style>")[0]
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    policy = (
        f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:; base-uri 'none'; "
        "form-action 'self'; frame-ancestors 'none'"
    )
    return HTMLResponse(html, 403, headers={"Content-Security-Policy": policy})


@cache
def _page(name: str) -> str:
    return (files("rollstave.bench") / "static" / name).read_text(encoding="utf-8")
