"""Letters of rests, ``(q)``, on a line of durations whose others have their notes by order."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.letters import letters_to_ticks
from rollstave.grid.typed import GridMeasure
from rollstave.reading.beside.line_words import Word
from rollstave.reading.rows.cutting import Slot

# The measure and the column of a word, by its line and index, and by how much it is moved.
Placed = dict[tuple[int, int], tuple[int, int | None, int]]


def rests_among(
    measures: Sequence[GridMeasure],
    slots: Sequence[Slot],
    words: Sequence[Word],
    placed: Placed,
    number: int,
) -> Placed:
    """Where the rests stand of the line ``number`` whose other letters are ``placed``: behind the
    note of the letter before, in its measure unless the letters of that fill the fullest one."""
    known = {w.start: placed[number, w.start] for w in words if (number, w.start) in placed}
    lasts = [0] * len(measures)
    for word in words:
        if word.start in known:
            lasts[known[word.start][0]] += letters_to_ticks(word.text) or 0
    full = max(lasts)
    last = known[max(known)][0]
    found: Placed = {}
    where, column = 0, -1
    for word in words:
        if word.start in known:
            where, column = known[word.start][0], known[word.start][1] or 0
            continue
        ticks = letters_to_ticks(word.text) or 0
        if lasts[where] + ticks > full and where < last:
            where, column = where + 1, -1
        lasts[where] += ticks
        at = measures[where].columns[column].position + 1 if column >= 0 else 0
        found[number, word.start] = (where, None, at - (word.start - slots[where].cells[0].start))
    return found
