"""Runs the tests on one mutant after the other, in a process of its own for each.

The libraries are imported once, and each process is a fork that has them already.
"""

from __future__ import annotations

import io
import os
import resource
import signal
import sys
import time
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout, suppress
from multiprocessing.connection import Connection
from pathlib import Path

# Whatever tests import and no mutant changes.
_LIBRARIES = ("lxml.etree", "mido", "music21", "partitura", "verovio", "hypothesis")


_MOST_WAITING = 8  # times the seconds that tests may work, for tests that wait


def serve(tree: Path, work: Connection) -> None:
    """Answer each ``(module, code, tests, seconds)`` with ``(verdict, words)``; None ends it."""
    os.setpgid(0, 0)
    with suppress(ImportError):
        for name in _LIBRARIES:
            __import__(name)
    # If whoever asks has ended, so does this.
    with suppress(EOFError):
        while (job := work.recv()) is not None:
            path, code, tests, seconds = job
            work.send(_judged(tree, path, code, tests, seconds))


def _judged(
    tree: Path, path: str, code: str, tests: Sequence[str], seconds: float
) -> tuple[str, str]:
    """``killed``, ``survived`` or ``timed out``; the test that failed."""
    target = tree / path
    old, times = target.read_bytes(), target.stat()
    target.write_text(code, encoding="utf-8")
    # A time of long ago, so that no compiled file can pass for this one.
    os.utime(target, (1, 1))
    try:
        return _run(tree, [t for t in tests if (tree / t.partition("::")[0]).exists()], seconds)
    finally:
        target.write_bytes(old)
        os.utime(target, ns=(times.st_atime_ns, times.st_mtime_ns))


def _run(tree: Path, tests: Sequence[str], seconds: float) -> tuple[str, str]:
    told = tree / "told.txt"
    told.unlink(missing_ok=True)
    child = os.fork()
    if child == 0:
        os.setpgid(0, 0)
        # Of the processor, so that a busy machine makes no difference.
        resource.setrlimit(resource.RLIMIT_CPU, (int(seconds), int(seconds) + 5))
        code = 3
        try:
            code = _tests(tree, tests, told)
        finally:
            os._exit(code)
    end = time.monotonic() + _MOST_WAITING * seconds
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            code = os.waitstatus_to_exitcode(status)
            if code in (-signal.SIGXCPU, -signal.SIGKILL):
                return ("timed out", "")
            return ("killed" if code else "survived", _first(told))
        time.sleep(0.05)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return ("timed out", "")


def _tests(tree: Path, tests: Sequence[str], told: Path) -> int:
    import pytest

    os.chdir(tree)
    paths = [str(tree), str(tree / "convert"), str(tree / "plugins")]
    # Also before an editable installation of the project, which would take its own folder.
    sys.meta_path[:] = [f for f in sys.meta_path if "__editable__" not in repr(f)]
    sys.path[:] = paths + [p for p in sys.path if p not in ("", os.getcwd())]
    for name in [n for n in sys.modules if n.partition(".")[0] in ("tests", "rollstave")]:
        del sys.modules[name]
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    os.environ["PYTHONPATH"] = os.pathsep.join(paths)
    words = io.StringIO()
    with redirect_stdout(words), redirect_stderr(words):
        code = pytest.main(["-x", "-q", "-p", "no:cacheprovider", "--tb=line", *tests])
    told.write_text(words.getvalue(), encoding="utf-8")
    return int(code)


def _first(told: Path) -> str:
    """The first test that failed."""
    if not told.exists():
        return "the process ended"
    lines = told.read_text("utf-8").splitlines()
    return next((n for n in lines if n.startswith(("FAILED", "ERROR"))), "")
