"""A few files into their places, all or none: guarded, remembered, and what they replace kept."""

from __future__ import annotations

import contextlib
import os
from collections.abc import Callable, Sequence
from pathlib import Path

from msgspec import Struct

from rollstave.outputs import disk, guard
from rollstave.outputs.ledger import Entry, Ledger, hash_of_bytes
from rollstave.outputs.own import own_folder


class Wish(Struct, frozen=True):
    """What outputs are made of, and what they may do.

    ``source`` is the path of the file that they are made of, empty where there is none; ``inputs``
    are all files that the command reads. ``also_known`` gives contents that another run wrote to a
    path, each with its source.
    """

    source: str = ""
    inputs: Sequence[str] = ()
    overwrite: bool = False
    also_known: Callable[[str], dict[str, str]] = lambda path: {}


def place_all(files: Sequence[tuple[Path, bytes]], wish: Wish) -> list[tuple[Path, str]]:
    """Write files to their places; those that replaced what is not ours, each with the place where
    that is kept.

    Raises Refused if one of them may not go to its place, OSError if it cannot: nothing is changed
    then, or, where the disk fails at the last moment, some are in place and known as ours, so that
    the same command does the rest.
    """
    contents = [hash_of_bytes(data) for _, data in files]
    pairs = list(zip((path for path, _ in files), contents, strict=True))
    foreign = [path for path, content in pairs if not _may_go(path, content, wish)]
    with contextlib.ExitStack() as stack:
        staged = [(disk.stage(path, data, stack), path) for path, data in files]
        _remember(pairs, wish.source)
        kept: list[tuple[Path, str]] = []
        try:
            for path in foreign:
                kept.append((path, disk.keep(str(path), str(path.parent))))
            for temporary, path in staged:
                _replace(temporary, path)
        except BaseException:
            for path, where in kept:
                disk.unkeep(str(path), where)
            raise
        for folder in {str(path.parent) for path, _ in files}:
            disk.sync_folder(folder)
    return kept


def _replace(temporary: str, path: Path) -> None:
    try:
        os.replace(temporary, path)
    except OSError as error:
        error.filename = str(path)
        raise


def _may_go(path: Path, content: str, wish: Wish) -> bool:
    """False if it goes over something that is not ours, as wished. Raises Refused, OSError."""
    name = str(path)
    guard.refuse_odd(name)
    guard.refuse_inputs(name, wish.inputs)
    own_folder(str(path.parent), make=False)
    if not os.path.lexists(name):
        return True
    folder = str(path.parent)
    known = {
        made: os.path.normpath(os.path.join(folder, source)) if source else ""
        for made, source in Ledger(folder).named(path.name).items()
    }
    try:
        guard.refuse_foreign(name, known, wish.source, content)
    except guard.Refused:
        try:
            guard.refuse_foreign(name, wish.also_known(name) | known, wish.source, content)
        except guard.Refused:
            if not wish.overwrite:
                raise
            return False
    return True


def _remember(pairs: Sequence[tuple[Path, str]], source: str) -> None:
    """Say in the ledgers of the folders what is about to be written there. Raises OSError."""
    by_folder: dict[str, list[Entry]] = {}
    for path, content in pairs:
        folder = str(path.parent)
        entry = Entry(content=content, name=path.name, source=_from(folder, source))
        by_folder.setdefault(folder, []).append(entry)
    for folder, entries in by_folder.items():
        Ledger(folder).add(entries)


def _from(folder: str, source: str) -> str:
    """A source as a path from a folder on, so that both can be moved together."""
    if not source:
        return ""
    try:
        return os.path.relpath(source, folder)
    except ValueError:  # on another drive
        return os.path.abspath(source)
