"""The one file of the bench: read, watched for changes by its content, saved whole or not at all.

The page works on plain text whose lines end with ``\n``; encoding and line ends of the file are
kept for writing it again.
"""

from __future__ import annotations

import difflib
import hashlib
import re
from collections import Counter
from itertools import takewhile
from pathlib import Path

from msgspec import Struct

from rollstave.musicxml_in.detect import is_musicxml
from rollstave.outputs.disk import write_all
from rollstave.problems import TabError
from rollstave.reading.page.decode import Encoding, decode_with
from rollstave.vocabulary import problems as kinds

LARGEST = 1_000_000  # bytes; a songbook of text tab has a tenth of that
_LINE_END = re.compile("(\r\r?\n|\r|\n)")
_UTF8 = Encoding("utf-8")


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
    """A character that the file's encoding does not have, and its line from 1."""

    def __init__(self, character: str, line: int, encoding: str) -> None:
        super().__init__(f"{encoding} has no {character!r} (line {line})")
        self.character, self.line, self.encoding = character, line, encoding


class Document:
    """The file at a path. A link is followed once, at the start, and what it leads to is kept."""

    def __init__(self, path: Path) -> None:
        self.path = path.resolve()
        self.name = path.name

    def load(self) -> State:
        """The file as it is now. Raises OSError, and TabError if it is no text tab."""
        size = self.path.stat().st_size
        if size > LARGEST:
            raise _refused(f"the file has {size:,} bytes; the bench takes up to {LARGEST:,}")
        data = self.path.read_bytes()
        if is_musicxml(data):
            raise _refused("this is MusicXML; make a text tab of it first: convert --to text")
        return _state(data)

    def now(self) -> str:
        """What names the content of the file at the moment; "" if it is gone."""
        try:
            return _hash(self.path.read_bytes())
        except OSError:
            return ""

    def save(self, text: str, seen: str, in_utf8: bool = False) -> State:
        """Write the text if the file is still what ``seen`` names, or if ``seen`` says it is gone
        and it is.

        Raises Changed, NotInEncoding, OSError and TabError; the file is then as it was.
        """
        if self.now() != seen:
            raise Changed(self.load())
        before = self.load() if seen else State(text="", seen="", encoding=_UTF8, ends=())
        encoding = _UTF8 if in_utf8 else before.encoding
        typed = _with_ends(text, before)
        try:
            data = encoding.encode(typed)
        except UnicodeEncodeError as error:
            line = typed.count("\n", 0, error.start) + 1
            raise NotInEncoding(typed[error.start], line, encoding.name) from None
        write_all([(self.path, data)])
        return _state(data)


def difference(theirs: str, mine: str) -> list[str]:
    """Lines that differ, with a few around them, each behind ``+`` (only in mine), ``-`` (only in
    theirs) or a space; ``@@`` stands where lines were left out."""
    lines = difflib.unified_diff(theirs.split("\n"), mine.split("\n"), lineterm="", n=2)
    return [line if line[:1] != "@" else "@@" for line in lines][2:]


def _refused(message: str) -> TabError:
    return TabError((kinds.BENCH.problem(message),))


def _hash(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def _state(data: bytes) -> State:
    text, encoding = decode_with(data)
    pieces = _LINE_END.split(text)
    plain = "\n".join(pieces[0::2])
    state = State(text=plain, seen=_hash(data), encoding=encoding, ends=tuple(pieces[1::2]))
    try:
        exact = encoding.encode(_with_ends(plain, state)) == data
    except UnicodeEncodeError:
        exact = False
    return State(text=plain, seen=state.seen, encoding=encoding, ends=state.ends, exact=exact)


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
    return "".join(a + b for a, b in zip(new, [*ends, ""], strict=True))
