"""The report: ``python -m tests.benchmarks.grammar --part dev|held|fresh --count 3000 --seed N``.

``--each`` prints every difference, ``--values`` the share of each value, ``--out`` keeps the texts
and their truths. What is set aside (``fresh``) gives totals and names of values only.
"""

from __future__ import annotations

import argparse
from pathlib import Path

from tests.benchmarks.grammar.report import by_value, each, outcomes, totals


def main(arguments: list[str] | None = None) -> None:
    """Make documents, read them, print the report."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.grammar")
    parser.add_argument("--part", choices=("dev", "held", "fresh"), default="dev")
    parser.add_argument("--count", type=int, default=3000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--each", action="store_true")
    parser.add_argument("--values", action="store_true")
    parser.add_argument("--out", default="")
    parser.add_argument("--processes", type=int, default=2)
    options = parser.parse_args(arguments)
    if options.part == "fresh" and (options.each or options.out):
        parser.error("texts that are set aside are not shown: only their totals")
    if options.out:
        Path(options.out).mkdir(parents=True, exist_ok=True)
    results = outcomes(
        part=options.part,
        count=options.count,
        seed=options.seed,
        processes=options.processes,
        out=options.out,
    )
    lines = totals(results)
    lines += by_value(results) if options.values else []
    lines += each(results) if options.each else []
    print("\n".join(lines))


if __name__ == "__main__":
    main()
