"""Stretches that no hand makes: frets stopped at once that lie too far apart."""

from __future__ import annotations

from collections.abc import Iterator

from rollstave.api import Tune
from rollstave.proofreading.correction import Correction
from rollstave.vocabulary import problems as kinds

# Frets from the lowest to the highest finger of one grip (common practice: four frets are easy
# on a banjo's neck, five can be done low down, six up the neck, where frets lie closer).
_LOW_REACH, _HIGH_REACH, _HIGH_FROM = 5, 6, 9


def stretches(tune: Tune) -> Iterator[Correction]:
    for measure in tune.grid.measures:
        for column in measure.columns:
            stopped = [s for s in column.strokes if s.fret and not s.harmonic]
            if len(stopped) < 2:
                continue
            lowest = min(stopped, key=lambda s: s.fret or 0)
            highest = max(stopped, key=lambda s: s.fret or 0)
            low, high = lowest.fret or 0, highest.fret or 0
            if high - low > (_HIGH_REACH if low >= _HIGH_FROM else _LOW_REACH):
                yield Correction(
                    kinds.STRETCH,
                    highest.place,
                    f"frets {low} (string {lowest.string}) and {high} (string {highest.string}) "
                    "are stopped at once, further apart than a hand reaches",
                )
