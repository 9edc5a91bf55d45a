"""The hidden folder beside outputs, in which rollstave keeps what it knows of them."""

from __future__ import annotations

import errno
import os
import stat

OWN_FOLDER = ".rollstave"
STATE_FILE = "state.sqlite"  # in it, of runs over whole folders
REPORTS = ("report.json", "report.html")  # what such runs say, beside that folder


def shown(path: str) -> str:
    """A path as text that can be printed and stored, whatever bytes it has. Two paths may be
    shown alike: never a key."""
    try:
        text = os.fsencode(path).decode("utf-8", "backslashreplace")
    except UnicodeEncodeError:
        text = path.encode("utf-8", "backslashreplace").decode()
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in text)


def own_folder(folder: str, make: bool = True) -> str:
    """The hidden folder of a folder, made if it is not there. Raises OSError if it cannot be made,
    or is a link: what is put there must not end up elsewhere."""
    path = os.path.join(folder, OWN_FOLDER)
    try:
        mode = os.lstat(path).st_mode
    except FileNotFoundError:
        if make:
            os.mkdir(path)
        return path
    if stat.S_ISLNK(mode):
        raise refusal(path, "it is a link; rollstave keeps what it knows in a real folder only")
    if not stat.S_ISDIR(mode):
        raise refusal(path, "it is no folder; rollstave keeps what it knows there: move it away")
    return path


def check_own_file(path: str) -> None:
    """Raise OSError if a file of ours is a link, or another name of a file elsewhere: to write to
    it would write there."""
    try:
        found = os.lstat(path)
    except FileNotFoundError:
        return
    if stat.S_ISLNK(found.st_mode):
        raise refusal(path, "it is a link, and is not followed: move it away")
    if stat.S_ISREG(found.st_mode) and found.st_nlink > 1:
        raise refusal(path, "it is another name of a file elsewhere (a hard link): move it away")


def refusal(path: str, words: str) -> OSError:
    """An error in our words about a path, for whoever tells what the system says."""
    return OSError(errno.EPERM, words, path)
