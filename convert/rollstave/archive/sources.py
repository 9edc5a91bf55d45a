"""Which files are converted: folders are walked, patterns and lists opened, the rest named."""

from __future__ import annotations

import glob
import os
import stat
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

from msgspec import Struct, field

from rollstave.archive.model import Source
from rollstave.archive.names import shown

# What tabs are called. A file without an ending may be one too (old mail archives); each is looked
# into, and what has no tab in it is skipped with the reason.
TAB_ENDINGS = frozenset({".txt", ".text", ".tab", ".asc", ".musicxml", ".xml", ".mxl", ""})


STATE_FOLDER = ".rollstave"  # in every --out


class Found(Struct):
    """What was found: files to convert, folders that were walked, and what was passed over.

    ``passed`` pairs a shown path with a reason; ``others`` counts files by their ending that are
    not called as tabs are. ``unlisted`` are folders that could not be read.
    """

    sources: list[Source] = field(default_factory=list)
    folders: list[str] = field(default_factory=list)
    passed: list[tuple[str, str]] = field(default_factory=list)
    others: Counter[str] = field(default_factory=Counter)
    unlisted: list[tuple[str, str]] = field(default_factory=list)


def is_pattern(argument: str) -> bool:
    """True if the argument names no file but is a pattern (``tabs/*.txt``) to be opened here."""
    return glob.has_magic(argument) and not os.path.lexists(argument)


def is_many(argument: str) -> bool:
    """True if the argument can stand for many files."""
    return is_pattern(argument) or os.path.isdir(argument)


def find(arguments: Sequence[str], out: Path, ours: frozenset[str] = frozenset()) -> Found:
    """All files that the arguments stand for, each once, in a steady order.

    The folder ``out`` is not walked into; files in ``ours`` (absolute paths of outputs of an
    earlier run) are not taken for inputs.
    """
    found = Found()
    real_out = os.path.realpath(out)
    folders = [a for a in _opened(arguments) if os.path.isdir(a)]
    several = len({os.path.realpath(f) for f in folders}) > 1
    for argument in _opened(arguments):
        if os.path.isdir(argument):
            found.folders.append(os.path.abspath(argument))
            prefix = os.path.basename(os.path.abspath(argument)) if several else ""
            _walk(argument, prefix, real_out, ours, found)
        else:
            path = os.path.abspath(argument) if "\0" not in argument else argument
            found.sources.append(Source(path, argument, os.path.basename(path), walked=False))
    found.sources = list({s.path: s for s in found.sources}.values())
    return found


def _opened(arguments: Sequence[str]) -> Iterator[str]:
    for argument in arguments:
        if is_pattern(argument):
            yield from sorted(glob.glob(argument, recursive=True))
        else:
            yield argument


def read_list(data: bytes) -> list[str]:
    """The file names of a list: one a line, or divided by NUL as ``find -print0`` does."""
    divider = b"\0" if b"\0" in data else b"\n"
    lines = (line.rstrip(b"\r") for line in data.removeprefix(b"\xef\xbb\xbf").split(divider))
    return [os.fsdecode(line) for line in lines if line.strip()]


def _walk(folder: str, prefix: str, real_out: str, ours: frozenset[str], found: Found) -> None:
    """Add the files below a folder. Links to folders are not followed, so no walk is endless."""

    def unreadable(error: OSError) -> None:
        found.unlisted.append((str(error.filename), error.strerror or str(error)))

    for here, folders, files in os.walk(folder, onerror=unreadable):
        for name in sorted(folders):
            path = os.path.join(here, name)
            if reason := _why_not_walked(name, path, real_out):
                folders.remove(name)
                found.passed.append((shown(path), reason))
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        for name in sorted(files):
            if not name.startswith("."):
                _file(os.path.join(here, name), folder, prefix, ours, found)


def _why_not_walked(name: str, path: str, real_out: str) -> str:
    """Why a folder is passed over; empty if it is not. Hidden ones are not worth a word."""
    if name.startswith("."):
        return ""
    if os.path.islink(path):
        return "a link to a folder is not followed"
    if os.path.realpath(path) == real_out:
        return "the folder of the outputs"
    if os.path.isdir(os.path.join(path, STATE_FOLDER)):
        return "a folder of outputs of another run"
    return ""


def _file(path: str, folder: str, prefix: str, ours: frozenset[str], found: Found) -> None:
    ending = os.path.splitext(path)[1].lower()
    if os.path.abspath(path) in ours:
        return
    if ending not in TAB_ENDINGS:
        found.others[shown(ending)] += 1
        return
    try:
        mode = os.stat(path).st_mode
    except OSError as error:
        reason = "a link to nothing" if os.path.islink(path) else error.strerror or str(error)
        found.passed.append((shown(path), reason))
        return
    if not stat.S_ISREG(mode):
        found.passed.append((shown(path), "not a plain file"))
        return
    below = os.path.join(prefix, os.path.relpath(path, folder)).replace(os.sep, "/")
    found.sources.append(Source(os.path.abspath(path), path, below, walked=True))
