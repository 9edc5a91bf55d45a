"""How many instructions the usual jobs take, for this tree and another.

``python -m tests.benchmarks.instructions [BASE_TREE] [--jobs WORD,...] [--kb 100]`` counts them
with ``perf`` or, where that cannot, with ``valgrind``, and prints millions for each job; with the
folder of another tree also those of that one, and how many times as many are needed here. Counts
hardly depend on what else the machine does, so that a loaded one will do. ``--jobs`` takes only
those jobs whose name has one of the words.

Both trees run in this environment: the source of each is put before what is installed. What is
warm is the difference between two rounds and one. The tabs are the samples and ten of rolls that
the simulated typist typed; the long file is those after each other.
"""

from __future__ import annotations

import argparse
import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from tests.benchmarks.rhythm.model import Style
from tests.benchmarks.rhythm.rolls import roll_tune
from tests.benchmarks.rhythm.typist import type_tune

ROOT = Path(__file__).parents[2]
SAMPLES = sorted((ROOT / "samples").glob("*.txt"))
ROUNDS = 2
RUN = """
import sys
from pathlib import Path
import rollstave
job, rounds, *names = sys.argv[1:]
texts = [Path(name).read_bytes() for name in names]
if job == "read":
    for _ in range(int(rounds)):
        for text in texts:
            rollstave.read(text)
else:
    # Tunes of their own for each round, and as many read however many are written.
    tunes = [[tune for text in texts for tune in rollstave.read(text)] for _ in range(2)]
    for some in tunes[: int(rounds)]:
        for tune in some:
            rollstave.write(tune, job)
"""


def _perf(command: Sequence[str], environment: dict[str, str]) -> int | None:
    counted = ["perf", "stat", "-x,", "-e", "instructions:u", *command]
    done = subprocess.run(
        counted, env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    )
    found = re.search(r"^(\d+),[^,]*,instructions", done.stderr, re.MULTILINE)
    return int(found[1]) if found and done.returncode == 0 else None


def _valgrind(command: Sequence[str], environment: dict[str, str]) -> int | None:
    counted = ["valgrind", "--tool=cachegrind", "--cache-sim=no", "--cachegrind-out-file=/dev/null"]
    done = subprocess.run(
        [*counted, *command],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.PIPE,
        text=True,
    )
    found = re.search(r"I +refs: +([\d,]+)", done.stderr)
    return int(found[1].replace(",", "")) if found and done.returncode == 0 else None


Counter = Callable[[Sequence[str], dict[str, str]], int | None]


def _counter() -> Counter | None:
    """What can count here."""
    for name, counter in (("perf", _perf), ("valgrind", _valgrind)):
        if shutil.which(name) and counter(["/bin/true"], dict(os.environ)):
            return counter
    return None


class Tree:
    """The source of one tree, and what is counted in it."""

    def __init__(self, folder: Path, work: Path, counter: Counter) -> None:
        self.work = work
        self.counter = counter
        self.environment = {
            **{k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"},
            "PYTHONHASHSEED": "0",
            "PYTHONPATH": os.pathsep.join(str(folder / name) for name in ("convert", "plugins")),
            "PYTHONPYCACHEPREFIX": str(work / "bytecode"),
        }

    def count(self, *arguments: str) -> int:
        """The instructions of a Python process with these arguments, its modules compiled."""
        command = [sys.executable, *arguments]
        subprocess.run(
            command, env=self.environment, check=True, cwd=self.work, stdout=subprocess.DEVNULL
        )
        found = self.counter(command, self.environment)
        if found is None:
            raise SystemExit(f"{' '.join(arguments)}: the process did not end well")
        return found

    def warm(self, job: str, paths: Sequence[Path]) -> int:
        """The instructions of one round of a job, when everything has been done once."""
        names = [str(path) for path in paths]
        once, often = (self.count("-c", RUN, job, str(n), *names) for n in (1, ROUNDS))
        return (often - once) // (ROUNDS - 1)

    def cold(self, formats: str) -> int:
        """The instructions of a whole command."""
        sample = str(ROOT / "samples" / "ferry-landing.txt")
        out = ["--out", str(self.work / "out")]
        return self.count("-m", "rollstave", "convert", sample, "--to", formats, *out)


def _typed(folder: Path, kilobytes: int) -> tuple[list[Path], Path]:
    """Ten typed tabs, and one file with tabs after each other."""
    styles = [style for style in Style if style is not Style.DRAWN]
    texts = []
    for number in range(10):
        texts.append(type_tune(roll_tune(number, 1), styles[number % len(styles)], 1).text)
    paths = [folder / f"typed-{number}.txt" for number in range(len(texts))]
    for path, text in zip(paths, texts, strict=True):
        path.write_text(text)
    long = ""
    number = 10
    while len(long) < kilobytes * 1000:
        style = styles[number % len(styles)]
        long += type_tune(roll_tune(number, 1), style, 1, title=f"Tune {number}").text + "\n\n"
        number += 1
    file = folder / "many.txt"
    file.write_text(long)
    return paths, file


def _jobs(typed: Sequence[Path], long: Path) -> Iterator[tuple[str, Callable[[Tree], int]]]:
    yield "--help", lambda tree: tree.count("-m", "rollstave", "--help")
    yield "cold musicxml,svg", lambda tree: tree.cold("musicxml,svg")
    yield "cold svg", lambda tree: tree.cold("svg")
    yield "cold musicxml", lambda tree: tree.cold("musicxml")
    yield "cold text", lambda tree: tree.cold("text")
    yield "warm read samples", lambda tree: tree.warm("read", SAMPLES)
    yield "warm read typed", lambda tree: tree.warm("read", typed)
    yield "warm musicxml", lambda tree: tree.warm("musicxml", SAMPLES)
    yield "warm svg", lambda tree: tree.warm("svg", SAMPLES)
    yield "read many tunes", lambda tree: tree.count("-c", RUN, "read", "1", str(long))


def main() -> int:
    """Count, and print a line for each job."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("base", nargs="?", type=Path)
    parser.add_argument("--jobs", default="")
    parser.add_argument("--kb", type=int, default=100)
    asked = parser.parse_args()
    counter = _counter()
    if counter is None:
        print("skipped: neither perf nor valgrind can count instructions here")
        return 0
    with tempfile.TemporaryDirectory() as folder:
        trees = []
        for name, source in (("here", ROOT), ("base", asked.base)):
            if source is not None:
                (work := Path(folder) / name).mkdir()
                trees.append(Tree(source.resolve(), work, counter))
        print("millions of instructions: here, base, and here for one there")
        for name, job in _jobs(*_typed(Path(folder), asked.kb)):
            if any(word in name for word in asked.jobs.split(",")):
                found = [job(tree) for tree in trees]
                row = "".join(f"{count / 1e6:12.1f}" for count in found)
                ratio = f"{found[0] / found[-1]:9.3f}" if len(found) > 1 else ""
                print(f"{name:22}{row}{ratio}", flush=True)
    return 0


if __name__ == "__main__":
    sys.exit(main())
