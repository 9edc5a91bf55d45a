"""The roll stays as it is, and the tune goes to the stroke near it whose string has it.

Larch keeps every stroke of a roll on its string. A note of the tune is struck at its own time if
the string of that stroke has it within reach, or else a stroke before or after, or else it is left
to the roll; on a first beat another string takes it.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune, MelodyNote
from .base import Bar, Place, Told
from .patterned import Patterned, Put

EIGHT = ("32151321", "42132421", "25321532", "31521315", "23125321", "35213521", "42514231")
SIX = ("321521", "421321", "215321", "235215", "325325")
REACH = 4
ALL = {str(n): (n,) for n in (1, 2, 3, 4, 5)}


class Larch(Patterned):
    lowest, highest, stopped = 4, 1, 3
    fills = ALL
    partners = ((), (), (1,))

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        self.rolls = rng.sample(EIGHT if self.size % 8 == 0 else SIX, rng.choice((1, 2, 3)))
        self.ways = rng.choice(((0, 1, -1), (0, -1, 1), (0, 1), (0, -1)))
        self.sparse = rng.choice((0.0, 0.5, 1.0))  # how much of what is off the beat is left out
        self.now = self.rolls[0]

    def pattern(self, bar: Bar) -> str:
        return self.now

    def places(self, bar: Bar) -> dict[int, Put]:
        self.now = self.rng.choice(self.rolls)
        roll = (self.now * 12)[: bar.size]
        found: dict[int, Put] = {}
        for slot in range(bar.size):
            note = self.new_at(bar, slot)
            if note is None or (slot % self.group and self.rng.random() < self.sparse):
                continue
            for way in self.ways:
                at = slot + way
                if not 0 <= at < bar.size or at in found or (at == 0 and slot):
                    continue
                if self._has(int(roll[at]), note):
                    found[at] = Put(note, (int(roll[at]),))
                    break
            else:
                if slot == 0 or (slot not in found and self.rng.random() < 0.5):
                    found[slot] = Put(note, (3, 2, 4, 1))
        return found

    def _has(self, string: int, note: MelodyNote) -> bool:
        return string < 5 and 0 <= self.midi(note) - self.opens[string - 1] <= REACH


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Larch(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
