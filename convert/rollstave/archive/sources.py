"""Which files are converted: folders are walked, patterns and lists opened, the rest named."""

from __future__ import annotations

import glob
import os
import stat
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from msgspec import Struct, field

from rollstave.archive.given import given_for, is_given_file
from rollstave.archive.jobs import Source
from rollstave.assembly.documents import endings
from rollstave.outputs.ledger import LEDGER_FILE, Ledger, hash_of
from rollstave.outputs.own import OWN_FOLDER, STATE_FILE, shown

# What tabs are called, besides what plugins read. A file without an ending may be one too (old mail
# archives); each is looked into, and what has no tab in it is skipped with the reason.
TAB_ENDINGS = frozenset({".txt", ".text", ".tab", ".asc", ".musicxml", ".xml", ".mxl", ""})


class Found(Struct):
    """What was found: files to convert, folders that were walked, and what was passed over.

    ``passed`` pairs a shown path with a reason; ``others`` counts files by their ending that are
    not called as tabs are. ``unlisted`` are folders that could not be read, ``unmatched`` patterns
    that no file fits.
    """

    sources: list[Source] = field(default_factory=list)
    folders: list[str] = field(default_factory=list)
    passed: list[tuple[str, str]] = field(default_factory=list)
    others: Counter[str] = field(default_factory=Counter)
    unlisted: list[tuple[str, str]] = field(default_factory=list)
    unmatched: list[str] = field(default_factory=list)


def is_pattern(argument: str) -> bool:
    """True if the argument names no file but is a pattern (``tabs/*.txt``) to be opened here."""
    return glob.has_magic(argument) and not os.path.lexists(argument)


def is_many(argument: str) -> bool:
    """True if the argument can stand for many files."""
    return is_pattern(argument) or os.path.isdir(argument)


def find(arguments: Sequence[str], out: Path, ours: frozenset[str] = frozenset()) -> Found:
    """All files that the arguments stand for, each once, in a steady order.

    The folder ``out`` is not walked into; files in ``ours`` (real paths of outputs of an earlier
    run) are not taken for inputs, and neither are those that the state of another run names.
    """
    found = Found()
    real_out = os.path.realpath(out)
    opened = list(_opened(arguments, found))
    documents = endings()
    prefixes = _prefixes([name for name, _ in opened if os.path.isdir(name)])
    for name, base in opened:
        if os.path.isdir(name):
            path = os.path.abspath(name)
            found.folders.append(path)
            _walk(name, prefixes[path], real_out, ours, found, documents)
        else:
            path = os.path.abspath(name) if "\0" not in name else name
            below = os.path.basename(path) if base is None else os.path.relpath(name, base)
            source = Source(
                path=path,
                name=name,
                below=below.replace(os.sep, "/"),
                walked=False,
                given=given_for(path, base or os.curdir),
            )
            found.sources.append(source)
    once: dict[str, Source] = {}
    for source in found.sources:  # one that is named and lies in a folder too keeps that folder
        if source.path not in once or (source.walked and not once[source.path].walked):
            once[source.path] = source
    found.sources = list(once.values())
    return found


def _opened(arguments: Sequence[str], found: Found) -> Iterator[tuple[str, str | None]]:
    """The names that arguments stand for; with those of a pattern, the folder from which on they
    keep their folders: its part before the first sign (``tabs`` of ``tabs/**/*.txt``)."""
    for argument in arguments:
        if not is_pattern(argument):
            yield argument, None
            continue
        names = sorted(glob.glob(argument, recursive=True))
        if not names:
            found.unmatched.append(argument)
        base = argument
        while glob.has_magic(base):
            base = os.path.dirname(base)
        for name in names:
            yield name, base or os.curdir


