"""Headings that a folder gives for all tabs below it, in a file ``headings.txt``."""

from __future__ import annotations

import os

GIVEN_FILE = "headings.txt"
_LARGEST = 10_000  # bytes; some lines are meant


def given_for(path: str, top: str) -> str:
    """The headings that the folders from that of a file up to ``top`` give, the nearest first.

    Where a file is not below ``top``, only its own folder is asked. What cannot be read gives none.
    """
    if path == "-" or "\0" in path:  # standard input, or no path at all
        return ""
    folder = os.path.dirname(os.path.abspath(path))
    top = os.path.abspath(top)
    folders = [folder]
    if os.path.commonpath([folder, top]) == top:
        while folders[-1] != top:
            folders.append(os.path.dirname(folders[-1]))
    return "\n".join(filter(None, (_read(f) for f in folders)))


def is_given_file(name: str) -> bool:
    """True for the name of a file of headings, which is no tab itself."""
    return name.casefold() == GIVEN_FILE


def _read(folder: str) -> str:
    from rollstave.problems import TabError
    from rollstave.reading.page.decode import decode

    try:
        with open(os.path.join(folder, GIVEN_FILE), "rb") as stream:
            return decode(stream.read(_LARGEST)).strip()
    except (OSError, ValueError, TabError):
        return ""
