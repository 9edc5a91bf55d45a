"""The one file of the bench: read, watched for changes by its content, saved whole or not at all.

The page works on plain text whose lines end with ``\n``; encoding and line ends of the file are
kept for writing it again.
"""

from __future__ import annotations

import codecs
import difflib
import errno
import hashlib
import os
import re
import stat
import threading
from collections import Counter
from itertools import takewhile
from pathlib import Path

from msgspec import Struct
from msgspec.structs import replace

from rollstave.assembly.documents import kind_of
from rollstave.musicxml_in.detect import is_musicxml
from rollstave.outputs.disk import write_all
from rollstave.problems import TabError
from rollstave.reading.page.decode import Encoding, decode_with
from rollstave.vocabulary import problems as kinds

LARGEST = 1_000_000  # bytes; a songbook of text tab has a tenth of that
_LINE_END = re.compile("(\r\r?\n|\r|\n)")
_UTF8 = Encoding("utf-8")
_UTF8_MARKED = Encoding("utf-8", codecs.BOM_UTF8)  # what is written so is always read as it was


class State(Struct, frozen=True):
    """The file as it was at one moment. ``seen`` names its content; "" says that it is gone.

    ``exact`` is False where writing the text again would not give the same bytes, because some of
    them were no text.
    """

    text: str
    seen: str
    encoding: Encoding
    ends: tuple[str, ...]
    exact: bool = True


class Changed(Exception):
    """The file is not what was last seen of it."""

    def __init__(self, state: State) -> None:
        super().__init__("the file has changed")
        self.state = state


class NotInEncoding(Exception):
    """The text cannot be written in the file's encoding: a character that it does not have, with
    its line from 1; or none, where the bytes would be read as another text."""

    def __init__(self, encoding: str, character: str = "", line: int = 0) -> None:
        self.encoding, self.character, self.line = encoding, character, line
        super().__init__(
            f"The file is in {encoding}, which has no “{character}” (line {line})."
            if character
            else f"The file is in {encoding}, and this text in it would be read as another text."
        )


class Document:
    """The file at a path. A link is followed once, at the start, and what it leads to is kept."""

    def __init__(self, path: Path) -> None:
        try:
            self.path = path.resolve()
        except RuntimeError:  # before Python 3.13
            raise OSError(errno.ELOOP, os.strerror(errno.ELOOP), str(path)) from None
        # A name may have bytes that are no text; a page cannot show them.
        self.name = os.fsencode(self.path.name).decode("utf-8", "replace")
        self.stem = os.fsencode(self.path.stem).decode("utf-8", "replace")
        self._saving = threading.Lock()

    def load(self) -> State:
        """The file as it is now. Raises OSError, and TabError if it is no text tab."""
        return _understood(self._bytes())

    def now(self) -> str:
        """What names the content of the file at the moment; "" if it is gone. Raises OSError."""
        try:
            if not stat.S_ISREG(self.path.stat().st_mode):
                raise _no_file(self.path)
            with self.path.open("rb") as stream:
                return hashlib.file_digest(stream, "sha256").hexdigest()
        except (FileNotFoundError, NotADirectoryError):
            return ""

    def save(self, text: str, seen: str, in_utf8: bool = False) -> State:
        """Write the text if the file is still what ``seen`` names, or if ``seen`` says it is gone
        and it is.

        Raises Changed, NotInEncoding, OSError, and TabError for a text that could not be opened
        again; the file is then as it was.
        """
        text = _plain(text)
        with self._saving:
            self._look(seen)
            before = self.load() if seen else State(text="", seen="", encoding=_UTF8, ends=())
            if before.seen != seen:
                raise Changed(before)
            if seen:
                # Another file could be put in the place of one that is protected.
                os.close(os.open(self.path, os.O_WRONLY))
            encoding = _UTF8 if in_utf8 else before.encoding
            data, after = _written(text, _with_ends(text, before), encoding)
            write_all([(self.path, data)], lambda: self._look(seen))
        return after

    def _look(self, seen: str) -> None:
        """Raise Changed if the file is not what ``seen`` names at this moment."""
        now = self.now()
        if now != seen:
            gone = State(text="", seen="", encoding=_UTF8, ends=())
            raise Changed(self.load() if now else gone)

    def _bytes(self) -> bytes:
        """The file's content, or just too much of it. A pipe would be waited for without end."""
        status = self.path.stat()
        if not stat.S_ISREG(status.st_mode):
            raise _no_file(self.path)
        with self.path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
        if len(data) > LARGEST:
            raise _too_long(max(len(data), status.st_size))
        return data


