"""Drafts: text that was typed on the bench and is not saved yet.

They are kept in the user's own state folder of the system, so that nothing is littered beside the
tabs and a tab on a disk that is full or protected has its draft all the same:
``bench/drafts/NAME/PAGE.json`` there, readable by its owner only. NAME is made of the bytes of the
tab's path; every page that is open on a tab has a draft of its own. A draft is never applied by
itself, and goes when its text is saved or dropped.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import re
import tempfile
import threading
import time
from pathlib import Path

import msgspec
from msgspec import Struct

_MOST = 20  # offered at once, the newest first
_PAGE = re.compile(r"[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}")


class Draft(Struct, frozen=True):
    """Text as it was at a moment (seconds since 1970), typed over the content that ``seen`` names.
    ``path`` is for people who look into the folder."""

    page: str
    when: float
    seen: str
    text: str
    path: str


def state_folder() -> Path:
    """Where the system keeps what programs remember for this user."""
    import platformdirs

    return platformdirs.user_state_path("rollstave", appauthor=False) / "bench"


def is_page(name: str) -> bool:
    """True for the name of a page: a UUID, which cannot lead to another place."""
    return _PAGE.fullmatch(name) is not None


class Drafts:
    """The drafts of one tab. Safe to use from several threads; several processes do no harm.

    ``turn`` is a number that a page counts up: what it asked earlier and arrives later is left out.
    """

    def __init__(self, path: Path, folder: Path | None = None) -> None:
        self._path = os.fsencode(path)
        self._own = folder
        self._lock = threading.Lock()
        self._turns: dict[str, int] = {}

    @property
    def folder(self) -> Path:
        """Where the drafts of this tab lie."""
        name = hashlib.sha256(self._path).hexdigest()[:32]
        return (self._own or state_folder()) / "drafts" / name

    def keep(self, page: str, turn: int, text: str, seen: str) -> None:
        """Write a page's draft in place of its last one, whole or not at all. Raises OSError."""
        draft = Draft(
            page=page,
            when=time.time(),
            seen=seen,
            text=text,
            path=self._path.decode("utf-8", "replace"),
        )
        with self._lock:
            if self._is_newest(page, turn):
                _write(self._place(page), msgspec.json.encode(draft))

    def drop(self, page: str, turn: int) -> None:
        """Remove a page's draft, if there is one. Raises OSError."""
        with self._lock:
            if self._is_newest(page, turn):
                self._remove(page)

    def remove(self, page: str) -> None:
        """Remove another page's draft, whatever that page asked for. Raises OSError."""
        with self._lock:
            self._remove(page)

    def _remove(self, page: str) -> None:
        self._place(page).unlink(missing_ok=True)
        with contextlib.suppress(OSError):
            self.folder.rmdir()

    def waiting(self) -> list[Draft]:
        """All drafts, the newest first; what cannot be read is left where it is."""
        found = []
        for path in self.folder.glob("*.json"):
            with contextlib.suppress(OSError, msgspec.DecodeError, msgspec.ValidationError):
                draft = msgspec.json.decode(path.read_bytes(), type=Draft)
                if draft.page == path.stem and is_page(draft.page):
                    found.append(draft)
        return sorted(found, key=lambda draft: draft.when, reverse=True)[:_MOST]

    def _place(self, page: str) -> Path:
        if not is_page(page):
            raise ValueError("not the name of a page")
        return self.folder / f"{page}.json"

    def _is_newest(self, page: str, turn: int) -> bool:
        newest = turn > self._turns.get(page, -1)
        if newest:
            self._turns[page] = turn
        return newest


def _write(path: Path, data: bytes) -> None:
    """Write a file that only its owner can read."""
    path.parent.mkdir(parents=True, exist_ok=True)
    for folder in (path.parent.parent, path.parent):
        folder.chmod(0o700)
    handle, temporary = tempfile.mkstemp(prefix=".draft-", dir=path.parent)  # of mode 0600
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(temporary, path)
    except BaseException:
        os.unlink(temporary)
        raise
