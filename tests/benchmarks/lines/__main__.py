"""How often the chain names a line rightly: ``python -m tests.benchmarks.lines [--part held]``."""

from __future__ import annotations

import argparse
from collections import Counter

from tests.benchmarks.lines.material import material

from rollstave.reading.labelling.chain import Step, probabilities, weights


def main() -> None:
    """Print the share of lines that are named rightly, by label."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.lines")
    parser.add_argument("--part", choices=("dev", "held"), default="dev")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--count", type=int, default=400)
    options = parser.parse_args()
    table = weights()
    whole: Counter[str] = Counter()
    right: Counter[str] = Counter()
    taken: Counter[tuple[str, str]] = Counter()
    sure: Counter[bool] = Counter()
    for chain in material(options.part, options.seed, options.count):
        steps = [Step(x.features, known=x.known, apart=x.apart) for x in chain]
        for line, found in zip(chain, probabilities(steps, table), strict=True):
            if line.known:
                continue
            best = table.labels[found.index(max(found))]
            whole[line.label] += 1
            right[line.label] += best == line.label
            if max(found) > 0.9:
                sure[best == line.label] += 1
            if best != line.label:
                taken[line.label, best] += 1
    total = sum(whole.values())
    print(f"all {100 * sum(right.values()) / total:.1f}% of {total}")
    print(f"surer than 90%: {sure.total()}, of them right {100 * sure[True] / sure.total():.2f}%")
    for label, count in whole.most_common():
        print(f"{label:14} {100 * right[label] / count:5.1f}% of {count}")
    if options.part == "dev":
        for (label, best), count in taken.most_common(16):
            print(f"  {label} taken for {best}: {count}")


if __name__ == "__main__":
    main()
