"""Lines of counts and of duration letters that slid along the notes of their system.

Common practice, no source: a typist forgets the labels, or how wide a fret is, so that from some
word on all stand a character or two to the left or right. By measure alone such words are those of
other notes, and at a bar line those of another measure; the whole line tells.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise

_FARTHEST = 4  # columns that a word may be off
_SHIFT = 3  # columns that a line may be off as a whole
_FEWEST = 4  # notes of a system that show that its line is off
_MOST, _CLEARLY = 0.8, 0.2  # shares of the notes, or words, that stand right if it is moved
_FEWEST_MORE = 2


def one_for_each(starts: Sequence[int], notes: Sequence[int], slip: int) -> bool:
    """Whether a line has as many words as its system has notes, goes along with them, and never
    slips by more than ``slip`` columns, nor by as many as the next note is away, so that each word
    is that of the note that has its place in the order. All is in columns of the page, in order."""
    if len(starts) != len(notes) or len(starts) < _FEWEST:
        return False
    off = [start - note for start, note in zip(starts, notes, strict=True)]
    if max(map(abs, off)) > _FARTHEST or not any(off):
        return False
    slips = [abs(after - before) for before, after in pairwise(off)]
    room = [after - before for before, after in pairwise(notes)]
    return all(by <= slip and by < gap for by, gap in zip(slips, room, strict=True))


def slid_by(
    starts: Sequence[int],
    notes: Collection[int],
    ones: Sequence[int] = (),
    bars: Sequence[int] = (),
) -> int:
    """What is to be added to where the words of a line stand, if it slid as a whole: then there is
    a word at most notes, clearly at more than anywhere else, and no word stands before the "1" of
    a measure. ``ones`` are where those are typed, ``bars`` where the measures begin."""
    if len(notes) < _FEWEST:
        return 0
    there = set(starts)

    def at_notes(by: int) -> int:
        return sum(note - by in there for note in notes)

    right = {by: at_notes(by) for by in range(-_SHIFT, _SHIFT + 1)}
    best = max(right, key=lambda by: (right[by], -abs(by)))
    second = max(count for by, count in right.items() if by != best)
    clearly = right[best] - second >= max(_FEWEST_MORE, _CLEARLY * len(notes))
    if not best or right[best] < _MOST * len(notes) or not clearly:
        return 0
    return best if _ones_early(starts, ones, bars, best) else 0


def _ones_early(starts: Sequence[int], ones: Sequence[int], bars: Sequence[int], by: int) -> bool:
    """Whether each "1" is the first word of its measure once the line is moved."""
    for one in ones:
        begins = max((bar for bar in bars if bar <= one + by), default=None)
        if begins is None or any(begins <= start + by < one + by for start in starts):
            return False
    return True
