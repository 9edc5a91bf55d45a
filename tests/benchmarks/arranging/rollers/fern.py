"""The tune a stroke early, or a stroke late: it is seldom where the beat is.

Fern strikes the first note of a measure or of a half before it, in the roll that still runs, and
then lets the roll go on over the beat; in other tunes the roll has the beat and the note follows.
Which, how often, and on which fingers, is Fern's habit in a tune. What lies between is on the beat.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune
from .base import Bar, Place, Told
from .patterned import Patterned, Put

EIGHT = ("timtimti", "ti5mti5m", "5imtim5i", "mitmitmi", "tim5imt5", "i5mi5mit")
THREE = ("tim5im", "timtim", "mitmit", "5imtim")
STRINGS = ((3, 4, 2), (2, 3, 1), (3, 2, 4), (2, 1, 3))


class Fern(Patterned):
    highest, stopped = 2, 5

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        self.move_by = rng.choice((-1, -1, -1, 1))
        self.moved, self.strong = rng.choice((0.3, 0.6, 0.9)), rng.random() < 0.5
        self.strings = rng.choice(STRINGS)
        self.between = rng.choice((0.0, 0.4, 0.9))
        table = EIGHT if self.size % 8 == 0 else THREE
        self.rolls = rng.sample(table, rng.choice((1, 1, 2)))
        self.early = False  # the note that comes is struck already

    def pattern(self, bar: Bar) -> str:
        return self.rng.choice(self.rolls)

    def places(self, bar: Bar) -> dict[int, Put]:
        found: dict[int, Put] = {}
        struck, self.early = self.early, False
        half = bar.size // 2 if bar.size % 4 == 0 else bar.size
        for slot in range(bar.size):
            note = self.new_at(bar, slot)
            if note is None or (slot == 0 and struck):
                continue
            beat = slot % self.group == 0
            if slot and not (beat and (not self.strong or slot % half == 0)):
                if self.rng.random() < self.between:
                    found.setdefault(slot, Put(note, self.strings))
                continue
            at = slot + self.move_by if self.rng.random() < self.moved else slot
            taken = at != slot and self.new_at(bar, at) is not None
            found[slot if taken or not 0 <= at < bar.size else at] = Put(note, self.strings)
        after = self.following(bar)
        early = self.move_by < 0 and self.rng.random() < self.moved
        if after is not None and early and not bar.ending and not bar.final:
            found[bar.size - 1] = Put(after, self.strings)
            self.early = True
        return found


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Fern(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
