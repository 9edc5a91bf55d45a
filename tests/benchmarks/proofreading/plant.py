"""Planting one slip in a clean tab. Every kind is a function from lines to changed lines."""

from __future__ import annotations

import itertools
import random
import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from tests.benchmarks.proofreading.naming import near
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
    columns: tuple[int, int] | None = None  # of the measure that a mark must lie in, from 1


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
    return Slip("\n".join(result), start + 1, start + ROWS, more.get("note"), more.get("columns"))


def _measure_at(line: str, at: int) -> tuple[int, int]:
    """The columns, from 0, between the bars around a place of a row."""
    return line.rfind("|", 0, at) + 1, line.index("|", at)


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
    left, right = _measure_at(lines[index], at)
    row = lines[index][:at] + lines[index][at + 1 :]
    found = _changed(lines, start, {index: row}, columns=(left + 1, right + 1))
    return replace(found, first_line=index + 1, last_line=index + 1)


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


def fifth_on_fourth(lines: list[str], rng: random.Random) -> Slip | None:
    """An open fifth string typed a row too high."""
    start = rng.choice(systems(lines))
    fourth, fifth = start + 3, start + 4
    zeros = [m.start() for m in re.finditer(r"(?<=[-|])0(?=[-|])", lines[fifth])]
    free = [at for at in zeros if set(lines[fourth][at - 1 : at + 2]) <= {"-"}]
    if not free:
        return None
    at = rng.choice(free)
    rows = {
        fifth: lines[fifth][:at] + "-" + lines[fifth][at + 1 :],
        fourth: lines[fourth][:at] + "0" + lines[fourth][at + 1 :],
    }
    return _changed(lines, start, rows, note=(fourth + 1, at))


def lone_ending(lines: list[str], rng: random.Random) -> Slip | None:
    """A first ending typed over the last measure of a repeat, and no second."""
    ends = [(s, m.start()) for s in systems(lines) for m in re.finditer(r":\|", lines[s])]
    if not ends:
        return None
    start, at = rng.choice(ends)
    left, _ = _measure_at(lines[start], at)
    result = list(lines)
    if start and result[start - 1].strip():
        return None  # a line of chord names stands there
    result.insert(start, " " * left + "1.")
    return Slip("\n".join(result), start + 1, start + 1 + ROWS)


def _columns(lines: list[str], start: int, left: int, right: int) -> list[tuple[int, list[int]]]:
    """The columns of a measure in which something is struck, and on which rows (from 0)."""
    struck: dict[int, list[int]] = {}
    for row in range(ROWS):
        for match in _FRET.finditer(lines[start + row], left, right):
            struck.setdefault(match.start(), []).append(row)
    return sorted(struck.items())


def _some_measure(lines: list[str], rng: random.Random) -> tuple[int, int, int]:
    """A system, and the columns of one of its measures."""
    start = rng.choice(systems(lines))
    bars = [m.start() for m in re.finditer(r"\|", lines[start])]
    number = rng.randrange(len(bars) - 1)
    return start, bars[number] + 1, bars[number + 1]


def closed_shape(lines: list[str], rng: random.Random) -> Slip | None:
    """One fret too high or too low in a measure that is held in a closed shape."""
    start, left, right = _some_measure(lines, rng)
    held: dict[int, set[str]] = {}
    places = []
    for row in range(ROWS - 1):
        for match in _FRET.finditer(lines[start + row], left, right):
            held.setdefault(row, set()).add(match[0])
            places.append((row, match))
    if len(held) < 3 or any(len(frets) > 1 or "0" in frets for frets in held.values()):
        return None
    row, match = rng.choice(places)
    fret = int(match[0]) + rng.choice((-1, 1))
    if len(str(fret)) != len(match[0]):
        return None
    line = lines[start + row]
    changed = line[: match.start()] + str(fret) + line[match.end() :]
    return _changed(lines, start, {start + row: changed}, note=(start + row + 1, match.start()))


def off_the_roll(lines: list[str], rng: random.Random) -> Slip | None:
    """Two neighbouring strokes in each other's place, in a measure that is rolled as four others
    are and then as no other is."""
    orders: dict[tuple[int, ...], int] = {}
    for begin in systems(lines):
        bars = [m.start() for m in re.finditer(r"\|", lines[begin])]
        for a, b in itertools.pairwise(bars):
            order = tuple(row for _, rows in _columns(lines, begin, a, b) for row in rows)
            orders[order] = orders.get(order, 0) + 1
    start, left, right = _some_measure(lines, rng)
    strokes = _columns(lines, start, left, right)
    order = tuple(row for _, rows in strokes for row in rows)
    if len(order) < 6 or len(order) != len(strokes) or orders[order] < 5:
        return None
    first = rng.randrange(len(strokes) - 1)
    (at, (row,)), (then, (other,)) = strokes[first], strokes[first + 1]
    swapped = (*order[:first], other, row, *order[first + 2 :])
    one, two = (_FRET.match(lines[start + r], c) for r, c in ((row, at), (other, then)))
    if row == other or swapped in orders or one is None or two is None:
        return None
    if len(one[0]) > 1 or len(two[0]) > 1:
        return None
    rows = {start + row: lines[start + row], start + other: lines[start + other]}
    for r, c, char in (
        (row, at, "-"),
        (row, then, one[0]),
        (other, then, "-"),
        (other, at, two[0]),
    ):
        line = rows[start + r]
        if line[c] not in "-0123456789" or (
            char != "-" and set(line[c - 1] + line[c + 1]) - set("-|:")
        ):
            return None
        rows[start + r] = line[:c] + char + line[c + 1 :]
    return _changed(lines, start, rows, columns=(left + 1, right + 1))


def near_name(lines: list[str], rng: random.Random) -> Slip | None:
    """A chord name near the right one. Only tabs with names can hold it."""
    rows = [start - 1 for start in systems(lines) if start and lines[start - 1].strip()]
    found = [(row, m) for row in rows for m in re.finditer(r"[A-G][#b]?m?(?= |$)", lines[row])]
    if not found:
        return None
    row, match = rng.choice(found)
    other = rng.choice(near(match[0]))
    line = lines[row]
    after = line[match.end() :].removeprefix(" " * max(0, len(other) - len(match[0])))
    result = list(lines)
    result[row] = line[: match.start()] + other.ljust(len(match[0])) + after
    return Slip("\n".join(result), row + 1, row + 1)


KINDS: dict[str, Callable[[list[str], random.Random], Slip | None]] = {
    "wrong fret": wrong_fret,
    "wrong string": wrong_string,
    "lost dash": lost_dash,
    "lost bar": lost_bar,
    "swapped rows": swapped_rows,
    "wrong tuning": wrong_tuning,
    "fifth on fourth": fifth_on_fourth,
    "lone ending": lone_ending,
    "closed shape": closed_shape,
    "off the roll": off_the_roll,
    "near name": near_name,
}
# Kinds that only a tune of rolls holds, or only one with chord names over it.
OF_ROLLS = ("closed shape", "off the roll", "near name", "fifth on fourth")
NAMED = ("near name",)
