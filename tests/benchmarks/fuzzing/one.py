"""One target in a process of its own: ``python -m tests.benchmarks.fuzzing.one TARGET ...``.

Meant to be started by ``__main__``. Exceptions are kept and the search goes on; what ends or stops
the process is seen from outside.
"""

from __future__ import annotations

import argparse
import gc
import sys
import time
from collections.abc import Callable
from pathlib import Path

from tests.benchmarks.fuzzing.findings import GRANTED, SECONDS_FOR_100_KB, Findings
from tests.benchmarks.fuzzing.mutate import blind, mutator

HANGS = 120  # seconds of one execution; then the process is ended


class TooSlow(Exception):
    """An execution that took longer than its length allows."""


def watched(run: Callable[[bytes], object], findings: Findings) -> Callable[[bytes], None]:
    """The target with findings kept in place of raised."""

    def once(data: bytes) -> None:
        start = time.process_time()
        try:
            run(data)
        except Exception as error:
            findings.failed(data, error)
        spent = time.process_time() - start
        findings.took(data, spent)
        if spent > max(2.0, GRANTED, SECONDS_FOR_100_KB * len(data) / 100_000):
            findings.failed(data, TooSlow(f"{spent:.2f} s for {len(data)} bytes"))

    return once


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("target")
    parser.add_argument("--runs", type=int, required=True)
    parser.add_argument("--seed", type=int, required=True)
    parser.add_argument("--out", type=Path, required=True)
    parser.add_argument("--blind", action="store_true")
    wish = parser.parse_args()
    if wish.blind:
        from tests.benchmarks.fuzzing.targets import TARGETS, seeds_into
    else:
        import atheris

        with atheris.instrument_imports(include=["rollstave"]):
            from tests.benchmarks.fuzzing.targets import TARGETS, seeds_into
    target = TARGETS[wish.target]
    corpus = wish.out / "corpus"
    print(f"seeds: {seeds_into(corpus, target)}", flush=True)
    once = watched(target.run, Findings(wish.out))
    gc.freeze()
    if wish.blind:
        make = blind(list(target.seeds()), target.longest, wish.seed)
        for _ in range(wish.runs):
            once(make())
        print(f"stat::number_of_executed_units: {wish.runs}", flush=True)
        return
    arguments = [
        sys.argv[0],
        f"-runs={wish.runs}",
        f"-seed={wish.seed}",
        f"-max_len={target.longest}",
        f"-timeout={HANGS}",
        "-rss_limit_mb=3000",
        "-print_final_stats=1",
        f"-artifact_prefix={wish.out}/ended-",
        str(corpus),
    ]
    more = {"custom_mutator": mutator} if target.text else {}
    atheris.Setup(arguments, once, **more)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
