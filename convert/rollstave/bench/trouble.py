"""What keeps the bench from a file, in words, and the status of HTTP that goes with it."""

from __future__ import annotations

import errno

from rollstave.problems import TabError

# Statuses: RFC 9110, and RFC 4918 section 11.5 for 507.
_WORDS = {
    errno.ENOSPC: ("the disk is full", 507),
    errno.EDQUOT: ("your share of the disk is full", 507),
    errno.EFBIG: ("the disk takes no file as large as this", 507),
    errno.EROFS: ("the disk can only be read, not written", 403),
    errno.EACCES: ("the file or its folder is protected against this", 403),
    errno.EPERM: ("the file or its folder is protected against this", 403),
    errno.ENOENT: ("the file or its folder is gone", 404),
    errno.ENOTDIR: ("the file or its folder is gone", 404),
    errno.EISDIR: ("there is a folder in the file's place", 404),
    errno.EIO: ("the disk reports a fault", 503),
}


def in_words(error: TabError | OSError) -> tuple[str, int]:
    """Why a file cannot be read or written, and the status to answer with."""
    if isinstance(error, TabError):
        return "; ".join(problem.message for problem in error.problems), 422
    words = error.strerror or str(error)
    return _WORDS.get(error.errno or 0, (words, 503))
