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

import msgspec
from tests.benchmarks.mutation.operators import Mutant, sample
from tests.benchmarks.mutation.rooms import EVERYWHERE, ROOMS, Room
from tests.benchmarks.mutation.swapping import changed_function
from tests.benchmarks.mutation.touched import Touched
from tests.benchmarks.mutation.worker import NOT_COLLECTED, Job, Verdict, serve

ROOT = Path(__file__).parents[3]
_COPIED = ("convert", "plugins", "tests", "samples", "pyproject.toml", "README.md", "DEVELOPERS.md")
MOST_PROCESSES = 2
_SECONDS = 60.0  # of the processor, for the tests of one mutant
SURVIVED = ("survived", "stopped")
Judged = tuple[Mutant, Verdict]


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.mutation")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=100, help="over all rooms, evenly")
    parser.add_argument("--only", default="", help="mutants of these numbers, with commas")
    parser.add_argument("--rooms", default="", help="only these, with commas between them")
    parser.add_argument("--processes", type=int, default=MOST_PROCESSES)
    parser.add_argument("--seconds", type=float, default=_SECONDS, help="for the tests of a mutant")
    parser.add_argument("--minutes", type=float, default=0, help="begin no mutant after so many")
    parser.add_argument("--map", type=Path, help="of the tests that call each function (touched)")
    chosen = parser.parse_args()
    rooms = [r for r in ROOMS if not chosen.rooms or r.name in chosen.rooms.split(",")]
    mutants = _sampled(rooms, chosen.count, chosen.seed)
    print(f"seed {chosen.seed}: {len(mutants)} mutants in {len(rooms)} rooms", flush=True)
    if chosen.only:
        mutants = [mutants[int(number) - 1] for number in chosen.only.split(",")]
    until = time.monotonic() + 60 * (chosen.minutes or 10_000)
    run = _Run(mutants, Touched(chosen.map), chosen.seconds, until)
    run.all(min(chosen.processes, MOST_PROCESSES))
    _report(rooms, run.judged)
    if run.failing:
        print("\nfail without any mutant, so what they killed is not told:", *run.failing, sep="\n")
    return 2 if run.failing else 0


def _sampled(rooms: Sequence[Room], count: int, seed: int) -> list[Mutant]:
    """Rooms take turns, so that what is run first is spread over all of them."""
    each = -(-count // len(rooms))
    by_room = [sample(r.name, r.modules(ROOT), ROOT, each, seed) for r in rooms]
    return [m for turn in zip(*by_room, strict=True) for m in turn][:count]


def _stages(name: str) -> list[tuple[str, ...]]:
    room = next(r for r in ROOMS if r.name == name)
    return [stage for stage in (room.near, EVERYWHERE, room.far) if stage]


class _Run:
    """All mutants of a run, shared by the processes that try them."""

    def __init__(
        self, mutants: Sequence[Mutant], touched: Touched, seconds: float, until: float
    ) -> None:
        self.waiting: Queue[Mutant] = Queue()
        for mutant in mutants:
            self.waiting.put(mutant)
        self.everything = sorted({t for m in mutants for stage in _stages(m.room) for t in stage})
        self.touched = touched
        self.seconds = seconds
        self.until = until
        self.judged: list[Judged] = []
        self.failing: set[str] = set()

    def all(self, processes: int) -> None:
        threads = [threading.Thread(target=self._work) for _ in range(processes)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        self.judged = [j for j in self.judged if not set(j[1].tests) & self.failing]

    def _work(self) -> None:
        killing: dict[str, Mutant] = {}
        with tempfile.TemporaryDirectory() as folder:
            work = self._started(Path(folder))
            while time.monotonic() < self.until:
                try:
                    mutant = self.waiting.get_nowait()
                except Empty:
                    break
                verdict = self._verdict(work, mutant)
                killing |= dict.fromkeys(verdict.tests, mutant)
                self._tell(mutant, verdict)
            # What killed a mutant must pass where there is none.
            if killing:
                mutant = next(iter(killing.values()))
                tests = tuple(t for t in killing if not t.endswith(NOT_COLLECTED))
                job = Job(mutant.path, mutant.before, mutant.before, tests, 10_000.0)
                self.failing |= set(_asked(work, job).tests)
            work.send_bytes(b"")

    def _verdict(self, work: Connection, mutant: Mutant) -> Verdict:
        function = changed_function(mutant.before, mutant.after)
        tests = self.touched.ordered(mutant.path, function, _stages(mutant.room))
        # What no test was seen to call may have been called while tests were collected.
        fresh = not function or not self.touched.knows(mutant.path, function)
        job = Job(mutant.path, mutant.before, mutant.after, tuple(tests), self.seconds, fresh)
        return _asked(work, job)

    def _tell(self, mutant: Mutant, verdict: Verdict) -> None:
        self.judged.append((mutant, verdict))
        words = f"{len(self.judged):4} {verdict.name:9} {mutant.path} ({mutant.kind})"
        print(words, *verdict.tests[:1], flush=True)
        if verdict.name in SURVIVED:
            print(mutant.diff, flush=True)

    def _started(self, folder: Path) -> Connection:
        """A process with a copy of the tree."""
        tree = folder / "tree"
        for name in _COPIED:
            if (ROOT / name).is_dir():
                ignored = shutil.ignore_patterns("__pycache__")
                shutil.copytree(ROOT / name, tree / name, ignore=ignored)
            else:
                shutil.copy2(ROOT / name, tree / name)
        compileall.compile_dir(tree, quiet=1)
        ours, theirs = multiprocessing.Pipe()
        # No daemon: some tests start processes of their own, which a daemon may not.
        context = multiprocessing.get_context("spawn")
        context.Process(target=serve, args=(tree, theirs, self.everything)).start()
        theirs.close()
        return ours


def _asked(work: Connection, job: Job) -> Verdict:
    work.send_bytes(msgspec.msgpack.encode(job))
    return msgspec.msgpack.decode(work.recv_bytes(), type=Verdict)


def _report(rooms: Sequence[Room], judged: Sequence[Judged]) -> None:
    """Killed and survived in each room; a run that never ends was noticed too."""
    print(f"\n{'room':14}{'mutants':>8}{'killed':>8}{'timed out':>11}{'survived':>10}")
    for name in (*(r.name for r in rooms), "all"):
        found = [verdict.name for mutant, verdict in judged if name in (mutant.room, "all")]
        survived = sum(found.count(word) for word in SURVIVED)
        counts = [found.count("killed"), found.count("timed out"), survived]
        print(f"{name:14}{len(found):8}{counts[0]:8}{counts[1]:11}{counts[2]:10}")


if __name__ == "__main__":
    sys.exit(main())
