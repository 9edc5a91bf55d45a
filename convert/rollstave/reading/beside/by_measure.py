"""Chord names that are meant by measure: each stands at the beginning of its own.

A typist puts one name over each measure, a column or two off, or in a row whose steps are not
quite the measures' own. A name typed near the first note belongs to it (common practice, no
source).
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from rollstave.grid.typed import GridMeasure
from rollstave.reading.rows.cutting import Slot

_NEAR = 2  # columns from the beginning of any measure
_SHARE = 4  # or this share of a measure
_DRIFT = 2  # columns by which a row of names may go astray from one measure to the next
_FROM_BAR = 4  # columns from the bar behind which a name stands to its measure
_EVERY = 3  # names over every measure show that the row goes by measures


def meant_by_measure(
    measures: Sequence[GridMeasure], slots: Sequence[Slot], names: Sequence[tuple[int, int]]
) -> bool:
    """True if the names of a line, given as the measure and the column in it at which each of
    them stands, go by measures."""
    where = [slot for slot, _ in names]
    if len(set(where)) < len(where):
        return False
    offsets = [offset for _, offset in names]
    steps = [b - a for a, b in pairwise(offsets)]
    alike = max(offsets) - min(offsets) <= 1
    drifting = all(0 <= step <= _DRIFT for step in steps) or all(
        -_DRIFT <= step <= 0 for step in steps
    )
    if not (alike or drifting):
        return False
    every = len(names) == len(slots) >= _EVERY
    if every and max(steps) - min(steps) <= 1:
        return True
    for slot, offset in names:
        width = slots[slot].width
        most = width // 2 if every else max(_NEAR, width // _SHARE)
        if offset > most:
            return False
    # Names that all stand exactly at notes, none of them the first, may be meant so.
    return not _at_later_notes(measures, names) or max(offsets) <= _NEAR or every


def _at_later_notes(measures: Sequence[GridMeasure], names: Sequence[tuple[int, int]]) -> bool:
    return all(
        any(column.position == offset for column in measures[slot].columns[1:])
        for slot, offset in names
    )


def behind_bar(slots: Sequence[Slot], text: str, start: int) -> int | None:
    """The measure at whose beginning a name stands right behind a bar of its own line, or None:
    ``| G      | D``. The bar stands over the measure's, or over its first note."""
    bar = start - 1 if text[start - 1 : start] == "|" else start - 2
    if bar < 0 or text[bar:start].rstrip() != "|":
        return None
    begins = [slot.cells[0].start for slot in slots]
    near = min(range(len(slots)), key=lambda i: abs(begins[i] - bar))
    return near if abs(begins[near] - bar) <= _FROM_BAR else None


def beginning(measure: GridMeasure, offset: int) -> tuple[int, int | None]:
    """The position and column of a name that is meant for the whole measure: those of the first
    note, if the name does not stand before it."""
    if measure.columns and measure.columns[0].position <= offset + 1:
        return measure.columns[0].position, 0
    return 0, None
