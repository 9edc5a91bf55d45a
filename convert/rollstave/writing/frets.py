"""What stands on the line of a tab for a note, and the number that keeps as much room for it."""

from __future__ import annotations

from functools import lru_cache
from math import ceil

from rollstave.score.records import GraceNote, Note
from rollstave.vocabulary.signs import HELD, techniques_of

# Hundredths of a millimetre: the font size of the frets, a little over the space between lines and
# 9 points where a staff is 7 mm high; and of those of grace notes.
DIGIT_SIZE = 328.0
GRACE_SIZE = 256.0
_KEPT = 144.0  # what Verovio keeps for each digit
_AIR = 30.0  # between what is written and the lines beside it


def digits(note: Note | GraceNote, tied: bool) -> str:
    """What stands on the line for a note: the fret with its sign; one that is tied to a note
    before it in parentheses, which mean nothing else."""
    if isinstance(note, GraceNote):
        return note.fret_text
    held = tied or note.link in HELD
    rows = techniques_of(note)
    shown = next((row.shown for row in rows if row.instead and row.shown), note.fret_text or "0")
    for row in rows:
        if "{}" in row.shown:
            shown = row.shown.format(shown)
    return f"({shown})" if held else shown


@lru_cache(maxsize=512)
def fret_keeping_room(words: str) -> int:
    """A fret of as many digits as Verovio needs to keep room for words at our size."""
    from rollstave.writing.fonts import Style, text_width

    return int(10 ** (ceil((text_width(words, DIGIT_SIZE, Style.SEMIBOLD) + _AIR) / _KEPT) - 1))
