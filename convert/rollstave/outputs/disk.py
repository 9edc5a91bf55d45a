"""Writing to the disk: whole files or none, and a copy of what is replaced."""

from __future__ import annotations

import contextlib
import errno
import os
import shutil
import stat
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from rollstave.outputs.own import own_folder

REPLACED = "replaced"  # the folder below the hidden one that keeps what was replaced
_PREFIX = ".rollstave-"


def write_all(
    files: Sequence[tuple[Path, bytes]], last_look: Callable[[], None] | None = None
) -> None:
    """Write files whole or not at all: each is written beside its place, then all are moved in.

    A file that was there keeps its permissions. ``last_look`` is called right before the first is
    moved in; what it raises stops everything. Raises OSError; nothing half written is left behind.
    """
    with contextlib.ExitStack() as stack:
        staged = [(stage(path, data, stack), path) for path, data in files]
        for _, path in staged:
            if path.is_dir():
                raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
        if last_look is not None:
            last_look()
        for temporary, path in staged:
            os.replace(temporary, path)
        for folder in {path.parent for _, path in staged}:
            sync_folder(str(folder))


def stage(path: Path, data: bytes, stack: contextlib.ExitStack) -> str:
    """Write the bytes for a path into a file beside it, down to the disk; its name.

    It has the permissions of the file that it is to replace. It is removed at the end of the stack
    if it is still there then. Raises OSError that names the path.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=_PREFIX, dir=path.parent)
        stack.callback(_remove, temporary)
        with os.fdopen(handle, "wb") as stream:
            stream.write(data)
            stream.flush()
            os.fsync(stream.fileno())
        os.chmod(temporary, _mode_of(path))
    except OSError as error:
        if error.filename is None or _PREFIX in str(error.filename):
            error.filename = str(path)
        raise
    return temporary


def _remove(path: str) -> None:
    with contextlib.suppress(OSError):
        os.unlink(path)


def _mode_of(path: Path) -> int:
    """The permissions of the file at a path, or the usual ones where there is none."""
    with contextlib.suppress(OSError):
        found = os.lstat(path)
        if stat.S_ISREG(found.st_mode):
            return stat.S_IMODE(found.st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def keep(path: str, root: str) -> str:
    """Keep the file at a path, as it is now, in the hidden folder of ``root``, a folder above it;
    where. A link is kept as a link. Raises OSError.

    A second name for the same file where the system can do that, which needs no room; else a copy.
    """
    folder = os.path.join(own_folder(root), REPLACED)
    os.makedirs(folder, exist_ok=True)
    below = os.path.relpath(path, root)
    kept = os.path.join(folder, below if not below.startswith("..") else os.path.basename(path))
    os.makedirs(os.path.dirname(kept), exist_ok=True)
    stem, ending = os.path.splitext(kept)
    number = 1
    while True:
        try:
            os.link(path, kept, follow_symlinks=False)
            return kept
        except FileExistsError:
            number += 1
            kept = f"{stem}-{number}{ending}"
        except (OSError, NotImplementedError):
            break
    while os.path.lexists(kept):
        number += 1
        kept = f"{stem}-{number}{ending}"
    try:
        shutil.copy2(path, kept, follow_symlinks=False)
    except OSError:
        _remove(kept)
        raise
    return kept


def unkeep(path: str, kept: str) -> None:
    """Take away what :func:`keep` made of a file that was not replaced after all: a second name
    would change with it, and be in the way of other programs."""
    with contextlib.suppress(OSError):
        if os.path.samestat(os.lstat(path), os.lstat(kept)):
            os.unlink(kept)


def sync_folder(folder: str) -> None:
    """See to it that the names in a folder are on the disk, where the system can do that."""
    with contextlib.suppress(OSError):
        handle = os.open(folder or os.curdir, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)
