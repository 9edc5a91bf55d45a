"""Getting in to a bench: its key works once, so the cookie is kept for the pages that follow."""

from __future__ import annotations

import os
import re
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import httpx
    from playwright.sync_api import Page

# Drafts of the tests' tabs go nowhere near those of the person who runs the tests.
os.environ["XDG_STATE_HOME"] = tempfile.mkdtemp(prefix="rollstave-state-")

_openers: dict[str, Path] = {}
_cookies: dict[str, Any] = {}


def learn(address: str, said: str) -> None:
    """Take the file with the key from what the bench says: ``... once: FILE``."""
    _openers[address] = opener(said)


def opener(said: str) -> Path:
    """The file with the key."""
    return Path(said.strip().rpartition("once: ")[2])


def opener_of(address: str) -> Path:
    """The file with the key of a bench that was learnt of."""
    return _openers[address]


def enter(page: Page, address: str) -> None:
    """Open the bench at an address in a page of whatever context."""
    if address in _cookies:
        page.context.add_cookies(_cookies[address])
        page.goto(address)
        return
    page.goto(_openers[address].as_uri())
    page.wait_for_url(address)
    _cookies[address] = page.context.cookies(address)


def let_in(client: httpx.Client, address: str, file: Path) -> httpx.Response:
    """Exchange the key of a file by HTTP, as the page in it does."""
    found = re.search(r'name="key" value="([^"]+)"', file.read_text())
    assert found
    origin = {"Origin": "null"}
    return client.post(f"{address}enter", data={"key": found[1]}, headers=origin)
