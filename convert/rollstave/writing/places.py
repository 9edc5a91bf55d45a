"""From what is on a sheet back to where it was typed."""

from __future__ import annotations

from rollstave.notating.notation import notate
from rollstave.problems import Place
from rollstave.score.records import Score
from rollstave.writing.note_ids import STAFF_PREFIX, TAB_PREFIX, grace_id, note_id


def note_places(score: Score, prefix: str = "") -> dict[str, Place]:
    """The place in the text of every note that a sheet of the score draws, by its id there.

    A note has an id on the staff and one on the tab, and more where it is tied. ``prefix`` is that
    of the sheet's options (:class:`~rollstave.writing.options.SheetOptions`); ids of a view that
    the sheet does not have are in the table all the same.
    """
    found: dict[str, Place] = {}
    for notated in notate(score):
        measure = notated.measure.index
        for symbol in notated.symbols:
            event = symbol.event_index
            for staff in (STAFF_PREFIX, TAB_PREFIX):
                for head in symbol.heads:
                    name = note_id(staff, measure, event, symbol.part, head.note.string)
                    found[prefix + name] = head.note.place
                for number, group in enumerate(symbol.grace):
                    for small in group:
                        name = grace_id(staff, measure, event, number, small.note.string)
                        found[prefix + name] = small.note.place
    return found


def measure_id(index: int, prefix: str = "") -> str:
    """The id on a sheet of the measure with that index in its score."""
    return f"{prefix}m{index}"
