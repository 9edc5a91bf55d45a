"""How many seconds the reading of 100 kB takes, and how that grows, text by text.

``python -m tests.benchmarks.growth [PART ...]`` reads the texts of tests/reading/test_limits.py and
test_nothing_lost.py (those whose names have one of the PARTs in them) at 100 kB and at 400 kB. The
project's limit is two seconds for 100 kB on one core of an old machine; a growth of 4 is linear.
It asserts nothing: the tests count work instead (tests/work.py).
"""

from __future__ import annotations

import contextlib
import sys
import time
from collections.abc import Callable

from tests.reading.test_limits import GROWING
from tests.reading.test_nothing_lost import LARGE, account

import rollstave

SIZE = 100_000  # bytes
LIMIT = 2.0  # seconds


def _seconds(run: Callable[[], object], tries: int = 3) -> float:
    found = []
    for _ in range(tries):
        start = time.process_time()
        with contextlib.suppress(rollstave.TabError):
            run()
        found.append(time.process_time() - start)
    return min(found)


def _of_size(make: Callable[[int], str], size: int, wanted: int) -> str:
    return make(max(1, size * wanted // max(1, len(make(size).encode()))))


def main(parts: list[str]) -> None:
    read = [(f"all: {n}", rollstave.read, make, size) for n, (make, size) in GROWING.items()]
    grid = [(f"grid: {n}", account, make, 10_000) for n, make in LARGE.items()]
    for name, run, make, size in (*read, *grid):
        if parts and not any(part in name for part in parts):
            continue
        once, four = (_of_size(make, size, wanted) for wanted in (SIZE, 4 * SIZE))
        short, long = _seconds(lambda: run(once)), _seconds(lambda: run(four), tries=1)  # noqa: B023
        over = "  over the limit" if short > LIMIT else ""
        print(f"{name:32} {short:6.2f} s  growth {long / short:5.1f}{over}", flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
