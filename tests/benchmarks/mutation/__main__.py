"""The command; see the package's docstring."""

from __future__ import annotations

import argparse
import compileall
import multiprocessing
import shutil
import sys
import tempfile
import threading
import time
from collections.abc import Sequence
from multiprocessing.connection import Connection
from pathlib import Path
from queue import Empty, Queue

from tests.benchmarks.mutation.operators import Mutant, sample
from tests.benchmarks.mutation.rooms import ROOMS, Room
from tests.benchmarks.mutation.touched import read_map, tests_of
from tests.benchmarks.mutation.worker import serve

ROOT = Path(__file__).parents[3]
_COPIED = ("convert", "plugins", "tests", "samples", "pyproject.toml", "README.md", "DEVELOPERS.md")
MOST_PROCESSES = 2
_SECONDS = 120.0  # of the processor, for the tests of one stage
Judged = tuple[Mutant, str, str]
Touched = dict[str, list[tuple[float, str]]]


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.mutation")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=100, help="over all rooms, evenly")
    parser.add_argument("--rooms", default="", help="only these, with commas between them")
    parser.add_argument("--processes", type=int, default=MOST_PROCESSES)
    parser.add_argument("--seconds", type=float, default=_SECONDS, help="for the tests of a mutant")
    parser.add_argument("--minutes", type=float, default=0, help="begin no mutant after so many")
    parser.add_argument("--no-check", action="store_true", help="trust that the tests pass")
    parser.add_argument("--map", type=Path, help="of the tests that call each function (touched)")
    chosen = parser.parse_args()
    rooms = [r for r in ROOMS if not chosen.rooms or r.name in chosen.rooms.split(",")]
    mutants = _sampled(rooms, chosen.count, chosen.seed)
    print(f"seed {chosen.seed}: {len(mutants)} mutants in {len(rooms)} rooms", flush=True)
    if not chosen.no_check:
        failing = _failing(rooms, chosen.seconds)
        if failing:
            print("fail without any mutant, so nothing can be told:", *failing, sep="\n")
            return 2
    until = time.monotonic() + 60 * (chosen.minutes or 10_000)
    touched = read_map(chosen.map) if chosen.map else {}
    judged = _all(mutants, touched, min(chosen.processes, MOST_PROCESSES), chosen.seconds, until)
    _report(rooms, judged)
    return 0


def _sampled(rooms: Sequence[Room], count: int, seed: int) -> list[Mutant]:
    """Rooms take turns, so that what is run first is spread over all of them."""
    each = -(-count // len(rooms))
    by_room = [sample(r.name, r.modules(ROOT), ROOT, each, seed) for r in rooms]
    return [m for turn in zip(*by_room, strict=True) for m in turn][:count]


def _stages(name: str) -> list[tuple[str, ...]]:
    room = next(r for r in ROOMS if r.name == name)
    near = tuple(dict.fromkeys(room.near))
    far = tuple(t for t in dict.fromkeys(room.far) if t not in near)
    return [stage for stage in (near, far) if stage]


def _failing(rooms: Sequence[Room], seconds: float) -> list[str]:
    """Tests that fail in the tree as it is."""
    path = rooms[0].modules(ROOT)[0]
    same = (ROOT / path).read_text("utf-8")
    tests = dict.fromkeys(t for room in rooms for stage in _stages(room.name) for t in stage)
    with tempfile.TemporaryDirectory() as folder:
        work = _started(Path(folder))
        work.send((path, same, list(tests), seconds * len(rooms)))
        verdict, words = work.recv()
        work.send(None)
    return [] if verdict == "survived" else [f"{verdict}: {words}"]


def _started(folder: Path) -> Connection:
    """A process with a copy of the tree."""
    tree = folder / "tree"
    for name in _COPIED:
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, tree / name, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copy2(ROOT / name, tree / name)
    compileall.compile_dir(tree, quiet=1)
    ours, theirs = multiprocessing.Pipe()
    # No daemon: some tests start processes of their own, which a daemon may not.
    context = multiprocessing.get_context("spawn")
    context.Process(target=serve, args=(tree, theirs)).start()
    theirs.close()
    return ours


def _all(
    mutants: Sequence[Mutant], touched: Touched, processes: int, seconds: float, until: float
) -> list[Judged]:
    waiting: Queue[Mutant] = Queue()
    for mutant in mutants:
        waiting.put(mutant)
    judged: list[Judged] = []
    threads = [
        threading.Thread(target=_work, args=(waiting, judged, touched, seconds, until))
        for _ in range(processes)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return judged


def _work(
    waiting: Queue[Mutant], judged: list[Judged], touched: Touched, seconds: float, until: float
) -> None:
    with tempfile.TemporaryDirectory() as folder:
        work = _started(Path(folder))
        while time.monotonic() < until:
            try:
                mutant = waiting.get_nowait()
            except Empty:
                break
            verdict, words = "survived", ""
            first = tests_of(touched, mutant.path, mutant.before, mutant.after)
            for stage in (*([first] if first else []), *_stages(mutant.room)):
                work.send((mutant.path, mutant.after, stage, seconds))
                verdict, words = work.recv()
                if verdict != "survived":
                    break
            judged.append((mutant, verdict, words))
            print(f"{len(judged):4} {verdict:9} {mutant.path} ({mutant.kind}) {words}", flush=True)
            if verdict == "survived":
                print(mutant.diff, flush=True)
        work.send(None)


def _report(rooms: Sequence[Room], judged: Sequence[Judged]) -> None:
    """Killed and survived in each room; a run that never ends was noticed too."""
    print(f"\n{'room':14}{'mutants':>8}{'killed':>8}{'timed out':>11}{'survived':>10}")
    for name in (*(r.name for r in rooms), "all"):
        found = [verdict for mutant, verdict, _ in judged if name in (mutant.room, "all")]
        counts = [found.count(verdict) for verdict in ("killed", "timed out", "survived")]
        print(f"{name:14}{len(found):8}{counts[0]:8}{counts[1]:11}{counts[2]:10}")
    print("\nsurvivors")
    for mutant, verdict, _ in judged:
        if verdict == "survived":
            print(f"\n{mutant.path} ({mutant.kind})\n{mutant.diff}")


if __name__ == "__main__":
    sys.exit(main())
