"""What runs inside a worker process: its limits, and one task after another.

Results travel as bytes that were pickled and, for exceptions, unpickled once here already: an
exception that cannot be put together again would otherwise break the whole pool in the parent.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import pickle
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

MEGABYTE = 1024 * 1024
GIGABYTE = 1024 * MEGABYTE

EXIT_MEMORY = 87  # exit code of a worker that met its limit; any number that nothing else uses


def prepare(memory: int | None, notes: str) -> None:
    """Set a worker up: deaf to Ctrl-C, its error output in a file of its own, memory limited.

    ``memory`` is in bytes; ``notes`` is the folder where ``PID.txt`` gets what is written to
    standard error, by Python or by a library's last words in ``abort``.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    _end_with_parent()
    path = notes_of(notes, os.getpid())
    with contextlib.suppress(OSError):
        handle = os.open(path, os.O_CREAT | os.O_WRONLY | os.O_APPEND, 0o600)
        os.dup2(handle, 2)
        os.close(handle)
    if memory is not None:
        limit_memory(memory)


def notes_of(folder: str, pid: int) -> Path:
    """Where the worker with this process id leaves its last words."""
    return Path(folder) / f"{pid}.txt"


def limit_memory(size: int) -> None:
    """Allow this process ``size`` bytes of data. Without effect where the system has no such limit.

    The limit is on data (RLIMIT_DATA: heap and private writable mappings), not on addresses: fonts
    and libraries that are mapped read-only cost nothing. Where only RLIMIT_AS works (Linux before
    4.7), it is too coarse to use.
    """
    if sys.platform == "win32":
        return
    import resource

    _, hard = resource.getrlimit(resource.RLIMIT_DATA)
    wanted = size if hard == resource.RLIM_INFINITY else min(size, hard)
    resource.setrlimit(resource.RLIMIT_DATA, (wanted, hard))


def _end_with_parent() -> None:
    """End this process when the one that started it ends, however that ends.

    The sentinel is a pipe of which only the parent holds the other end. The kernel is asked for a
    SIGIO when that closes, whose default is to terminate: no Python has to run for it, so a worker
    that hangs in a library ends too.
    """
    parent = multiprocessing.parent_process()
    if parent is None or sys.platform == "win32":
        return
    import fcntl

    with contextlib.suppress(OSError, AttributeError):
        signal.signal(signal.SIGIO, signal.SIG_DFL)
        fcntl.fcntl(parent.sentinel, fcntl.F_SETOWN, os.getpid())
        flags = fcntl.fcntl(parent.sentinel, fcntl.F_GETFL)
        fcntl.fcntl(parent.sentinel, fcntl.F_SETFL, flags | os.O_ASYNC)
    if not parent.is_alive():
        os._exit(1)


def perform(function: Callable[..., Any], arguments: tuple[Any, ...]) -> bytes:
    """Run one task; its pickled result, ``(True, value)`` or ``(False, exception)``.

    A task that meets the memory limit ends the process, because its heap is of no more use.
    """
    try:
        return pickle.dumps((True, function(*arguments)))
    except MemoryError:
        os._exit(EXIT_MEMORY)
    except Exception as error:
        return _pickled_error(error)


def _pickled_error(error: Exception) -> bytes:
    try:
        data = pickle.dumps((False, error))
        pickle.loads(data)
    except Exception:
        return pickle.dumps((False, RuntimeError(f"{type(error).__name__}: {error}")))
    return data
