"""A lock between processes that ends with the one that holds it, however that ends.

SQLite's own file lock, on a database that stays empty: it is the same on every system.
"""

from __future__ import annotations

import errno
import os
import sqlite3
from pathlib import Path
from types import TracebackType
from typing import Self

from rollstave.outputs.own import check_own_file


def as_os_error(error: sqlite3.Error, path: Path | None = None) -> OSError:
    """What kept SQLite from a file, in the words that the system has for it."""
    words = str(error)
    if "full" in words:
        number, words = errno.ENOSPC, os.strerror(errno.ENOSPC)
    elif "readonly" in words:
        number, words = errno.EACCES, "it can only be read, not written"
    else:
        number = errno.EIO
    return OSError(number, words, None if path is None else str(path))


class Lock:
    """Locks a path. One thread of one process holds it; use as a context manager to wait for it.

    Raises OSError from :meth:`acquire` if the file cannot be made.
    """

    def __init__(self, path: Path) -> None:
        self._path = path
        self._connection: sqlite3.Connection | None = None

    def acquire(self, seconds: float) -> bool:
        """Wait up to ``seconds`` for the lock; false if another process keeps it."""
        check_own_file(str(self._path))
        try:
            self._connection = self._taken(seconds)
        except sqlite3.OperationalError as error:
            if "locked" in str(error):
                return False
            raise as_os_error(error, self._path) from error
        except sqlite3.DatabaseError:
            # What is in the file is no database. It is emptied and not replaced, so that whoever
            # comes at the same moment locks the same file; ours is always empty.
            os.truncate(self._path, 0)
            try:
                self._connection = self._taken(seconds)
            except sqlite3.Error as error:
                raise as_os_error(error, self._path) from error
        return True

    def _taken(self, seconds: float) -> sqlite3.Connection:
        connection = sqlite3.connect(
            self._path, timeout=seconds, isolation_level=None, check_same_thread=False
        )
        try:
            connection.execute("BEGIN EXCLUSIVE")
        except BaseException:
            connection.close()
            raise
        return connection

    def release(self) -> None:
        """Give the lock back. Does nothing if it is not held."""
        if self._connection is not None:
            self._connection.close()
            self._connection = None

    def __enter__(self) -> Self:
        if not self.acquire(_PATIENCE):
            raise TimeoutError(f"another run has kept {self._path} for {_PATIENCE:g} seconds")
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.release()


_PATIENCE = 120.0
