"""The command of the benchmark; see the package."""

from __future__ import annotations

import argparse

from .measure import Counts, Result, run


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.proofreading")
    parser.add_argument("--slips", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=11)
    arguments = parser.parse_args()
    print(report(run(arguments.slips, arguments.seed)))


def report(result: Result) -> str:
    head = f"{'slip':<16}{'planted':>8}{'found':>6}{'share':>7}"
    lines = [head + "".join(f"{of:>8}{'found':>6}{'share':>7}" for of in ("traced", "twin"))]
    whole = Counts()
    for kind, c in result.slips.items():
        lines.append(_row(kind, c))
        for name in vars(c):
            setattr(whole, name, getattr(whole, name) + getattr(c, name))
    lines.append(_row("all", whole))
    alarms = sum(result.accused.values())
    lines.append("")
    lines.append(
        f"clean: {result.clean_tabs} tabs, {result.clean_measures} measures, {alarms} false marks, "
        f"{100 * alarms / max(1, result.clean_measures):.2f} per hundred measures"
    )
    lines += [f"  {code}: {number}" for code, number in result.accused.most_common()]
    return "\n".join(lines)


def _row(kind: str, c: Counts) -> str:
    parts = ((c.planted, c.found), (c.traced, c.traced_found), (c.twins, c.twins_found))
    return f"{kind:<16}" + "".join(
        f"{of:>8}{found:>6}{f'{found / of:.1%}' if of else '-':>7}" for of, found in parts
    )


if __name__ == "__main__":
    main()
