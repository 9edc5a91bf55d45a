"""A letter that is a half of a beat in all of a tune, and would be another part of it elsewhere.

Common practice, no source: ``1 a 2 a 3 a 4 a`` counts halves, as ``1 e 2 e`` does where ``e`` is
the word for "and". In ``1 & 2 a`` the letters are the quarters of a beat.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rollstave.rhythm.count_words import Counts

_LETTERS = ({"a"}, {"e"})
_BETWEEN = (0.4, 0.66)  # of the way from a beat to the next, where its second half stands
_AS_WIDE = 0.75  # of a beat with a half, that one without is where width is time


def with_halves(counts: Sequence[Counts]) -> Sequence[Counts]:
    """The counts of a tune's measures with ``&`` for the one letter that stands between its
    beats: on the whole in their middle, unless beats that it does not part are narrower, so that
    where a count stands says nothing."""
    parts = {text.lower() for some in counts for _, text in some if not text.isdecimal()}
    if parts not in _LETTERS:
        return counts
    widths, shares, whole = [], [], []
    for before, at, after in _beats(counts):
        if at is None:
            whole.append(after - before)
        else:
            widths.append(after - before)
            shares.append((at - before) / (after - before))
    if not shares or not _BETWEEN[0] <= _mean(shares) <= _BETWEEN[1]:
        return counts
    if whole and _mean(whole) < _AS_WIDE * _mean(widths):
        return counts
    return [[(at, text if text.isdecimal() else "&") for at, text in some] for some in counts]


def _beats(counts: Sequence[Counts]) -> Iterator[tuple[int, int | None, int]]:
    """Where each beat that is counted begins, where a letter parts it if one does, and where the
    next begins."""
    for some in counts:
        for index, (start, text) in enumerate(some):
            letter = index + 1 < len(some) and not some[index + 1][1].isdecimal()
            after = some[index + 1 + letter] if index + 1 + letter < len(some) else None
            if after is None or not (text.isdecimal() and after[1].isdecimal()):
                continue
            if int(after[1]) == int(text) + 1 and after[0] > start:
                yield start, some[index + 1][0] if letter else None, after[0]


def _mean(numbers: Sequence[float]) -> float:
    return sum(numbers) / len(numbers)
