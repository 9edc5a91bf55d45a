"""Memory of a run over many tunes: ``python -m tests.benchmarks.archive_memory [TUNES [FORMATS]]``.

Converts TUNES (10,000) generated tunes to FORMATS (musicxml,svg) and watches the resident memory
(RSS) of the run and of its workers. Prints the largest of each tenth of the run; flat means that
the last tenth is not above the second (the first has the imports). Needs psutil.
"""

from __future__ import annotations

import contextlib
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import psutil
from tests.benchmarks.archive_tunes import fill

MB = 1024 * 1024


def main(count: int, formats: str) -> None:
    with tempfile.TemporaryDirectory(prefix="archive-") as name:
        folder = Path(name)
        fill(folder / "tabs", count)
        out = folder / "out"
        command = [sys.executable, "-m", "rollstave", "convert", str(folder / "tabs")]
        start = time.monotonic()
        parent = psutil.Popen(
            [*command, "--out", str(out), "--to", formats], stdout=subprocess.DEVNULL
        )
        samples = watch(parent, out, count)
        spent = time.monotonic() - start
        code = parent.wait()
        sizes = [(out / f"report.{e}").stat().st_size / MB for e in ("html", "json")]
    print(f"{count} tunes to {formats}: {spent:.0f} s, exit code {code}")
    print("tenth  run, MB  largest worker, MB")
    for tenth in sorted(samples):
        own, workers = samples[tenth]
        print(f"{tenth + 1:5}  {own / MB:7.0f}  {workers / MB:18.0f}")
    print(f"report.html {sizes[0]:.1f} MB, report.json {sizes[1]:.1f} MB")


def watch(parent: psutil.Popen, out: Path, count: int) -> dict[int, tuple[int, int]]:
    """The largest RSS of the run and of any worker, in bytes, for each tenth of the tunes."""
    found: dict[int, tuple[int, int]] = {}
    ending = "*.musicxml"
    while parent.poll() is None:
        done = len(list(out.rglob(ending))) if out.exists() else 0
        tenth = min(9, 10 * done // count)
        own, workers = found.get(tenth, (0, 0))
        with contextlib.suppress(psutil.Error):
            own = max(own, parent.memory_info().rss)
            for child in parent.children(recursive=True):
                with contextlib.suppress(psutil.Error):
                    workers = max(workers, child.memory_info().rss)
        found[tenth] = (own, workers)
        time.sleep(0.5)
    return found


if __name__ == "__main__":
    main(
        int(sys.argv[1]) if len(sys.argv) > 1 else 10_000,
        sys.argv[2] if len(sys.argv) > 2 else "musicxml,svg",
    )
