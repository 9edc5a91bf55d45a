"""Gathering rows into systems: which rows belong together, and how many systems they are.

Plain typing has one row for each string, string 1 on top, and an empty line between systems. What
is typed in another way is put right by the habits (``stages.HABITS``) and by none of this.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from rollstave.patterns import rare
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.fills import bars_in
from rollstave.reading.rows.records import Block, Row, Run, System
from rollstave.reading.state import At, ReadingState
from rollstave.vocabulary import problems as kinds

_LONGEST_GAP = 2  # empty lines between the rows of a system typed with double spacing


def gather(state: ReadingState) -> list[Block]:
    """The systems of the rows in the order of their lines. A run of rows that makes no system is
    an error, and a block without systems."""
    blocks: list[Block] = []
    for together in _together(state, _runs(state.lines, state.rows)):
        rows = [row for run in together for row in run.rows]
        systems = _systems(state, rows)
        if systems and not state.labels and all(row.label for row in systems[0].rows):
            state.labels = tuple(row.label for row in systems[0].rows)
        blocks.append(Block(together[0].start, together[-1].end, tuple(systems)))
    return blocks


def double_spacing(state: ReadingState, before: Sequence[Run], after: Run) -> bool:
    """True if only empty lines divide the rows."""
    between = state.lines[before[-1].end : after.start]
    return len(between) <= _LONGEST_GAP and all(line.blank for line in between)


def line_between_rows(state: ReadingState, before: Sequence[Run], after: Run) -> bool:
    """True if a lone line, as a remark, stands between the rows of one system: together they are
    one, with their bars in the same columns, as far as each row goes."""
    rows = [row for run in (*before, after) for row in run.rows]
    between = [line for line in state.lines[before[-1].end : after.start] if not line.blank]
    if len(between) != 1 or len(rows) != state.instrument.strings:
        return False
    columns = [_bars_or_like(row) for row in rows]
    longest = max(columns, key=len)
    return bool(longest) and all(
        abs(own - other) <= _STEP
        for found in columns
        for own, other in zip(found, longest, strict=False)
    )


_STEP = 1  # columns that a bar may be off
_BARS = "|+!lI"


def _bars_or_like(row: Row) -> list[int]:
    """Where the bars of a row stand, whatever character is one."""
    text = row.line.text[: row.end]
    return next((found for bar in _BARS if (found := _columns_of(text, bar))), [])


def _columns_of(text: str, bar: str) -> list[int]:
    return bars_in(text) if bar == "|" else [i for i, c in enumerate(text) if c == bar]


def _runs(lines: Sequence[Line], rows: Sequence[Row | None]) -> list[Run]:
    runs: list[Run] = []
    index = 0
    while index < len(lines):
        end = index
        found: list[Row] = []
        while end < len(lines) and (row := rows[end]) is not None:
            found.append(row)
            end += 1
        if found and not is_ruler(found) and not _of_table(lines, index, end, found):
            runs.append(Run(index, tuple(found)))
        index = max(end, index + 1)
    return runs


def is_ruler(rows: Sequence[Row]) -> bool:
    """True for a line or two of dashes that divide a text: no label, no bar, no fret."""
    return len(rows) < 3 and not any(row.label or "|" in row.body or row.figures for row in rows)


_CELL_WITH_WORDS = rare(r"\s*\|.*[A-Za-z]{2}.*\|")


def _of_table(lines: Sequence[Line], start: int, end: int, rows: Sequence[Row]) -> bool:
    """True for the line of dashes and bars under the head of a table of words."""
    if len(rows) > 1 or rows[0].label or rows[0].figures or not start or end == len(lines):
        return False
    beside = lines[start - 1].text, lines[end].text
    bars = rows[0].line.text.count("|")
    return all(_CELL_WITH_WORDS.match(text) and text.count("|") == bars for text in beside)


def _together(state: ReadingState, runs: Sequence[Run]) -> list[list[Run]]:
    """The runs, with those put together that are no system alone and that a habit says are one."""
    strings = state.instrument.strings
    found: list[list[Run]] = []
    index = 0
    while index < len(runs):
        together = [runs[index]]
        number = len(runs[index].rows)
        while number % strings and index + len(together) < len(runs):
            after = runs[index + len(together)]
            if number + len(after.rows) > strings or not any(
                habit.rule(state, together, after) for habit in state.habits[At.GAP]
            ):
                break
            together.append(after)
            number += len(after.rows)
        if number % strings:
            together = together[:1]
        found.append(together)
        index += len(together)
    return found


def _systems(state: ReadingState, rows: Sequence[Row]) -> list[System]:
    """The systems of one block of rows; none, and an error, if their number is wrong."""
    strings = state.instrument.strings
    for habit in state.habits[At.BLOCK]:
        rows = habit.rule(state, rows) or rows
    if len(rows) % strings:
        _wrong_number(state, rows)
        return []
    systems = []
    for start in range(0, len(rows), strings):
        group = rows[start : start + strings]
        for habit in state.habits[At.SYSTEM]:
            group = habit.rule(state, group) or group
        systems.append(System(tuple(group)))
    return systems


def _is_same(one: Row, other: Row) -> bool:
    """Whether a row with notes is typed once more, label and all."""
    text = one.line.text.strip()
    return text == other.line.text.strip() and any(c.isdigit() for c in text)


def _wrong_number(state: ReadingState, rows: Sequence[Row]) -> None:
    strings = state.instrument.strings
    number = len(rows)
    if number < strings:
        what = "a string that is not played still needs its row of dashes"
    else:
        what = "leave an empty line between two systems, and take out any extra row"
    twice = next((b for a, b in pairwise(rows) if _is_same(a, b)), None)
    if number > strings and twice is not None:
        what = f"line {twice.line.number} is the same as the row over it: take it out"
    else:
        twice = rows[min(strings, number - 1)]
    state.problems.add(
        kinds.ROWS,
        f"this system has {number} row{'s' if number > 1 else ''} where the "
        f"{state.instrument.name} has {strings} strings; {what}",
        twice.line.place(twice.start),
    )