def _prefixes(folders: Sequence[str]) -> dict[str, str]:
    """Where the outputs of folders go below --out: of one, at the top; of several, each in one of
    its name. Where two have the same name, in the path that tells them apart."""
    paths = [os.path.abspath(folder) for folder in folders]
    if len({os.path.realpath(path) for path in paths}) < 2:
        return dict.fromkeys(paths, "")
    named = Counter(os.path.basename(path).casefold() for path in dict.fromkeys(paths))
    try:
        common = os.path.commonpath(paths)
    except ValueError:  # on several drives
        common = ""
    prefixes = {}
    for path in paths:
        prefix = os.path.basename(path)
        if named[prefix.casefold()] > 1 and common not in ("", path):
            prefix = os.path.relpath(path, common)
        prefixes[path] = prefix
    return prefixes


def read_list(data: bytes) -> list[str]:
    """The file names of a list: one a line, or divided by NUL as ``find -print0`` does."""
    divider = b"\0" if b"\0" in data else b"\n"
    lines = (line.rstrip(b"\r") for line in data.removeprefix(b"\xef\xbb\xbf").split(divider))
    return [os.fsdecode(line) for line in lines if line.strip()]


def _walk(
    folder: str,
    prefix: str,
    real_out: str,
    ours: frozenset[str],
    found: Found,
    documents: Mapping[str, str],
) -> None:
    """Add the files below a folder. Links to folders are not followed, so no walk is endless."""

    def unreadable(error: OSError) -> None:
        found.unlisted.append((str(error.filename), error.strerror or str(error)))

    for here, folders, files in os.walk(folder, onerror=unreadable):
        real_here = os.path.realpath(here)
        for name in sorted(folders):
            path = os.path.join(here, name)
            if reason := _why_not_walked(name, path, real_out):
                folders.remove(name)
                found.passed.append((shown(path), reason))
            elif _is_of_a_run(os.path.join(path, OWN_FOLDER)):
                # The folder may hold tabs as well: a teacher has tried it there before.
                from rollstave.archive.state import written_in  # SQLite: only where it is needed

                written = written_in(path)
                if written is None:
                    folders.remove(name)
                    found.passed.append((shown(path), "a folder of outputs of another run"))
                else:
                    ours |= written
                    found.passed.append((shown(path), "outputs of another run in it are not read"))
        folders[:] = sorted(name for name in folders if not name.startswith("."))
        made = _made_here(here)
        for name in sorted(files):
            if name.startswith(".") or is_given_file(name) or os.path.join(real_here, name) in ours:
                continue
            if name not in made or not _is_as_made(os.path.join(here, name), made[name]):
                _file(os.path.join(here, name), folder, prefix, found, documents)


def _is_of_a_run(own: str) -> bool:
    """True if the hidden folder is that of a run over a folder, and not of single files only."""
    if os.path.lexists(os.path.join(own, STATE_FILE)):
        return True
    return os.path.lexists(own) and not os.path.lexists(os.path.join(own, LEDGER_FILE))


def _made_here(folder: str) -> dict[str, set[str]]:
    """The contents that were written under each name when files of a folder were converted one by
    one: as long as they are that, they are no tabs that someone typed."""
    made: dict[str, set[str]] = {}
    for entry in Ledger(folder).entries():
        made.setdefault(entry.name, set()).add(entry.content)
    return made


def _is_as_made(path: str, contents: set[str]) -> bool:
    try:
        return hash_of(path) in contents
    except OSError:
        return False


def _why_not_walked(name: str, path: str, real_out: str) -> str:
    """Why a folder is passed over; empty if it is not. Hidden ones are not worth a word."""
    if name.startswith("."):
        return ""
    if os.path.islink(path):
        return "a link to a folder is not followed"
    if os.path.realpath(path) == real_out:
        return "the folder of the outputs"
    return ""


def _file(path: str, folder: str, prefix: str, found: Found, documents: Mapping[str, str]) -> None:
    """Add a file of a folder if it is called as tabs, or as documents that can be read."""
    ending = os.path.splitext(path)[1].lower()
    if lacking := documents.get(ending, ""):
        found.passed.append((shown(path), f"to read it, {lacking}"))
        return
    if ending not in TAB_ENDINGS and ending not in documents:
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
    found.sources.append(
        Source(
            path=os.path.abspath(path),
            name=path,
            below=below,
            walked=True,
            given=given_for(path, folder),
        )
    )
