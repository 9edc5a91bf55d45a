"""From what is on a sheet back to where it was typed."""

from __future__ import annotations

from rollstave.problems import Place
from rollstave.score.model import Score
from rollstave.score.notation import notate
from rollstave.writing.mei import STAFF_PREFIX, TAB_PREFIX, note_id


def note_places(score: Score, prefix: str = "") -> dict[str, Place]:
    """The place in the text of every note that a sheet of the score draws, by its id there.

    A note has an id on the staff and one on the tab, and more where it is tied. ``prefix`` is that
    of the sheet's options (:class:`~rollstave.writing.options.SheetOptions`); ids of a view that
    the sheet does not have are in the table all the same.
    """
    return {
        prefix + note_id(staff, notated.measure.index, symbol.event_index, symbol.part, string): (
            head.note.place
        )
        for notated in notate(score)
        for symbol in notated.symbols
        for head in symbol.heads
        for staff in (STAFF_PREFIX, TAB_PREFIX)
        for string in (head.note.string,)
    }


def measure_id(index: int, prefix: str = "") -> str:
    """The id on a sheet of the measure with that index in its score."""
    return f"{prefix}m{index}"
