"""Files in and out: reading an argument or standard input, writing whole files or none."""

from __future__ import annotations

import contextlib
import errno
import os
import re
import stat
import sys
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

STANDARD_INPUT = "-"


def read_bytes(name: str) -> bytes:
    """The bytes of a file, or of standard input for ``-``. Raises OSError."""
    if name == STANDARD_INPUT:
        return sys.stdin.buffer.read()
    return Path(name).read_bytes()


def stem_of(name: str) -> str:
    """What the outputs of a file are named after."""
    return "tab" if name == STANDARD_INPUT else Path(name).stem


def slug(title: str) -> str:
    """A title as part of a file name: letters and digits, hyphens between words."""
    return re.sub(r"[^\w]+", "-", title.lower()).strip("-_")[:60] or "tune"


def output_paths(folder: Path, stem: str, extension: str, pages: int) -> list[Path]:
    """``NAME.svg`` for one page, ``NAME-1.svg``, ``NAME-2.svg`` … for several."""
    if pages == 1:
        return [folder / f"{stem}{extension}"]
    return [folder / f"{stem}-{number}{extension}" for number in range(1, pages + 1)]


def write_all(
    files: Sequence[tuple[Path, bytes]], last_look: Callable[[], None] | None = None
) -> None:
    """Write files whole or not at all: each is written beside its place, then all are moved in.

    A file that was there keeps its permissions. ``last_look`` is called right before the first is
    moved in; what it raises stops everything. Raises OSError; nothing half written is left behind.
    """
    waiting: list[tuple[str, Path]] = []
    try:
        for path, data in files:
            path.parent.mkdir(parents=True, exist_ok=True)
            handle, temporary = tempfile.mkstemp(prefix=".rollstave-", dir=path.parent)
            waiting.append((temporary, path))
            with os.fdopen(handle, "wb") as stream:
                stream.write(data)
                stream.flush()
                os.fsync(stream.fileno())
        for path, _ in files:
            if path.is_dir():
                raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR), str(path))
        mode = 0o666 & ~_umask()
        for temporary, path in waiting:
            os.chmod(temporary, _mode_of(path, mode))
        if last_look is not None:
            last_look()
        for temporary, path in waiting:
            os.replace(temporary, path)
    except BaseException:
        for temporary, _ in waiting:
            with contextlib.suppress(OSError):
                os.unlink(temporary)
        raise


def _mode_of(path: Path, usual: int) -> int:
    """The permissions of the file at a path, or the usual ones where there is none."""
    try:
        return stat.S_IMODE(path.stat().st_mode)
    except FileNotFoundError:
        return usual


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
