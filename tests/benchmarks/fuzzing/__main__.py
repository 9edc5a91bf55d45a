"""The command; see the package's docstring."""

from __future__ import annotations

import argparse
import importlib.util
import os
import re
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.fuzzing.findings import SECONDS_FOR_100_KB, shrunk, signature, slowest

MILLION = 1_000_000
_PROGRESS = re.compile(r"#(\d+)\s+\w+\s+cov: (\d+) ft: (\d+) corp: (\d+)/")
_ENDED = 3  # times that a target may end its process before it is given up


@dataclass
class Told:
    """What is reported of a target. ``coverage`` and ``corpus`` are pairs: with the seeds, at the
    end."""

    target: str
    seeds: int = 0
    executions: int = 0
    seconds: float = 0.0
    coverage: tuple[int, int] = (0, 0)
    corpus: tuple[int, int] = (0, 0)
    ended: int = 0

    def line(self, kinds: int) -> str:
        rate = self.executions / self.seconds if self.seconds else 0
        return (
            f"{self.target:10} {self.executions:11,} {self.seconds:8.0f} {rate:9,.0f} "
            f"{self.seeds:6} "
            f"{self.corpus[0]:6} {self.corpus[1]:6} {self.coverage[0]:7} {self.coverage[1]:7} "
            f"{kinds + self.ended:8}"
        )


HEAD = "target      executions  seconds  a second  seeds corpus    end  covered    end  findings"


def fuzz(name: str, runs: int, seed: int, out: Path, blind: bool) -> Told:
    """One target, started again where it ends its process."""
    out.mkdir(parents=True, exist_ok=True)
    told = Told(name)
    start = time.monotonic()
    while told.executions < runs and told.ended < _ENDED:
        command = [sys.executable, "-m", "tests.benchmarks.fuzzing.one", name]
        command += ["--runs", str(runs - told.executions), "--seed", str(seed + told.ended)]
        command += ["--out", str(out), *(["--blind"] if blind else [])]
        environment = {**os.environ, "ROLLSTAVE_PLUGIN_SECONDS": "600", "PYTHONHASHSEED": "0"}
        process = subprocess.Popen(
            command,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            errors="replace",
            env=environment,
        )
        assert process.stdout is not None
        done = _follow(process.stdout, told, out / "log.txt")
        told.executions += done
        if process.wait() != 0:
            told.ended += 1
    told.seconds = time.monotonic() - start
    return told


def _follow(lines: object, told: Told, log: Path) -> int:
    """Read what a process tells while it runs; how many executions it did."""
    done = 0
    with log.open("a", encoding="utf-8") as kept:
        for line in lines:  # type: ignore[attr-defined]
            kept.write(line)
            if match := re.match(r"seeds: (\d+)", line):
                told.seeds = int(match[1])
            elif match := _PROGRESS.search(line):
                done = int(match[1])
                covered, size = int(match[2]), int(match[4])
                if "INITED" in line and not told.coverage[0]:
                    told.coverage, told.corpus = (covered, covered), (size, size)
                told.coverage = (told.coverage[0] or covered, covered)
                told.corpus = (told.corpus[0] or size, size)
            elif match := re.match(r"stat::number_of_executed_units:\s+(\d+)", line):
                done = int(match[1])
    return done


def crashes(out: Path) -> list[tuple[str, Path]]:
    """Each kind of finding of a target and its input."""
    found = []
    for path in sorted(out.glob("crash-*.txt")):
        words = path.read_text(encoding="utf-8", errors="replace")
        found.append((words.split("\n", 1)[0], path.with_suffix(".input")))
    return found + [(f"ended its process ({p.name})", p) for p in sorted(out.glob("ended-*"))]


def minimal(name: str, kind: str, path: Path) -> bytes:
    """The shortest input of a kind that is found by taking away."""
    from tests.benchmarks.fuzzing.targets import TARGETS

    def fails(data: bytes) -> bool:
        try:
            TARGETS[name].run(data)
        except Exception as error:
            return signature(error) == kind
        return False

    data = path.read_bytes()
    return shrunk(data, fails) if fails(data) else data


def slow(name: str, out: Path) -> list[str]:
    """The slowest inputs of a target again, without coverage, repeated to 100 kB and timed."""
    from tests.benchmarks.fuzzing.targets import TARGETS

    found = []
    target = TARGETS[name]
    if not target.text or name == "stretched":
        again = slowest(out)
    else:
        again = [(d * (100_000 // len(d) + 1))[:100_000] for d in slowest(out) if d]
    for data in again:
        start = time.process_time()
        try:
            target.run(data)
        except Exception as error:
            found.append(f"{signature(error)} with {data[:60]!r} over and over")
        spent = time.process_time() - start
        if spent > SECONDS_FOR_100_KB:
            found.append(f"{spent:.1f} s for 100 kB of {data[:60]!r} over and over")
    return found


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.fuzzing")
    parser.add_argument("--total", type=int, default=MILLION, help="executions of all targets")
    parser.add_argument("--target", action="append", help="only this one (may be repeated)")
    parser.add_argument("--seed", type=int, default=8)
    parser.add_argument("--out", type=Path, help="folder for findings and corpora")
    parser.add_argument("--blind", action="store_true", help="mutate without looking at coverage")
    wish = parser.parse_args()
    blind = wish.blind or importlib.util.find_spec("atheris") is None
    if blind and not wish.blind:
        print("atheris is not installed (pip install '.[fuzz]'): inputs are changed blindly")
    from tests.benchmarks.fuzzing.targets import SHARES

    names = wish.target or list(SHARES)
    shared = sum(SHARES[name] for name in names)
    out = wish.out or Path(tempfile.mkdtemp(prefix="fuzzing-"))
    print(f"seed {wish.seed}, findings in {out}\n{HEAD}", flush=True)
    total = 0
    findings: list[str] = []
    for name in names:
        folder = out / name.replace(" ", "-")
        runs = max(1, -(-wish.total * SHARES[name] // shared))
        told = fuzz(name, runs, wish.seed, folder, blind)
        total += told.executions
        found = crashes(folder)
        print(told.line(len(found)), flush=True)
        findings += [f"{name}: {kind}: {minimal(name, kind, path)!r}" for kind, path in found]
        findings += [f"{name}: slow: {words}" for words in slow(name, folder)]
    print(f"{total:,} executions; {len(findings)} findings")
    for words in findings:
        print("  " + words)
    return 1 if findings else 0


if __name__ == "__main__":
    sys.exit(main())
