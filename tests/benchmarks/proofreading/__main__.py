"""The command of the benchmark; see the package."""

from __future__ import annotations

import argparse

from .measure import Result, run


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks.proofreading")
    parser.add_argument("--slips", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=11)
    arguments = parser.parse_args()
    print(report(run(arguments.slips, arguments.seed)))


def report(result: Result) -> str:
    lines = [
        f"{'slip':<14}{'planted':>8}{'found':>8}{'share':>7}{'traced':>8}{'found':>8}{'share':>7}"
    ]
    planted = found = traced = traced_found = 0
    for kind, c in result.slips.items():
        lines.append(_row(kind, c.planted, c.found, c.traced, c.traced_found))
        planted, found = planted + c.planted, found + c.found
        traced, traced_found = traced + c.traced, traced_found + c.traced_found
    lines.append(_row("all", planted, found, traced, traced_found))
    alarms = sum(result.accused.values())
    lines.append("")
    lines.append(
        f"clean: {result.clean_tabs} tabs, {result.clean_measures} measures, {alarms} false marks, "
        f"{100 * alarms / max(1, result.clean_measures):.2f} per hundred measures"
    )
    lines += [f"  {code}: {number}" for code, number in result.accused.most_common()]
    return "\n".join(lines)


def _row(kind: str, planted: int, found: int, traced: int, traced_found: int) -> str:
    share = f"{found / planted:.1%}" if planted else "-"
    traced_share = f"{traced_found / traced:.1%}" if traced else "-"
    return (
        f"{kind:<14}{planted:>8}{found:>8}{share:>7}{traced:>8}{traced_found:>8}{traced_share:>7}"
    )


if __name__ == "__main__":
    main()
