"""What was written into a folder, and out of what: lines of text in its hidden folder.

A line is added before a file is put in place and none is ever changed, so that a stop at any
moment, or two runs at once, leave a list that is right: a file is ours if its content is any that
was written under its name.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import tempfile

from msgspec import Struct

from rollstave.outputs.own import OWN_FOLDER, check_own_file, own_folder

LEDGER_FILE = "written"
_LARGEST = 1_000_000  # bytes; then it is put together again from what is still there
# Of a name: what divides the columns and lines, and the sign of an escape itself.
_ESCAPES = ((b"%", b"%25"), (b"\t", b"%09"), (b"\n", b"%0A"), (b"\r", b"%0D"))


class Entry(Struct, frozen=True):
    """A content (its hash) that was written under a name, and the source that it was made of: a
    path from the folder on, or empty."""

    content: str
    name: str
    source: str = ""


class Ledger:
    """The list of a folder. Nothing is made before something is added."""

    def __init__(self, folder: str) -> None:
        self._folder = folder or os.curdir
        self._path = os.path.join(self._folder, OWN_FOLDER, LEDGER_FILE)

    def entries(self) -> list[Entry]:
        """All that is known, the oldest first; nothing if it cannot be read. What is no whole line
        is passed over."""
        try:
            check_own_file(self._path)
            own_folder(self._folder, make=False)
            with open(self._path, "rb") as stream:
                lines = stream.read().split(b"\n")
        except OSError:
            return []
        found = []
        for line in lines:
            columns = line.split(b"\t")
            if len(columns) == 3 and len(columns[0]) == 64:
                content, name, source = columns
                entry = Entry(content.decode("ascii", "replace"), _plain(name), _plain(source))
                found.append(entry)
        return found

    def named(self, name: str) -> dict[str, str]:
        """The contents that were written under a name, and the last source of each."""
        return {e.content: e.source for e in self.entries() if e.name == name}

    def add(self, entries: list[Entry]) -> None:
        """Remember what is about to be written. Raises OSError."""
        known: dict[str, Entry] = {e.name: e for e in self.entries()}
        new = [e for e in entries if known.get(e.name) != e]
        if not new:
            return
        own_folder(self._folder)
        check_own_file(self._path)
        lines = b"".join(_line(e) for e in new)
        flags = os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0)
        handle = os.open(self._path, flags, 0o666)
        with os.fdopen(handle, "r+b", buffering=0) as stream:
            size = stream.seek(0, os.SEEK_END)
            if size:
                stream.seek(size - 1)
                # A line that a stop or a full disk cut off ends here, so that ours is whole.
                lines = lines if stream.read(1) == b"\n" else b"\n" + lines
            if stream.write(lines) != len(lines):
                raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC), self._path)
            os.fsync(stream.fileno())
        if size > _LARGEST:
            self._shorten()

    def _shorten(self) -> None:
        """Keep the last entries of what is still there; if that fails, all stays as it is."""
        last: dict[tuple[str, str], Entry] = {}
        for entry in self.entries():
            if os.path.lexists(os.path.join(self._folder, entry.name)):
                last.pop((entry.name, entry.content), None)
                last[entry.name, entry.content] = entry
        by_name: dict[str, list[Entry]] = {}
        for entry in last.values():
            by_name.setdefault(entry.name, []).append(entry)
        data = b"".join(_line(e) for entries in by_name.values() for e in entries[-4:])
        with contextlib.suppress(OSError):
            handle, temporary = tempfile.mkstemp(dir=os.path.dirname(self._path))
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
            os.replace(temporary, self._path)


def _line(entry: Entry) -> bytes:
    columns = (entry.content.encode(), _escaped(entry.name), _escaped(entry.source))
    return b"\t".join(columns) + b"\n"


def _escaped(text: str) -> bytes:
    data = os.fsencode(text)
    for char, escape in _ESCAPES:
        data = data.replace(char, escape)
    return data


def _plain(data: bytes) -> str:
    for char, escape in reversed(_ESCAPES):
        data = data.replace(escape, char)
    return os.fsdecode(data)


def hash_of(path: str) -> str:
    """The hash of a file's bytes. Raises OSError."""
    with open(path, "rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def hash_of_bytes(data: bytes) -> str:
    """The hash of bytes as :func:`hash_of` has it."""
    return hashlib.sha256(data).hexdigest()
