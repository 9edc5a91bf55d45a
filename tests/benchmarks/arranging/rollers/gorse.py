"""The tune on fixed strokes, three, three and two: whatever sounds there is struck.

Gorse divides a measure once for a tune and strikes at each division what the melody has reached,
also where it has stayed; between them the other strings go round. In some tunes only the new notes
are the tune's and the roll has the other divisions.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune
from .base import Bar, Place, Told
from .patterned import Patterned, Put

EIGHT = ((0, 3, 6), (0, 3, 6), (0, 3, 5), (0, 2, 5), (0, 3), (0, 4, 7), (0, 2, 4, 7), (0, 5))
SIX = ((0, 3), (0, 2, 4), (0, 4), (0, 3, 5), (0, 2))
NINE = ((0, 3, 6), (0, 4, 6), (0, 3, 7))
CYCLES = ("im", "mi", "m5", "i5", "im5", "5im", "mi5", "i5m")
STRINGS = ((3, 4, 2), (4, 3, 2), (2, 3, 1), (3, 2, 1))


class Gorse(Patterned):
    highest, stopped = 2, 5

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        table = {8: EIGHT, 6: SIX, 9: NINE}.get(self.size, EIGHT)
        self.divided = rng.choice(table)
        self.again = rng.choice((0.0, 0.5, 1.0))
        self.cycle, self.strings = rng.choice(CYCLES), rng.choice(STRINGS)
        self.round = rng.random() < 0.5  # the cycle begins anew after each division
        self.thumb = rng.choice("to5")  # what a division without the tune has

    def pattern(self, bar: Bar) -> str:
        found, turn = [], 0
        for slot in range(bar.size):
            if slot in self.divided:
                found.append(self.thumb)
                turn = 0 if self.round else turn
            else:
                found.append(self.cycle[turn % len(self.cycle)])
                turn += 1
        return "".join(found)

    def places(self, bar: Bar) -> dict[int, Put]:
        found: dict[int, Put] = {}
        last = None
        for slot in self.divided:
            note = self.sounding(bar, slot) if slot < bar.size else None
            if note is None:
                continue
            if note is not last or self.rng.random() < self.again:
                found[slot] = Put(note, self.strings)
            last = note
        return found


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Gorse(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
