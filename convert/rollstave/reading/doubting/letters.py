"""Letters of fingers stand at notes that fingers strike."""

from __future__ import annotations

from rollstave.grid.typed import GridMeasure, LineKind
from rollstave.reading.doubting.read import Read
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.signs import UNPICKED


def letters_at_picked_notes(read: Read) -> None:
    """Say in which measure a letter stands at a note that is not picked, while one that is has
    none: the letters seem to stand beside their notes."""
    for measure in read.grid.measures:
        letters = measure.attached(LineKind.PICKING)
        if letters and _beside(measure, {a.column for a in letters}):
            read.say(
                kinds.LETTER_BESIDE,
                "a letter stands at a note here that no finger strikes, and a note that is struck "
                "has none; type each letter under its note",
                letters[0].place,
            )


def _beside(measure: GridMeasure, lettered: set[int | None]) -> bool:
    unpicked = {
        i
        for i, column in enumerate(measure.columns)
        if all(stroke.link in UNPICKED for stroke in column.strokes)
    }
    bare = set(range(len(measure.columns))) - lettered - unpicked
    return bool(bare) and bool(unpicked & lettered)
