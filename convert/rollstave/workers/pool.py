"""A pool of worker processes that are replaced when they are lost."""

from __future__ import annotations

import contextlib
import multiprocessing
import multiprocessing.resource_tracker
import os
import pickle
import signal
import tempfile
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Future, InvalidStateError
from types import TracebackType
from typing import Any, Self, TypeVar

from pebble import ProcessExpired, ProcessPool

from rollstave.workers.inside import EXIT_MEMORY, GIGABYTE, notes_of, perform, prepare
from rollstave.workers.lost import CannotStart, WorkerLost

T = TypeVar("T")

# Measured: a worker that has written every format of every sample, music21, Verovio and Typst
# loaded, has 90 MB of data (VmData in /proc/self/status). The default leaves ten times as much.
DEFAULT_MEMORY = GIGABYTE
DEFAULT_SECONDS = 60.0
TASKS_PER_WORKER = 500  # then it is replaced, so that what a library leaks does not add up
_STARTS = 3  # how often a task is handed to a new pool before it is called lost

# What C++, Rust, Python and the loader write when an allocation fails.
_MEMORY_WORDS = ("bad_alloc", "memory allocation of", "memoryerror", "cannot allocate memory")


class Workers:
    """Runs picklable functions in ``count`` worker processes. Safe to use from several threads.

    ``seconds`` is the time limit of one task from when it is begun, ``memory`` the limit in bytes
    of a worker's data (None: no limit), ``tasks`` the number after which a worker is replaced (0:
    never). ``preload`` names modules that are imported once and shared by all workers. Workers do
    not hear Ctrl-C: it is the parent's. They end with the ``with`` block or :meth:`close`.
    """

    def __init__(
        self,
        count: int | None = None,
        *,
        seconds: float = DEFAULT_SECONDS,
        memory: int | None = DEFAULT_MEMORY,
        tasks: int = TASKS_PER_WORKER,
        preload: Sequence[str] = (),
    ) -> None:
        self.count = count or cores()
        self.seconds = seconds
        self._memory = memory
        self._tasks = tasks
        self._context = _context(preload)
        self._notes = tempfile.TemporaryDirectory(prefix="rollstave-", ignore_cleanup_errors=True)
        self._lock = threading.RLock()
        self._closed = False
        self._under_way: set[Future[Any]] = set()
        self._pool = self._new_pool()

    def submit(self, function: Callable[..., T], *arguments: Any) -> Future[T]:
        """Begin ``function(*arguments)`` in a worker. Both must be picklable.

        The future gives its result, raises what it raised, or :exc:`WorkerLost`. Raises
        RuntimeError if the workers are closed, :exc:`CannotStart` if there can be none.
        """
        future: Future[T] = Future()
        self._under_way.add(future)
        future.add_done_callback(self._under_way.discard)
        self._schedule(future, function, arguments, _STARTS)
        return future

    def restart(self) -> None:
        """End all workers and start others. Tasks under way are lost (:exc:`WorkerLost`)."""
        with self._lock:
            old, self._pool = self._pool, self._new_pool()
            lost = list(self._under_way)
        _stop(old)
        self._give_up(lost)

    def close(self) -> None:
        """End all workers; tasks that are not done are lost (:exc:`WorkerLost`)."""
        with self._lock:
            if self._closed:
                return
            self._closed = True
        _stop(self._pool)
        self._give_up(list(self._under_way))
        self._notes.cleanup()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        self.close()

    @staticmethod
    def _give_up(futures: list[Future[Any]]) -> None:
        """A pool that is stopped says nothing of its tasks."""
        for future in futures:
            _fail(future, WorkerLost("died", "the workers were stopped"))

    def _new_pool(self) -> ProcessPool:
        return ProcessPool(
            max_workers=self.count,
            max_tasks=self._tasks,
            initializer=prepare,
            initargs=(self._memory, self._notes.name),
            context=self._context,
        )

    def _schedule(
        self, future: Future[T], function: Callable[..., T], arguments: tuple[Any, ...], starts: int
    ) -> None:
        with self._lock:
            if self._closed:
                raise RuntimeError("these workers are closed")
            task = self._handed_out(function, arguments)

        def done(finished: Future[Any]) -> None:
            error = None if finished.cancelled() else finished.exception()
            if finished.cancelled():
                _fail(future, WorkerLost("died", "the workers were stopped"))
            elif error is None:
                self._deliver(future, finished.result())
            elif type(error).__name__ == "BrokenProcessPool" and starts > 1:
                # From a thread of its own: this one belongs to the pool that broke.
                again = (future, function, arguments, starts - 1)
                threading.Thread(target=self._again, args=again, daemon=True).start()
            else:
                _fail(future, self._why(error))

        task.add_done_callback(done)

    def _handed_out(self, function: Callable[..., Any], arguments: tuple[Any, ...]) -> Future[Any]:
        """The pool's own future of a task. Raises CannotStart if a new pool has no workers too."""
        try:
            return self._scheduled(function, arguments)
        except (BrokenExecutor, OSError):
            pass
        try:
            return self._scheduled(function, arguments)
        except (BrokenExecutor, OSError) as error:
            cause = error.__cause__ or error
            reason = getattr(cause, "strerror", None) or str(cause) or type(cause).__name__
            raise CannotStart(reason) from error

    def _scheduled(self, function: Callable[..., Any], arguments: tuple[Any, ...]) -> Future[Any]:
        with _interrupt_blocked():
            if not self._pool.active:  # idle workers were killed: pebble calls that broken
                broken, self._pool = self._pool, self._new_pool()
                threading.Thread(target=_stop, args=(broken,), daemon=True).start()
            task: Future[Any] = self._pool.schedule(
                perform, args=(function, arguments), timeout=self.seconds
            )
        return task

    def _again(
        self, future: Future[T], function: Callable[..., T], arguments: tuple[Any, ...], starts: int
    ) -> None:
        try:
            self._schedule(future, function, arguments, starts)
        except RuntimeError as error:
            _fail(future, WorkerLost("died", str(error)))

    def _deliver(self, future: Future[T], data: bytes) -> None:
        try:
            good, value = pickle.loads(data)
        except Exception as error:
            good, value = False, error
        if not good:
            _fail(future, value)
        else:
            with contextlib.suppress(InvalidStateError):
                future.set_result(value)

    def _why(self, error: BaseException) -> BaseException:
        """The pool's error as ours."""
        if isinstance(error, ProcessExpired):
            words = self._last_words(error.pid)
            if error.exitcode == EXIT_MEMORY or any(w in words.lower() for w in _MEMORY_WORDS):
                return WorkerLost("too much memory")
            return WorkerLost("died", _ending(error.exitcode))
        if isinstance(error, TimeoutError):
            return WorkerLost("too slow", f"not done after {self.seconds:g} seconds")
        if type(error).__name__ == "BrokenProcessPool":
            return WorkerLost("died", "worker processes do not stay alive")
        return error

    def _last_words(self, pid: int | None) -> str:
        if pid is None:
            return ""
        path = notes_of(self._notes.name, pid)
        try:
            with path.open("rb") as stream:
                stream.seek(max(0, path.stat().st_size - 4096))
                words = stream.read().decode("utf-8", "replace")
            path.unlink()
        except OSError:
            return ""
        return words


def cores() -> int:
    """How many processors this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _context(preload: Sequence[str]) -> Any:
    """How processes are started: never a fork of the parent, which may have threads."""
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["rollstave.workers.quiet", *preload])
    return context


@contextlib.contextmanager
def _interrupt_blocked() -> Iterator[None]:
    """Start processes deaf to Ctrl-C from their first moment: they inherit the blocked signal.

    A worker ignores it once it is set up, but Ctrl-C may come while it still imports.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    # Python's own helper process first: starting it would unblock the signal in this thread.
    multiprocessing.resource_tracker.ensure_running()
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _stop(pool: ProcessPool) -> None:
    pool.stop()  # type: ignore[no-untyped-call]
    with contextlib.suppress(RuntimeError, OSError):
        pool.join()


def _fail(future: Future[Any], error: BaseException) -> None:
    with contextlib.suppress(InvalidStateError):  # cancelled, or given up before
        future.set_exception(error)


def _ending(code: int) -> str:
    """``killed by SIGABRT`` or ``exit code 3``."""
    if code >= 0:
        return f"exit code {code}"
    with contextlib.suppress(ValueError):
        return f"ended by {signal.Signals(-code).name}"
    return f"ended by signal {-code}"
