"""Blanks that part groups of columns inside a measure: ``| 0-- 0-2 3-2 |``. They take no time.

Common practice, no source: beats are set apart for the eye, in all rows at once.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from msgspec.structs import replace

from rollstave.grid.typed import GridMeasure
from rollstave.reading.rows.cutting import Slot
from rollstave.reading.state import ReadingState


def closed_up(
    state: ReadingState, measures: Sequence[GridMeasure], slots: Sequence[Slot]
) -> list[GridMeasure] | None:
    """The measures of a system without the blanks for the eye, or None if most have none."""
    blanks = [_blanks(slot) for slot in slots]
    if 2 * sum(map(bool, blanks)) < len(slots):
        return None
    return [_without(m, found) for m, found in zip(measures, blanks, strict=True)]


def _blanks(slot: Slot) -> list[int]:
    """The positions at which all rows of a measure have a blank, where some stand between groups
    of characters and no row has a blank anywhere else. A blank after every character is a way to
    space a tab, which holds for all of it."""
    texts = [cell.text.ljust(slot.width) for cell in slot.cells]
    if not all(" " in text.strip() for text in texts):
        return []
    found = [at for at in range(slot.width) if all(text[at] == " " for text in texts)]
    if any(text.count(" ") != len(found) for text in texts) or min(map(len, texts[0].split())) < 2:
        return []
    first, last = (len(text) for text in (texts[0].rstrip(), texts[0].lstrip()))
    inside = [at for at in found if slot.width - last < at < first]
    return found if inside else []


def _without(measure: GridMeasure, blanks: Sequence[int]) -> GridMeasure:
    if not blanks:
        return measure

    def moved(position: int) -> int:
        return position - bisect_left(blanks, position)

    return replace(
        measure,
        width=measure.width - len(blanks),
        columns=tuple(replace(c, position=moved(c.position)) for c in measure.columns),
        attachments=tuple(replace(a, position=moved(a.position)) for a in measure.attachments),
        rests=tuple(map(moved, measure.rests)),
    )
