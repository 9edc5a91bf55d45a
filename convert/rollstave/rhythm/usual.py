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
