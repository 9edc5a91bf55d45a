"""A time signature typed in the rows, before the first measure, as it is written by hand.

Common practice, no source: two figures one above the other in a place of their own between bars.
"""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.typed import Bar
from rollstave.reading.rows.cutting import Cell, Slot

_WIDEST = 5  # characters between its bars
_BEATS = ("2", "3", "4", "5", "6", "9", "12")
_UNITS = ("2", "4", "8")


def meter_in_rows(slots: Sequence[Slot]) -> tuple[str, Cell] | None:
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
