"""A user's own file written anew in its place, unless it was changed meanwhile."""

from __future__ import annotations

import contextlib
import os
import stat
from pathlib import Path

from rollstave.outputs import disk
from rollstave.outputs.own import refusal


def rewrite(path: Path, before: bytes, after: bytes, kept: str = "") -> None:
    """Write ``after`` into a file that was read as ``before``. A link is followed to its file;
    permissions and owner stay. ``kept`` is a second name of it that :func:`~.disk.keep` made.

    Raises OSError, with words for people: if it was changed since it was read, can only be read,
    or has a second name (a hard link), whose content would stay behind.
    """
    real = os.path.realpath(path)
    found = os.stat(real)
    if not stat.S_ISREG(found.st_mode):
        raise refusal(str(path), "it is no plain file")
    own = bool(kept) and os.path.samefile(real, kept)
    if found.st_nlink > 1 + own:
        raise refusal(
            str(path),
            "the file has a second name (a hard link), which would keep the old text; make a copy "
            "of it first",
        )
    if not os.access(real, os.W_OK):
        raise refusal(str(path), "it can only be read, not written")
    with contextlib.ExitStack() as stack:
        staged = disk.stage(Path(real), after, stack)
        if hasattr(os, "chown") and (found.st_uid, found.st_gid) != (os.geteuid(), os.getegid()):
            with contextlib.suppress(OSError):
                os.chown(staged, found.st_uid, found.st_gid)
                os.chmod(staged, stat.S_IMODE(found.st_mode))
        with open(real, "rb") as stream:
            now = stream.read()
        if now != before:
            raise refusal(str(path), "it was changed while it was read, and stays as it is now")
        os.replace(staged, real)
        disk.sync_folder(os.path.dirname(real))
