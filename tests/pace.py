"""How slow this machine is at the moment, for tests with a bar in seconds.

A bar in seconds means a machine that nothing else runs on; where others share it, the same work
takes longer, and a test must not fail for that.
"""

from __future__ import annotations

import time

_USUAL = 0.06  # seconds for the loop below on a desk machine with Python 3.11, measured once


def slowness() -> float:
    """How many times as long a plain loop takes here and now as usual; 1 at least."""
    best = min(_loop() for _ in range(3))
    return max(1.0, best / _USUAL)


def _loop() -> float:
    start = time.process_time()
    total = 0
    for number in range(1_000_000):
        total += number * number
    assert total > 0
    return time.process_time() - start
