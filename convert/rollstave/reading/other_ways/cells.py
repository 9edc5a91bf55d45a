"""Tab in the cells of a table, as a spreadsheet writes them: a row for each string, a cell for
each moment, divided by commas, semicolons or tabs.

A row named for bars has a number where each begins; else the counts do, with each 1.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from rollstave.patterns import rare
from rollstave.reading.other_ways.made import Made, Onset

_DIVIDERS = ",;\t"
_NAME = rare(r"\s*\"?(?:string\s*)?([A-Ga-g][#b]?\d?|[1-8])\"?\s*", re.IGNORECASE)
_CELL = rare(r"\s*\"?(\d{1,2}(?:[hpsHPS/\\]\d{1,2})*|[xX]|[-.]?|\|)\"?\s*")
_BARS = rare(r"\s*(?:bars?|measures?|meas\.?|m)\s*", re.IGNORECASE)
_COUNTS = rare(r"\s*(?:counts?|beats?|time)\s*", re.IGNORECASE)
_FEWEST_STRINGS, _MOST_STRINGS, _FEWEST_CELLS = 3, 8, 4


def in_cells(lines: Sequence[str]) -> Made | None:
    """The rows of such a tab, None for another text."""
    typed = [line for line in lines if line.strip()]
    divider = max(_DIVIDERS, key=lambda sign: sum(sign in line for line in typed))
    if 2 * sum(divider in line for line in typed) <= len(typed):
        return None
    made = Made()
    bars: list[str] = []
    counts: list[str] = []
    systems = index = 0
    while index < len(lines):
        name, *cells = lines[index].split(divider)
        rows = _rows(lines[index : index + _MOST_STRINGS + 1], divider)
        if len(rows) >= _FEWEST_STRINGS:
            _take(made, rows, (bars, counts), index + 1)
            systems += 1
            index += len(rows)
            bars, counts = [], []
            continue
        said = [cell.strip(' "') for cell in cells]
        if _BARS.fullmatch(name):
            bars = said
        elif _COUNTS.fullmatch(name) and len([c for c in said if c]) > 2:
            counts = said
        else:
            words = " ".join(cell for cell in said if cell)
            made.add(
                f"{name.strip()}: {words}" if words and name.strip() else name or words, index + 1
            )
        index += 1
    return made if systems else None


def _rows(lines: Sequence[str], divider: str) -> list[tuple[str, list[str]]]:
    """The rows of strings that lines begin with: the name of each, and its cells."""
    rows = []
    for line in lines:
        name, *cells = line.split(divider)
        label = _NAME.fullmatch(name)
        frets = [_CELL.fullmatch(cell) for cell in cells]
        if label is None or len(cells) < _FEWEST_CELLS or not all(frets):
            break
        rows.append((label[1], [m[1].strip("-.") for m in frets if m is not None]))
    return rows


def _take_barred(
    made: Made,
    rows: Sequence[tuple[str, list[str]]],
    counts: Sequence[str],
    drawn: Sequence[int],
    number: int,
) -> None:
    """Take the rows of a table in which a bar has a cell of its own."""
    length = max(len(cells) for _, cells in rows)
    measures: list[list[Onset]] = []
    said: list[list[str]] = []
    for start, end in pairwise([-1, *drawn, length]):
        cells_of = range(start + 1, end)
        if len(cells_of):
            measures.append([_onset(rows, at) for at in cells_of])
            said.append([counts[at] if at < len(counts) else "" for at in cells_of])
    made.system(measures, [label for label, _ in rows], number, said)


def _onset(rows: Sequence[tuple[str, list[str]]], at: int) -> Onset:
    """What is struck in a column of cells."""
    return {r: cells[at] for r, (_, cells) in enumerate(rows) if at < len(cells) and cells[at]}


def _take(
    made: Made,
    rows: Sequence[tuple[str, list[str]]],
    over: tuple[Sequence[str], Sequence[str]],
    number: int,
) -> None:
    bars, counts = over
    length = max(len(counts), *(len(cells) for _, cells in rows))
    drawn = {i for _, cells in rows for i, cell in enumerate(cells) if cell == "|"}
    if drawn:  # bars in cells of their own
        _take_barred(made, rows, counts, sorted(drawn), number)
        return
    starts = [i for i, cell in enumerate(bars) if cell and i < length]
    starts = starts or [i for i, cell in enumerate(counts) if cell == "1"] or [0]
    starts = [0, *starts] if starts[0] else starts
    measures: list[list[Onset]] = []
    said: list[list[str]] = []
    for start, end in zip(starts, [*starts[1:], length], strict=True):
        measures.append([_onset(rows, at) for at in range(start, end)])
        said.append([counts[at] if at < len(counts) else "" for at in range(start, end)])
    made.system(measures, [label for label, _ in rows], number, said)
