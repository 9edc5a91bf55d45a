"""The tune where one finger of the roll happens to fall, be it the thumb or another.

Ivy plays a roll through and gives one finger the tune: what the melody has reached by then, on that
finger's strings. The others keep to the chord. A stroke of that finger at which the melody has
nothing new may repeat it, or be of the chord as well.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune
from .base import Bar, Place, Told
from .patterned import Patterned, Put

EIGHT = ("timtimti", "mitmitmt", "itmtitmt", "timtmitm", "mtitmtit", "imtimtim", "titmtitm")
SIX = ("timtim", "mitmit", "itmitm", "timtmi", "titmit")
OF_FINGER = {"t": (4, 3, 2), "i": (2, 3), "m": (1, 2)}
DRONES = {"t": ("i", "m"), "i": ("t", "m"), "m": ("t", "i")}


class Ivy(Patterned):
    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        self.finger = rng.choice("ttim")
        of_finger = OF_FINGER[self.finger]
        self.lowest, self.highest, self.stopped = max(of_finger), min(of_finger), 5
        super().__init__(tune, rng)
        table = EIGHT if self.size % 8 == 0 else SIX
        self.roll = rng.choice(table)
        self.other = rng.choice(table)
        self.changes = rng.choice((0.0, 0.2, 0.5))
        self.again = rng.choice((0.0, 0.0, 0.4, 1.0))
        self.drone = rng.choice(("t", "m", "i", ""))  # what is played on the short string
        self.first = rng.random() < 0.7  # the first beat has the tune whoever falls there
        self.now = self.roll

    def pattern(self, bar: Bar) -> str:
        drone = self.drone if self.drone != self.finger else ""
        roll = self.now.replace(drone, "5") if drone else self.now
        return roll if self.finger != "t" else roll.replace("t", "o")

    def places(self, bar: Bar) -> dict[int, Put]:
        self.now = self.other if self.rng.random() < self.changes else self.roll
        roll = (self.now * 12)[: bar.size]
        found: dict[int, Put] = {}
        last = None
        for slot in range(bar.size):
            if roll[slot] != self.finger and not (slot == 0 and self.first):
                continue
            note = self.sounding(bar, slot)
            if note is None:
                continue
            if note is not last or self.rng.random() < self.again:
                found[slot] = Put(note, OF_FINGER[self.finger])
            last = note
        return found


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Ivy(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
