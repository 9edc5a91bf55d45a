"""No habit but the tune's own: strokes, strings and fingers are thrown anew for each tune.

Juniper throws which strokes of a measure may have the tune, on which strings, how likely each is to
carry it, what the other strokes do, how often a note that sounds on is struck again, and whether
what stands on no such stroke moves to the nearest one.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune
from .base import Bar, Place, Told
from .patterned import Patterned, Put

FILLS = {"t": (4, 3), "o": (3, 4), "i": (2, 3), "n": (3, 2), "m": (1, 2), "5": (5, 1)}


class Juniper(Patterned):
    tunings = (("gDGBD", 0.0), ("gCGBD", 0.0), ("gCGCD", 0.2), ("gDGCD", 0.2), ("aDADE", 0.4))
    fills = FILLS

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        self.strings = tuple(rng.sample((1, 2, 3, 4), rng.choice((2, 3, 4))))
        self.lowest, self.highest = max(self.strings), min(self.strings)
        self.stopped = rng.choice((3, 5, 7))
        super().__init__(tune, rng)
        share, beats = rng.choice((0.15, 0.4, 0.8)), rng.choice((0.3, 0.8, 1.0))
        self.open = {
            slot: rng.choice((0.6, 0.9, 1.0))
            for slot in range(self.size)
            if slot == 0 or rng.random() < (share if slot % self.group else beats)
        }
        self.again = rng.choice((0.0, 0.0, 0.3, 0.8))
        self.moves = rng.choice((0.0, 0.0, 0.5, 1.0))
        letters = rng.sample("toinm5", rng.choice((3, 4)))
        self.rolls = []
        for _ in range(rng.choice((1, 1, 2, 3))):
            roll = [rng.choice(letters)]
            while len(roll) < self.size:  # no finger's string twice running
                roll.append(rng.choice([one for one in letters if one != roll[-1]]))
            gaps = rng.choice((0.0, 0.0, 0.15))
            self.rolls.append("".join("." if rng.random() < gaps else one for one in roll))

    def pattern(self, bar: Bar) -> str:
        return self.rng.choice(self.rolls)

    def places(self, bar: Bar) -> dict[int, Put]:
        found: dict[int, Put] = {}
        last = None
        for slot in range(bar.size):
            note = self.sounding(bar, slot)
            if note is None or slot not in self.open:
                continue
            new = note.onset == slot * self.slot
            late = note is not last and self.rng.random() < self.moves
            again = note is last and self.rng.random() < self.again
            if slot == 0 or ((new or late or again) and self.rng.random() < self.open[slot]):
                found[slot] = Put(note, self.strings)
                last = note
        return found


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Juniper(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