def difference(theirs: str, mine: str) -> list[str]:
    """Lines that differ, with a few around them, each behind ``+`` (only in mine), ``-`` (only in
    theirs) or a space; ``@@`` stands where lines were left out."""
    lines = difflib.unified_diff(theirs.split("\n"), mine.split("\n"), lineterm="", n=2)
    return [line if line[:1] != "@" else "@@" for line in lines][2:]


def _refused(message: str) -> TabError:
    return TabError((kinds.BENCH.problem(message),))


def _too_long(size: int) -> TabError:
    return _refused(f"{size:,} bytes are too many: the bench takes up to {LARGEST:,}")


def _no_file(path: Path) -> OSError:
    if path.is_dir():
        return IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
    return OSError(errno.EINVAL, "it is no plain file", str(path))


def _understood(data: bytes) -> State:
    """What the bench makes of a file's content. Raises TabError for what it does not take; saving
    asks here too, so that nothing is saved which could not be opened again."""
    if len(data) > LARGEST:
        raise _too_long(len(data))
    if is_musicxml(data):
        raise _refused("this is MusicXML; make a text tab of it first: convert --to text")
    if kind := kind_of(data):
        raise _refused(f"this is a {kind}; make a text tab of it first: convert --to text")
    text, encoding = decode_with(data)
    pieces = _LINE_END.split(text)
    state = State(
        text="\n".join(pieces[0::2]),
        seen=hashlib.sha256(data).hexdigest(),
        encoding=encoding,
        ends=tuple(pieces[1::2]),
    )
    try:
        exact = encoding.encode(_with_ends(state.text, state)) == data
    except UnicodeEncodeError:
        exact = False
    return replace(state, exact=exact)


def _written(text: str, typed: str, encoding: Encoding) -> tuple[bytes, State]:
    """The bytes for a text whose line ends are those of the file, and how they are read again.

    Raises NotInEncoding and TabError. What UTF-8 would be read as another text (a text that shows
    UTF-8 taken for Windows-1252) gets a mark, with which it is taken as it stands.
    """
    try:
        data = encoding.encode(typed)
    except UnicodeEncodeError as error:
        line = text.count("\n", 0, len(_plain(typed[: error.start]))) + 1
        raise NotInEncoding(encoding.name, typed[error.start], line) from None
    if len(data) > LARGEST:
        raise _too_long(len(data))
    try:
        after = _understood(data)
    except TabError:
        if encoding.name == _UTF8.name or is_musicxml(data):
            raise
        raise NotInEncoding(encoding.name) from None
    if after.text == text:
        return data, after
    if encoding.name != _UTF8.name or encoding.byte_order_mark:
        raise NotInEncoding(encoding.name)
    return _written(text, typed, _UTF8_MARKED)


def _plain(text: str) -> str:
    """The text with ``\n`` for each line end."""
    return "\n".join(_LINE_END.split(text)[0::2])


def _with_ends(text: str, before: State) -> str:
    """The text with the line ends of the file: where they are mixed, lines at the start and the
    end that did not change keep theirs, and the rest gets the commonest."""
    if not before.ends:
        return text
    usual = Counter(before.ends).most_common(1)[0][0]
    if len(set(before.ends)) == 1:
        return text.replace("\n", usual)
    old, new = before.text.split("\n"), text.split("\n")
    most = min(len(old), len(new))
    first = sum(1 for _ in takewhile(lambda p: p[0] == p[1], zip(old, new, strict=False)))
    pairs = zip(reversed(old), reversed(new), strict=False)
    last = min(sum(1 for _ in takewhile(lambda p: p[0] == p[1], pairs)), most - first)
    kept = list(before.ends[len(before.ends) - last + 1 :]) if last > 1 else []
    ends = list(before.ends[: len(before.ends) - len(kept)])
    wanted = len(new) - 1 - len(kept)
    ends = [*ends[:wanted], *[usual] * (wanted - len(ends)), *kept]
    typed = "".join(a + b for a, b in zip(new, [*ends, ""], strict=True))
    # Two ends with nothing between them may look like one.
    return typed if _plain(typed) == text else text.replace("\n", usual)
