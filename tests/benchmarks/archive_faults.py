"""An archive under faults: afterwards every good tune is there, correct, once.

``python -m tests.benchmarks.archive_faults [TUNES]`` converts TUNES (1000) generated tunes while a
worker is killed every 50 tunes, the run itself at five random moments, and tabs vanish and change
underneath. Then one run goes through in peace, and its outputs are compared, byte for byte, with
those of a clean conversion. Exit code 1 if anything differs. Needs psutil.
"""

from __future__ import annotations

import contextlib
import json
import random
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

import psutil
from tests.benchmarks.archive_tunes import fill, text

EVERY = 50  # tunes between two killed workers
STOPS = 5  # how often the run itself is killed
COMMAND = [sys.executable, "-m", "rollstave", "convert"]


@dataclass
class Faults:
    """What is done to a run, by how many tunes it has done, and what was done so far."""

    tunes: list[Path]
    rng: random.Random
    workers_killed: int = 0
    runs_killed: int = 0
    vanished: set[Path] = field(default_factory=set)
    changed: set[Path] = field(default_factory=set)

    def __post_init__(self) -> None:
        count = len(self.tunes)
        self.stops = sorted(self.rng.sample(range(count // 20, count * 9 // 10), STOPS))
        self.next_kill = EVERY

    def touch_tabs(self) -> None:
        """Remove a tab and change two, wherever they are in the run's order."""
        gone, *other = self.rng.sample([t for t in self.tunes if t not in self.vanished], 3)
        gone.unlink()
        self.vanished.add(gone)
        for path in other:
            path.write_text(text(self.rng.randrange(10_000), seed=7), encoding="utf-8")
            self.changed.add(path)

    def kill_a_worker(self, parent: psutil.Process) -> None:
        """Kill one of the processes that the run's fork server has started."""
        with contextlib.suppress(psutil.Error):
            workers = [w for child in parent.children() for w in child.children()]
            if workers:
                self.rng.choice(workers).kill()
                self.workers_killed += 1


def main(count: int, formats: str = "musicxml,svg") -> int:
    """Run it in a temporary folder; 0 if all is well."""
    with tempfile.TemporaryDirectory(prefix="archive-") as folder:
        return _main(Path(folder), count, formats)


def _main(folder: Path, count: int, formats: str) -> int:
    tabs, out, clean = folder / "tabs", folder / "out", folder / "clean"
    faults = Faults(fill(tabs, count), random.Random(count))
    runs = 0
    start = time.monotonic()
    while True:
        runs += 1
        if _run_with_faults([*COMMAND, str(tabs), "--out", str(out), "--to", formats], out, faults):
            break
    faulty = time.monotonic() - start
    last = _convert(tabs, out, formats)
    _convert(tabs, clean, formats)
    return _compare(folder, faults, runs, faulty, last)


def _run_with_faults(command: list[str], out: Path, faults: Faults) -> bool:
    """One run; true if it came to its end."""
    parent = psutil.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    while parent.poll() is None:
        time.sleep(0.05)
        done = len(list(out.rglob("*.musicxml")))
        if done >= faults.next_kill:
            faults.next_kill = done + EVERY
            faults.kill_a_worker(parent)
            faults.touch_tabs()
        if faults.stops and done >= faults.stops[0]:
            faults.stops.pop(0)
            faults.runs_killed += 1
            parent.kill()
    return bool(parent.wait() >= 0)


def _convert(tabs: Path, out: Path, formats: str) -> str:
    """A run in peace; what it printed."""
    command = [*COMMAND, str(tabs), "--out", str(out), "--to", formats]
    return subprocess.run(command, capture_output=True, text=True, check=True).stdout


def _outputs(folder: Path) -> dict[str, bytes]:
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in folder.rglob("*")
        if p.is_file() and ".rollstave" not in p.parts and not p.name.startswith("report.")
    }


def _compare(folder: Path, faults: Faults, runs: int, seconds: float, last: str) -> int:
    good = {t.relative_to(folder / "tabs") for t in faults.tunes if t not in faults.vanished}
    found, wanted = _outputs(folder / "out"), _outputs(folder / "clean")
    told = json.loads((folder / "out" / "report.json").read_text(encoding="utf-8"))["tunes"]
    files = [t["file"] for t in told if t["status"] in ("done", "warned")]
    left = sorted(p.name for p in (folder / "out" / ".rollstave").iterdir())
    print(
        f"{len(faults.tunes)} tunes: {faults.workers_killed} workers killed, the run killed "
        f"{faults.runs_killed} times ({runs} runs, {seconds:.0f} s), {len(faults.vanished)} tabs "
        f"vanished, {len(faults.changed)} changed"
    )
    checks = {
        "every good tune is there": {str(Path(n).with_suffix("")) for n in found if "-" in n}
        >= {str(g.with_suffix("")) for g in good},
        "correct: the same bytes as a clean conversion": found == wanted,
        "once in the report": len(files) == len(set(files)) == len(good),
        "nothing half written is left": left == ["lock", "state.sqlite"]
        and not [p for p in (folder / "out").rglob(".*") if p.name != ".rollstave"],
    }
    for words, holds in checks.items():
        print(f"  {'yes' if holds else 'NO '}  {words}")
    if found != wanted:
        different = [n for n in sorted(found.keys() | wanted) if found.get(n) != wanted.get(n)]
        print("  differ:", ", ".join(different[:20]))
    print(last)
    return 0 if all(checks.values()) else 1


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000))
