"""How much work something is, counted and not timed, so that no machine is too slow for a test.

Work is the number of calls of functions, Python's own included (cProfile counts them). What one
call of Python's own does inside, a pattern over a long line above all, is not seen. For that there
is ``growth``: how many times as much of the processor four times the text takes, by the smallest of
several tries, since whatever else the machine does can only add to one. What it is in seconds is
measured in ``tests/benchmarks/growth.py``.
"""

from __future__ import annotations

import contextlib
import cProfile
import signal
import time
from collections.abc import Callable, Iterator

import rollstave

PATIENCE = 60  # seconds; what takes a moment on any machine is given up
LINEAR = 8.0  # four times the text: 4 is linear, 16 is quadratic
TRIES = 12


def calls(run: Callable[[], object]) -> int:
    """How many calls of functions a piece of work makes; a refusal of a text is an end too."""
    profile = cProfile.Profile()
    profile.enable()
    try:
        with contextlib.suppress(rollstave.TabError):
            run()
    finally:
        profile.disable()
    return sum(entry.callcount for entry in profile.getstats())


def growth(once: Callable[[], object], four_times: Callable[[], object]) -> float:
    """The ratio of two pieces of work in processor time; tried again while it is not linear."""
    ratio = float("inf")
    with patience():
        for _ in range(TRIES):
            ratio = min(ratio, _seconds(four_times) / _seconds(once))
            if ratio < LINEAR:
                break
    return ratio


def _seconds(run: Callable[[], object]) -> float:
    start = time.process_time()
    with contextlib.suppress(rollstave.TabError):
        run()
    return max(1e-6, time.process_time() - start)


@contextlib.contextmanager
def patience(seconds: int = PATIENCE) -> Iterator[None]:
    """Give up what would go on for ever, a pattern in the midst of a line too."""

    def give_up(*_: object) -> None:
        raise AssertionError(f"not done after {seconds} seconds")

    if not hasattr(signal, "SIGALRM"):
        yield
        return
    before = signal.signal(signal.SIGALRM, give_up)
    signal.alarm(seconds)
    try:
        yield
    finally:
        signal.alarm(0)
        signal.signal(signal.SIGALRM, before)
