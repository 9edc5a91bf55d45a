"""What a second core is worth: ``python -m tests.benchmarks.archive_cores [TUNES [ROUNDS]]``.

Converts TUNES (500) generated tunes with ``--jobs 1`` and ``--jobs 2``, turn and turn about for
ROUNDS (1), and prints the ratio of the times; the aim is 1.7. The load of the machine before and
after is printed too: on one with other work to do the ratio says nothing.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

from tests.benchmarks.archive_tunes import fill


def seconds(tabs: Path, out: Path, jobs: int) -> float:
    """How long one run takes, its start and its reports included."""
    command = [sys.executable, "-m", "rollstave", "convert", str(tabs), "--out", str(out)]
    start = time.perf_counter()
    subprocess.run([*command, "--jobs", str(jobs)], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def main(count: int, rounds: int) -> None:
    load = os.getloadavg()[0]
    with tempfile.TemporaryDirectory(prefix="archive-") as name:
        folder = Path(name)
        fill(folder / "tabs", count)
        times: dict[int, list[float]] = {1: [], 2: []}
        for turn in range(rounds):
            for jobs in times:
                out = folder / f"out-{turn}-{jobs}"
                times[jobs].append(seconds(folder / "tabs", out, jobs))
    one, two = median(times[1]), median(times[2])
    print(f"{count} tunes: one core {one:.1f} s, two cores {two:.1f} s: {one / two:.2f} times")
    print(f"load of the machine before: {load:.1f}, after: {os.getloadavg()[0]:.1f} (2 are ours)")


if __name__ == "__main__":
    numbers = [int(a) for a in sys.argv[1:]]
    main(numbers[0] if numbers else 500, numbers[1] if len(numbers) > 1 else 1)
