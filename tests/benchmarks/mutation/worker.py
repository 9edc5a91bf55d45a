"""Runs the tests on one mutant after the other, in a process of its own for each.

Two processes wait for mutants. One has collected all tests: each of its forks only puts the fault
into the functions that are loaded (``swapping.py``) and runs tests. The other has imported the
libraries and nothing of the project: its forks collect tests anew.
"""

from __future__ import annotations

import os
import resource
import signal
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from functools import partial
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path

import msgspec
import pytest
from msgspec import Struct
from tests.benchmarks.mutation import swapping

# Whatever tests import and no mutant changes.
_LIBRARIES = ("lxml.etree", "mido", "music21", "partitura", "verovio", "hypothesis")
_ONE_TEST = 20.0  # seconds of the processor after which a test is taken to run for ever
_MOST_WAITING = 60  # times the seconds that tests may work, for tests that wait
_STORE = "ROLLSTAVE_TESTS_STORE"  # tests/sheets.py: each mutant engraves its own sheets
NOT_COLLECTED = "(not collected)"
_SURVIVED, _KILLED, _STOPPED, _NOT_SWAPPED = 0, 1, 2, 3


class Job(Struct, frozen=True):
    """A module, its text without and with the fault, and tests, or files and folders of them, in
    the order in which they are to run. Where nothing is different, all that fail are told."""

    path: str
    before: str
    after: str
    tests: tuple[str, ...]
    seconds: float
    fresh: bool = False  # the tests are to be collected anew


class Verdict(Struct, frozen=True):
    """``killed``, ``timed out``, ``survived``, or ``stopped`` where the seconds were over first."""

    name: str
    tests: tuple[str, ...] = ()  # those that failed


_JOBS = msgspec.msgpack.Decoder(Job)


def serve(tree: Path, work: Connection, everything: Sequence[str]) -> None:
    """Answer each :class:`Job` with its :class:`Verdict`, both as msgpack; no bytes end it."""
    os.setpgid(0, 0)
    _prepare(tree)
    ours, theirs = Pipe()
    if os.fork() == 0:
        work.close()
        ours.close()
        _pytest(tree, everything, _Collected(tree, theirs))
        os._exit(0)
    theirs.close()
    # If whoever asks has ended, so does this.
    with suppress(EOFError):
        # No fault is put into the tree while modules are still imported from it.
        ours.recv_bytes()
        while words := work.recv_bytes():
            job, verdict = _JOBS.decode(words), None
            same = job.before == job.after
            if not job.fresh and (same or swapping.pairs_of(job.before, job.after, "")):
                ours.send_bytes(words)
                verdict = msgspec.msgpack.decode(ours.recv_bytes(), type=Verdict | None)
            verdict = verdict or _in_a_fork(tree, job, partial(_collect, tree, job))
            work.send_bytes(msgspec.msgpack.encode(verdict))
    ours.close()


def _prepare(tree: Path) -> None:
    os.chdir(tree)
    paths = [str(tree), str(tree / "convert"), str(tree / "plugins")]
    # Also before an editable installation of the project, which would take its own folder.
    sys.meta_path[:] = [f for f in sys.meta_path if "__editable__" not in repr(f)]
    sys.path[:] = paths + [p for p in sys.path if p not in ("", os.getcwd())]
    for name in _LIBRARIES:
        with suppress(ImportError):
            __import__(name)
    for name in [n for n in sys.modules if n.partition(".")[0] in ("tests", "rollstave")]:
        del sys.modules[name]
    sys.dont_write_bytecode = True
    os.environ["PYTHONDONTWRITEBYTECODE"] = "1"
    os.environ["PYTHONPATH"] = os.pathsep.join(paths)
    os.environ["ROLLSTAVE_PLUGIN_SECONDS"] = "600"  # a busy machine leaves no plugin out
    said = os.open(tree.parent / "said.txt", os.O_WRONLY | os.O_CREAT | os.O_APPEND)
    os.dup2(said, 1)
    os.dup2(said, 2)


def _pytest(tree: Path, tests: Sequence[str], plugin: object) -> int:
    there = [t for t in dict.fromkeys(tests) if (tree / t.partition("::")[0]).exists()]
    options = ["-q", "-p", "no:cacheprovider", "--tb=no", f"--basetemp={tree.parent / 'tests'}"]
    return int(pytest.main([*options, *there], plugins=[plugin]))


def _collect(tree: Path, job: Job) -> int:
    files = [test.partition("::")[0] for test in job.tests]
    runner = _Fresh(tree, job)
    _pytest(tree, files, runner)
    return runner.code


