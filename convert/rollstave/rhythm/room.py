"""How much room a typist gives to notes as they last: learned from what is written under others.

Where counts can be read in several ways, the characters between the notes may tell: typed in time,
three in the time of two are as far apart as each other, two sixteenths after an eighth are closer.
Typed as close as can be, all are alike, and tell nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec import Struct

from rollstave.rhythm.evidence import Evidence
from rollstave.rhythm.model_data import Pattern

_ENOUGH = 8  # notes from which a line is drawn
_LEAST = 0.4  # characters that a typist is off at the least, on average
_WORST = 4.0  # no gap speaks against a reading by more


class _Line(Struct, frozen=True):
    """Characters as a line over ticks, and how far from it they are on average."""

    start: float
    slope: float
    off: float

    def score(self, gap: int, ticks: int) -> float:
        """Log odds of so many characters for a note of so many ticks."""
        return -min(_WORST, abs(gap - self.start - self.slope * ticks) / self.off)


class Room(Struct, frozen=True):
    """The lines for notes before another note and for the last of a measure; None if too few are
    written to tell."""

    inner: _Line | None
    last: _Line | None

    def scores(self, evidence: Evidence, patterns: Sequence[Pattern]) -> list[float]:
        """Log odds of the columns of a measure under each of its readings."""
        found = []
        for pattern in patterns:
            *inner, last = _pairs(evidence, pattern)
            score = sum(self.inner.score(*pair) for pair in inner) if self.inner else 0.0
            found.append(score + (self.last.score(*last) if self.last else 0.0))
        return found


def learn_room(written: Sequence[tuple[Evidence, Pattern]]) -> Room:
    """The room that notes have in measures whose rhythm is written."""
    inner: list[tuple[int, int]] = []
    last: list[tuple[int, int]] = []
    for evidence, pattern in written:
        pairs = list(_pairs(evidence, pattern))
        inner += pairs[:-1]
        last += pairs[-1:]
    return Room(inner=_line(inner), last=_line(last))


def _pairs(evidence: Evidence, pattern: Pattern) -> Iterator[tuple[int, int]]:
    length, onsets = pattern
    ends = (*onsets[1:], length)
    for gap, start, end in zip(evidence.gaps, onsets, ends, strict=True):
        yield gap, end - start


def _line(pairs: Sequence[tuple[int, int]]) -> _Line | None:
    """The line of least squares."""
    if len(pairs) < _ENOUGH:
        return None
    n = len(pairs)
    gap = sum(g for g, _ in pairs) / n
    ticks = sum(t for _, t in pairs) / n
    spread = sum((t - ticks) ** 2 for _, t in pairs)
    slope = sum((g - gap) * (t - ticks) for g, t in pairs) / spread if spread else 0.0
    start = gap - slope * ticks
    off = sum(abs(g - start - slope * t) for g, t in pairs) / n
    return _Line(start=start, slope=max(0.0, slope), off=max(_LEAST, off))
