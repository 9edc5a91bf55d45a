"""What the workers of the tests are given to do."""

from __future__ import annotations

import os
import signal
import time
from pathlib import Path
from typing import Any


def add(a: int, b: int) -> int:
    return a + b


def pid() -> int:
    return os.getpid()


def abort() -> None:
    os.abort()


def leave(code: int) -> None:
    os._exit(code)


def sleep(seconds: float) -> str:
    time.sleep(seconds)
    return "awake"


def allocate(megabytes: int) -> int:
    return len(bytearray(megabytes * 1024 * 1024))


def allocate_natively(megabytes: int) -> None:
    """Fails as a C++ library does: its last words, then an abort."""
    os.write(2, b"terminate called after throwing an instance of 'std::bad_alloc'\n")
    os.abort()


def quarrel() -> None:
    raise ValueError("no such fret")


class Awkward(Exception):
    """An exception that pickle cannot put together again."""

    def __init__(self, one: str, two: str) -> None:
        super().__init__(f"{one} and {two}")


def awkward() -> None:
    raise Awkward("this", "that")


def unpicklable() -> Any:
    return lambda: None


def interrupt_itself() -> str:
    os.kill(os.getpid(), signal.SIGINT)
    time.sleep(0.05)
    return "still here"


def mark_and_sleep(path: str, seconds: float) -> None:
    Path(path).write_text(str(os.getpid()), encoding="ascii")
    time.sleep(seconds)