def _in_a_fork(tree: Path, job: Job, run: Callable[[], int]) -> Verdict | None:
    """What a process says that runs tests while the fault is in the tree; None: it had none."""
    told = tree.parent / "told.txt"
    told.write_text("", encoding="utf-8")
    with _written(tree / job.path, job), tempfile.TemporaryDirectory(dir=tree.parent) as store:
        child = os.fork()
        if child == 0:
            os.setpgid(0, 0)
            os.environ[_STORE] = store
            most = int(time.process_time() + job.seconds + _ONE_TEST) + 1
            resource.setrlimit(resource.RLIMIT_CPU, (most, most + 5))
            code = _KILLED
            try:
                code = run()
            finally:
                os._exit(code)
        code = _awaited(child, _MOST_WAITING * job.seconds + _ONE_TEST)
        with suppress(ProcessLookupError):
            os.killpg(child, signal.SIGKILL)
    tests = tuple(told.read_text("utf-8").splitlines())
    if code == _NOT_SWAPPED:
        return None
    if code in (-signal.SIGPROF, -signal.SIGXCPU):
        return Verdict("timed out")
    # Whether a test waits for ever or the machine is busy, nobody can tell: nothing was noticed.
    names = {_SURVIVED: "survived", _STOPPED: "stopped", -signal.SIGKILL: "stopped"}
    return Verdict(names.get(code, "killed"), tests if code == _KILLED else ())


@contextmanager
def _written(target: Path, job: Job) -> Iterator[None]:
    """The fault stands in the file, too, for processes that a test starts."""
    if job.before == job.after:
        yield
        return
    old, times = target.read_bytes(), target.stat()
    target.write_text(job.after, encoding="utf-8")
    # A time of long ago, so that no compiled file can pass for this one.
    os.utime(target, (1, 1))
    try:
        yield
    finally:
        target.write_bytes(old)
        os.utime(target, ns=(times.st_atime_ns, times.st_mtime_ns))


def _awaited(child: int, seconds: float) -> int:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        done, status = os.waitpid(child, os.WNOHANG)
        if done:
            return os.waitstatus_to_exitcode(status)
        time.sleep(0.05)
    os.killpg(child, signal.SIGKILL)
    os.waitpid(child, 0)
    return -signal.SIGKILL


class _Runner:
    """A plugin of pytest that runs tests in the order of a job, until one fails."""

    def __init__(self, tree: Path) -> None:
        self.tree = tree
        self.failed = False

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.failed = self.failed or report.failed

    def run(self, items: Sequence[pytest.Item], job: Job) -> int:
        """How it went, as an exit code. A test that works for too long ends the process."""
        begun = time.process_time()
        chosen = _ordered(items, job.tests)
        same = job.before == job.after
        any_failed = False
        for item, after in zip(chosen, [*chosen[1:], None], strict=True):
            if time.process_time() - begun > job.seconds:
                return _STOPPED
            self.failed = False
            signal.setitimer(signal.ITIMER_PROF, _ONE_TEST)
            item.config.hook.pytest_runtest_protocol(item=item, nextitem=after)
            signal.setitimer(signal.ITIMER_PROF, 0)
            if self.failed:
                any_failed = True
                self.tell(item.nodeid)
                if not same:
                    break
        return _KILLED if any_failed else _SURVIVED

    def tell(self, words: str) -> None:
        with (self.tree.parent / "told.txt").open("a", encoding="utf-8") as told:
            told.write(words + "\n")


def _ordered(items: Sequence[pytest.Item], tests: Sequence[str]) -> list[pytest.Item]:
    """The items that tests, files and folders name, each once, in their order; those of a file or
    folder after ``?`` are the ones that are not named themselves."""
    by_name: dict[str, list[pytest.Item]] = {}
    for item in items:
        file = item.nodeid.partition("::")[0]
        folders = [parent.as_posix() for parent in Path(file).parents]
        for name in (item.nodeid, file, *folders):
            by_name.setdefault(name, []).append(item)
    named = set(tests)
    found: dict[pytest.Item, None] = {}
    for test in tests:
        items = by_name.get(test.removeprefix("?"), [])
        found |= dict.fromkeys(i for i in items if test[0] != "?" or i.nodeid not in named)
    return list(found)


class _Fresh(_Runner):
    """Collects the tests of one job and runs them."""

    def __init__(self, tree: Path, job: Job) -> None:
        super().__init__(tree)
        self.job = job
        self.code = _KILLED  # unless it comes to running tests

    def pytest_collectreport(self, report: pytest.CollectReport) -> None:
        if report.failed:
            self.tell(f"{report.nodeid} {NOT_COLLECTED}")

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        self.code = _KILLED if session.testsfailed else self.run(session.items, self.job)
        return True


class _Collected(_Runner):
    """Collects all tests once, and waits for jobs."""

    def __init__(self, tree: Path, work: Connection) -> None:
        super().__init__(tree)
        self.work = work

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        with suppress(EOFError):
            self.work.send_bytes(b"collected")
            while True:
                job = _JOBS.decode(self.work.recv_bytes())
                verdict = _in_a_fork(self.tree, job, partial(self._swapped, session.items, job))
                self.work.send_bytes(msgspec.msgpack.encode(verdict))
        return True

    def _swapped(self, items: Sequence[pytest.Item], job: Job) -> int:
        if job.before != job.after:
            pairs = swapping.pairs_of(job.before, job.after, str(self.tree / job.path))
            if not pairs or not swapping.swap(pairs):
                return _NOT_SWAPPED
        return self.run(items, job)
