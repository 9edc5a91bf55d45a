"""Workers are lost one at a time, with a reason, and replaced.

What a lost process looks like is POSIX: SIGABRT from abort(3), RLIMIT_DATA from setrlimit(2).
"""

from __future__ import annotations

import asyncio
import contextlib
import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from rollstave.workers import MEGABYTE, WorkerLost, Workers
from tests.workers import tasks

WAIT = 60


@pytest.fixture(scope="module")
def workers() -> Iterator[Workers]:
    with Workers(2, seconds=WAIT, memory=300 * MEGABYTE) as found:
        yield found


def reason_of(workers: Workers, function: object, *arguments: object) -> str:
    with pytest.raises(WorkerLost) as caught:
        workers.submit(function, *arguments).result(WAIT)  # type: ignore[arg-type]
    assert workers.submit(tasks.add, 2, 3).result(WAIT) == 5, "the next task is done"
    return caught.value.reason


def test_a_result_and_another_process(workers: Workers) -> None:
    assert workers.submit(tasks.add, 2, 3).result(WAIT) == 5
    assert workers.submit(tasks.pid).result(WAIT) != os.getpid()


def test_an_abort(workers: Workers) -> None:
    assert reason_of(workers, tasks.abort) == "died"


def test_the_detail_names_the_signal(workers: Workers) -> None:
    with pytest.raises(WorkerLost, match=r"died: ended by SIGABRT"):
        workers.submit(tasks.abort).result(WAIT)
    with pytest.raises(WorkerLost, match=r"died: exit code 3"):
        workers.submit(tasks.leave, 3).result(WAIT)


def test_the_time_limit() -> None:
    """A task that would take an hour ends by the limit: nobody waited for its own end."""
    with Workers(1, seconds=3.0) as workers:
        assert workers.submit(tasks.add, 1, 1).result(WAIT) == 2
        assert reason_of(workers, tasks.sleep, 3600) == "too slow"


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the limit is one of Linux")
def test_the_memory_limit(workers: Workers) -> None:
    assert workers.submit(tasks.allocate, 100).result(WAIT) == 100 * MEGABYTE
    assert reason_of(workers, tasks.allocate, 400) == "too much memory"


def test_a_librarys_last_words_about_memory(
    workers: Workers, capfd: pytest.CaptureFixture[str]
) -> None:
    assert reason_of(workers, tasks.allocate_natively, 1) == "too much memory"
    assert "bad_alloc" not in capfd.readouterr().err, "they are not for the user's terminal"


def test_exceptions_come_back(workers: Workers) -> None:
    with pytest.raises(ValueError, match="no such fret"):
        workers.submit(tasks.quarrel).result(WAIT)
    with pytest.raises(RuntimeError, match="Awkward: this and that"):
        workers.submit(tasks.awkward).result(WAIT)
    with pytest.raises((RuntimeError, AttributeError), match="pickle"):
        workers.submit(tasks.unpicklable).result(WAIT)
    assert workers.submit(tasks.add, 1, 1).result(WAIT) == 2


def test_one_lost_among_many(workers: Workers) -> None:
    futures = [
        workers.submit(tasks.abort) if n % 10 == 7 else workers.submit(tasks.add, n, 1)
        for n in range(40)
    ]
    lost, found = [], []
    for number, future in enumerate(futures):
        try:
            found.append((number, future.result(WAIT)))
        except WorkerLost:
            lost.append(number)
    assert lost == [7, 17, 27, 37]
    assert found == [(n, n + 1) for n in range(40) if n % 10 != 7]


def test_idle_workers_killed_from_outside(workers: Workers) -> None:
    for _ in range(3):
        pids = {workers.submit(tasks.pid).result(WAIT) for _ in range(8)}
        for pid in pids:
            with contextlib.suppress(ProcessLookupError):
                os.kill(pid, signal.SIGKILL)
        time.sleep(0.3)
        assert workers.submit(tasks.add, 4, 5).result(WAIT) == 9


def test_from_threads(workers: Workers) -> None:
    sums: list[int] = []

    def use(n: int) -> None:
        sums.append(workers.submit(tasks.add, n, n).result(WAIT))

    threads = [threading.Thread(target=use, args=(n,)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(WAIT)
    assert sorted(sums) == [2 * n for n in range(8)]


def test_from_async_code(workers: Workers) -> None:
    async def use() -> int:
        return await asyncio.wrap_future(workers.submit(tasks.add, 20, 22))

    found: list[int] = []
    # In a thread of its own: a browser of another test may have a loop running in this one.
    thread = threading.Thread(target=lambda: found.append(asyncio.run(use())))
    thread.start()
    thread.join(WAIT)
    assert found == [42]


def test_workers_do_not_hear_an_interrupt(workers: Workers) -> None:
    assert workers.submit(tasks.interrupt_itself).result(WAIT) == "still here"


def test_workers_are_replaced_after_some_tasks() -> None:
    with Workers(1, tasks=2) as few:
        pids = [few.submit(tasks.pid).result(WAIT) for _ in range(6)]
    assert len(set(pids)) == 3


def test_closed_workers_say_so_and_leave_nothing_running() -> None:
    workers = Workers(1)
    pid = workers.submit(tasks.pid).result(WAIT)
    waiting = workers.submit(tasks.sleep, 30)
    workers.close()
    with pytest.raises(RuntimeError, match="closed"):
        workers.submit(tasks.add, 1, 2)
    with pytest.raises(WorkerLost):
        waiting.result(WAIT)
    assert gone(pid)


PARENT = """
import sys
from rollstave.workers import Workers
from tests.workers import tasks
if __name__ == "__main__":
    workers = Workers(1, seconds=300)
    workers.submit(tasks.mark_and_sleep, sys.argv[1], 300).result()
"""


@pytest.mark.skipif(os.name == "nt", reason="signals of POSIX")
@pytest.mark.parametrize("sign", [signal.SIGKILL, signal.SIGINT])
def test_workers_end_with_their_parent(tmp_path: Path, sign: signal.Signals) -> None:
    script = tmp_path / "parent.py"
    script.write_text(PARENT, encoding="utf-8")
    mark = tmp_path / "pid"
    root = Path(__file__).parents[2]
    parent = subprocess.Popen(
        [sys.executable, str(script), str(mark)],
        env={**os.environ, "PYTHONPATH": str(root)},
        stderr=subprocess.DEVNULL,
        # A shell that runs the tests in the background has its children ignore Ctrl-C.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.default_int_handler),
    )
    wait_for(lambda: mark.exists() and mark.read_text())
    worker = int(mark.read_text())
    assert not gone(worker, patience=0)
    parent.send_signal(sign)
    parent.wait(WAIT)
    assert gone(worker)


def wait_for(condition: object, patience: float = WAIT) -> None:
    end = time.monotonic() + patience
    while not condition():  # type: ignore[operator]
        assert time.monotonic() < end, "waited too long"
        time.sleep(0.05)


def gone(pid: int, patience: float = WAIT) -> bool:
    """True if no living process has this id, after some patience."""
    end = time.monotonic() + patience
    while True:
        try:
            os.kill(pid, 0)
            with contextlib.suppress(OSError):
                # A zombie whose parent has not looked yet has ended too.
                state = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()[0]
                if state == "Z":
                    return True
        except ProcessLookupError:
            return True
        if time.monotonic() > end:
            return False
        time.sleep(0.05)
