"""A time signature typed in the rows, before the first measure, as it is written by hand.

Common practice, no source: two figures one above the other in a place of their own between bars.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.typed import Bar, Heading
from rollstave.reading.ledger import Use
from rollstave.reading.rows.cutting import Cell, Slot
from rollstave.reading.state import ReadingState
from rollstave.vocabulary import problems as kinds

_WIDEST = 5  # characters between its bars
_BEATS = ("2", "3", "4", "5", "6", "9", "12")
_UNITS = ("2", "4", "8")


def meter_in_rows(state: ReadingState, slots: Sequence[Slot]) -> list[Slot] | None:
    """Take the time signature in the rows of a tune's first system for a heading, and the
    measures without it."""
    found = None if state.tune.measures else _meter_and_cell(slots)
    if found is None:
        return None
    meter, at = found
    place = at.row.line.place(at.start + len(at.text) - len(at.text.lstrip("- ")))
    for cell in slots[0].cells:
        state.ledger.claim(cell.row.line, cell.start, cell.end, Use.HEADING)
    if not state.tune.has_heading("time"):
        state.tune.headings.append(Heading("time", meter, place))
        state.problems.add(
            kinds.METER_IN_ROWS,
            f"the figures before the first measure are read as the time {meter}; if they are "
            "frets, add a line such as: Time: 4/4, and leave out the bar behind them",
            place,
        )
    return list(slots[1:])


def _meter_and_cell(slots: Sequence[Slot]) -> tuple[str, Cell] | None:
    """The time signature that the first of several slots is, and the cell of its upper figure."""
    if len(slots) < 2 or slots[0].right is not Bar.SINGLE or slots[0].width > _WIDEST:
        return None
    if slots[1].width < 2 * _WIDEST:
        return None
    cells = [cell for cell in slots[0].cells if cell.text.strip("- ")]
    if len(cells) != 2:
        return None
    upper, lower = (cell.text.strip("- ") for cell in cells)
    aligned = cells[0].text.index(upper) == cells[1].text.index(lower)
    if upper not in _BEATS or lower not in _UNITS or not aligned:
        return None
    return f"{upper}/{lower}", cells[0]
