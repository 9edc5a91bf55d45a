"""Which chains of onsets a measure may have at all. Times are in ticks."""

from __future__ import annotations

from rollstave.rhythm.evidence import TICKS


def is_usual(length: int, onsets: tuple[int, ...]) -> bool:
    """True if no beat mixes thirds with halves and quarters, thirds come in runs, and 32nd
    places are there only for 32nd or dotted sixteenth notes."""
    ends = (*onsets[1:], length)
    thirds = set()
    for index, onset in enumerate(onsets):
        duration = ends[index] - onset
        before = onset - onsets[index - 1] if index else 0
        if onset % 3:
            thirds.add(onset // TICKS)
            if not {before, duration} & {4, 8}:
                return False
        elif onset % 6 and not {before, duration} & {3, 9}:
            return False
    return all(onset % 4 == 0 for onset in onsets if onset // TICKS in thirds)


def is_whole(length: int, onsets: tuple[int, ...]) -> bool:
    """True for a usual chain in which no third of a beat is without the other, and 32nd places are
    no thirds that were rounded."""
    places = [(onset // TICKS, onset % TICKS) for onset in onsets]
    there = set(places)
    for beat, place in places:
        if place in (8, 16) and (beat, 24 - place) not in there:
            return False
        if place in (4, 20) or (place % 6 and place % 3 == 0 and place % 4 == 0):
            return False
    return is_usual(length, onsets)
