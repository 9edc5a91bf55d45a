"""Planting one slip in a clean tab. Every kind is a function from lines to changed lines."""

from __future__ import annotations

import random
import re
from collections.abc import Callable
from dataclasses import dataclass

from tests.benchmarks.rhythm.tunings import TUNINGS, row_labels

ROWS = 5
_FRET = re.compile(r"\d+")


@dataclass(frozen=True)
class Slip:
    """A changed text: which lines (from 1) the slip lies in, and the place of the changed note
    (line from 1, column from 0), if one note is changed."""

    text: str
    first_line: int
    last_line: int
    note: tuple[int, int] | None = None


def systems(lines: list[str]) -> list[int]:
    """The index of the first row of each system."""
    return [
        index
        for index, line in enumerate(lines)
        if "|" in line and (index == 0 or "|" not in lines[index - 1])
    ]


def _changed(lines: list[str], start: int, rows: dict[int, str], **more: tuple[int, int]) -> Slip:
    result = list(lines)
    for index, row in rows.items():
        result[index] = row
    return Slip("\n".join(result), start + 1, start + ROWS, more.get("note"))


def _some_note(lines: list[str], rng: random.Random) -> tuple[int, int, re.Match[str]]:
    """A system, a line of it and the match of a fret there."""
    while True:
        start = rng.choice(systems(lines))
        index = start + rng.randrange(ROWS)
        frets = list(_FRET.finditer(lines[index], lines[index].index("|")))
        if frets:
            return start, index, rng.choice(frets)


def wrong_fret(lines: list[str], rng: random.Random) -> Slip | None:
    """A fret one or two too high or too low, of the same width."""
    start, index, match = _some_note(lines, rng)
    fret = int(match[0]) + rng.choice((-2, -1, 1, 2))
    if fret < 0 or len(str(fret)) != len(match[0]):
        return None
    line = lines[index]
    row = line[: match.start()] + str(fret) + line[match.end() :]
    return _changed(lines, start, {index: row}, note=(index + 1, match.start()))


def wrong_string(lines: list[str], rng: random.Random) -> Slip | None:
    """A fret typed one row too high or too low."""
    start, index, match = _some_note(lines, rng)
    other = index + rng.choice((-1, 1))
    if not start <= other < start + ROWS:
        return None
    a, b = match.span()
    around = lines[other][a - 1 : b + 1]
    if set(around) - {"-"} or set(lines[index][a - 1] + lines[index][b]) - {"-", "|"}:
        return None
    rows = {
        index: lines[index][:a] + "-" * (b - a) + lines[index][b:],
        other: lines[other][:a] + match[0] + lines[other][b:],
    }
    return _changed(lines, start, rows, note=(other + 1, a))


def lost_dash(lines: list[str], rng: random.Random) -> Slip | None:
    """One dash left out of one row."""
    start = rng.choice(systems(lines))
    index = start + rng.randrange(ROWS)
    dashes = [i for i, c in enumerate(lines[index]) if c == "-"]
    at = rng.choice(dashes)
    return _changed(lines, start, {index: lines[index][:at] + lines[index][at + 1 :]})


def lost_bar(lines: list[str], rng: random.Random) -> Slip | None:
    """A dash typed for a bar line between two measures: in one row, or in all rows."""
    start = rng.choice(systems(lines))
    line = lines[start]
    bars = [
        m.start()
        for m in re.finditer(r"(?<![|:])\|(?![|:])", line)
        if line.index("|") < m.start() < line.rindex("|")
    ]
    if not bars:
        return None
    at = rng.choice(bars)
    rows = range(ROWS) if rng.random() < 0.5 else [rng.randrange(ROWS)]
    changed = {start + r: lines[start + r][:at] + "-" + lines[start + r][at + 1 :] for r in rows}
    return _changed(lines, start, changed)


def swapped_rows(lines: list[str], rng: random.Random) -> Slip | None:
    """The music of two neighbouring rows exchanged, labels left in place."""
    start = rng.choice(systems(lines))
    a = start + rng.randrange(ROWS - 1)
    cut_a, cut_b = lines[a].index("|"), lines[a + 1].index("|")
    if lines[a][cut_a:] == lines[a + 1][cut_b:]:
        return None
    return _changed(
        lines,
        start,
        {
            a: lines[a][:cut_a] + lines[a + 1][cut_b:],
            a + 1: lines[a + 1][:cut_b] + lines[a][cut_a:],
        },
    )


def wrong_tuning(lines: list[str], rng: random.Random) -> Slip | None:
    """Another tuning in the heading and in the labels."""
    heading = next(i for i, line in enumerate(lines) if line.startswith("Tuning: "))
    own = lines[heading].removeprefix("Tuning: ")
    other = rng.choice(sorted(set(TUNINGS) - {own}))
    labels = row_labels(other)
    widest = max(map(len, labels))
    result = list(lines)
    result[heading] = f"Tuning: {other}"
    for start in systems(lines):
        for row in range(ROWS):
            line = lines[start + row]
            result[start + row] = labels[row].ljust(widest) + line[line.index("|") :]
    return Slip("\n".join(result), 1, len(lines))


KINDS: dict[str, Callable[[list[str], random.Random], Slip | None]] = {
    "wrong fret": wrong_fret,
    "wrong string": wrong_string,
    "lost dash": lost_dash,
    "lost bar": lost_bar,
    "swapped rows": swapped_rows,
    "wrong tuning": wrong_tuning,
}
