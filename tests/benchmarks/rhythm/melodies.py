"""Invented melodies: random walks on a scale with leaps, in two parts with repeats.

For checks of arrangers and typists that need no corpus.
"""

from __future__ import annotations

import random
from fractions import Fraction

from .model import Bar, CorpusMeasure, CorpusTune, MeasureKind, MelodyNote, Meter

# Durations of a measure's notes in slots: eighths, in 2/4 sixteenths.
METERS: dict[Meter, tuple[str, ...]] = {
    Meter(4, 4): ("11111111", "211112", "112112", "22211", "44", "31211"),
    Meter(2, 2): ("11111111", "2222", "3122", "2114", "8", "422", "211211"),
    Meter(2, 4): ("11111111", "2222", "3122", "2114", "8", "44", "211211"),
    Meter(6, 8): ("111111", "2121", "33", "1113", "6", "21111", "51"),
    Meter(3, 4): ("222", "42", "6", "2211", "3111", "1122"),
    Meter(9, 8): ("111111111", "212133", "333", "213111"),
}
TRIPLET = 0.06  # chance that a note of two slots or more is a triplet instead


def melody(number: int, seed: int = 1) -> CorpusTune:
    """The melody of a number: half of them have pickups and shorter last measures."""
    rng = random.Random(f"{seed}:melody:{number}")
    meter = rng.choice(list(METERS))
    slot = Fraction(1, 4) if meter == Meter(2, 4) else Fraction(1, 2)
    size = int(meter.length / slot)
    cells = [c for c in METERS[meter] if sum(map(int, c)) == size]
    fifths = rng.choice((-2, -1, 0, 1, 2, 3))
    scale = {(7 * fifths + step) % 12 for step in (0, 2, 4, 5, 7, 9, 11)}
    walk = _Walk([p for p in range(55, 84) if p % 12 in scale], slot, rng)
    pickup = rng.choice((0, 1, 2)) if rng.random() < 0.7 else 0
    measures: list[CorpusMeasure] = []

    def add(lengths: str, kind: MeasureKind, left: Bar, right: Bar) -> None:
        notes = walk.notes([int(n) * slot for n in lengths])
        length = sum((n.duration for n in notes), Fraction(0))
        measures.append(CorpusMeasure(len(measures), length, notes, kind, left, right))

    for _ in range(2):
        start = Bar.REPEAT_START
        if pickup:
            add("1" * pickup, MeasureKind.PICKUP, start, Bar.SINGLE)
            start = Bar.SINGLE
        for _ in range(rng.choice((3, 7, 7))):
            add(rng.choice(cells), MeasureKind.FULL, start, Bar.SINGLE)
            start = Bar.SINGLE
        if pickup:
            add("1" * (size - pickup), MeasureKind.COMPLEMENT, start, Bar.REPEAT_END)
        else:
            add(rng.choice(cells), MeasureKind.FULL, start, Bar.REPEAT_END)
    return CorpusTune(number, meter, fifths, tuple(measures))


class _Walk:
    """Steps and leaps on the notes of a scale."""

    def __init__(self, pool: list[int], slot: Fraction, rng: random.Random) -> None:
        self.pool = pool
        self.slot = slot
        self.rng = rng
        self.at = len(pool) // 2

    def notes(self, durations: list[Fraction]) -> tuple[MelodyNote, ...]:
        """The next measure's notes."""
        found: list[MelodyNote] = []
        onset = Fraction(0)
        for duration in durations:
            self.at += self.rng.choice((-3, -2, -1, -1, -1, 0, 1, 1, 1, 2, 3))
            self.at = min(max(self.at, 1), len(self.pool) - 2)
            third = duration / 3
            if duration >= 2 * self.slot and self.rng.random() < TRIPLET:
                steps = ((k * third, third, self.pool[self.at + k - 1]) for k in range(3))
            else:
                steps = iter([(Fraction(0), duration, self.pool[self.at])])
            found += (MelodyNote(onset + at, long, midi) for at, long, midi in steps)
            onset += duration
        return tuple(found)
