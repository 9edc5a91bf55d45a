"""Cutting a file into chapters where the instrument changes: tunes that name their own."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from msgspec.structs import replace

from rollstave.reading.page.decode import Line
from rollstave.reading.state import ReadingState
from rollstave.reading.words.headings import read_headings
from rollstave.reading.words.titles import could_be_title, is_ruler
from rollstave.reading.words.tuning_words import knowing


def chapters_of(state: ReadingState) -> tuple[ReadingState, ...]:
    """The file as one chapter, unless a tune after the first names an instrument: then a chapter
    for each tune that begins with a title or an instrument of its own.

    The chapters share the prepared lines and rows of the file.
    """
    if "instrument" not in state.text.lower():
        return (state,)
    with knowing(state.known):
        return _cut(state)


def _cut(state: ReadingState) -> tuple[ReadingState, ...]:
    lines = state.lines
    is_row = [row is not None for row in state.rows]
    for index, line in enumerate(lines):
        beside = is_row[max(0, index - 1) : index + 2]
        if is_row[index] and sum(beside) == 1 and is_ruler(line):
            is_row[index] = False  # it underlines a title
    keys = [
        set() if row or line.blank else {h.key for h in read_headings(line) or ()}
        for line, row in zip(lines, is_row, strict=True)
    ]
    first = is_row.index(True) if True in is_row else len(lines)
    if not any("instrument" in found for found in keys[first:]):
        return (state,)
    starts = [0]
    for index in range(first, len(lines)):
        if keys[index] & {"instrument", "title"}:
            start = _beginning(lines, is_row, keys, index)
            # Only where a tab stands between is it another tune.
            if any(is_row[starts[-1] : start]) and any(is_row[index:]):
                starts.append(start)
    return tuple(_chapter(state, a, b) for a, b in pairwise([*starts, len(lines)]))


def _chapter(state: ReadingState, start: int, end: int) -> ReadingState:
    """The lines ``start`` to ``end`` (indices, end excluded) of a file."""
    # A line that mail had cut is several lines of the file.
    before = state.first_line
    first = state.lines[start].number if start else before
    last = state.lines[end].number - 1 if end < len(state.lines) else before + len(state.typed) - 1
    return replace(
        state,
        first_line=first,
        typed=state.typed[first - before : last + 1 - before],
        lines=state.lines[start:end],
        rows=state.rows[start:end],
        # Every chapter is read by itself.
        blocks=[],
        tunes=[],
        chains={},
        judged={},
        over=[],
        taken=set(),
    )


def _beginning(
    lines: Sequence[Line], is_row: Sequence[bool], keys: Sequence[set[str]], index: int
) -> int:
    """The first line of the headings that a line belongs to, with a title alone above them."""
    start = index
    while start and not is_row[start - 1] and not lines[start - 1].blank:
        start -= 1
    above = start - 1
    while above > 0 and lines[above].blank:
        above -= 1
    alone = (
        above > 0 and not is_row[above] and (lines[above - 1].blank or is_ruler(lines[above - 1]))
    )
    titled = any("title" in found for found in keys[start : index + 1])
    named = titled or (lines[start].text.strip() and not keys[start] and start < index)
    if not named and alone and could_be_title(lines[above]):
        return above
    return start
