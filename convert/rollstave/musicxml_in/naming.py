"""Measures by what they are called in a file, so that every loss is told with its place."""

from __future__ import annotations

from collections.abc import Sequence


def measures_named(numbers: Sequence[str]) -> str:
    """``measures 2, 4-6``: all measures of a list, each once, those in a row together."""
    runs: list[list[str]] = []
    for number in dict.fromkeys(numbers):
        if runs and _follows(runs[-1][-1], number):
            runs[-1].append(number)
        else:
            runs.append([number])
    said = ", ".join(", ".join(run) if len(run) < 3 else f"{run[0]}-{run[-1]}" for run in runs)
    return f"measure{'s' if sum(map(len, runs)) > 1 else ''} {said}"


def _follows(before: str, number: str) -> bool:
    return before.isdecimal() and number.isdecimal() and int(number) == int(before) + 1
