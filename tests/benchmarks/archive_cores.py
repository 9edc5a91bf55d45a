"""What a second core is worth: ``python -m tests.benchmarks.archive_cores [TUNES [ROUNDS]]``.

Converts TUNES (500) generated tunes with ``--jobs 1`` and ``--jobs 2``, turn and turn about for
ROUNDS (1), and prints the ratio of the times; the aim is 1.7. How busy the processors were is
printed too: on two, a run with one job alone keeps them 50% busy. Where it is much more, the
machine had other work to do and the ratio says nothing. Needs psutil.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path
from statistics import median

import psutil
from tests.benchmarks.archive_tunes import fill


def measure(tabs: Path, out: Path, jobs: int) -> tuple[float, float]:
    """How long one run takes in seconds, its start and its reports included, and how busy all
    processors were, in percent."""
    command = [sys.executable, "-m", "rollstave", "convert", str(tabs), "--out", str(out)]
    psutil.cpu_percent()
    start = time.perf_counter()
    subprocess.run([*command, "--jobs", str(jobs)], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start, psutil.cpu_percent()


def main(count: int, rounds: int) -> None:
    with tempfile.TemporaryDirectory(prefix="archive-") as name:
        folder = Path(name)
        fill(folder / "tabs", count)
        found: dict[int, list[tuple[float, float]]] = {1: [], 2: []}
        for turn in range(rounds):
            for jobs in found:
                out = folder / f"out-{turn}-{jobs}"
                found[jobs].append(measure(folder / "tabs", out, jobs))
    (one, busy_one), (two, busy_two) = (
        (median(s for s, _ in found[jobs]), median(b for _, b in found[jobs])) for jobs in (1, 2)
    )
    print(f"{count} tunes: one core {one:.1f} s, two cores {two:.1f} s: {one / two:.2f} times")
    print(f"processors busy: {busy_one:.0f}% with one job, {busy_two:.0f}% with two")


if __name__ == "__main__":
    numbers = [int(a) for a in sys.argv[1:]]
    main(numbers[0] if numbers else 500, numbers[1] if len(numbers) > 1 else 1)
