"""Led by the index finger: pinches at the melody's quarters, the roll in between.

A note of a beat or more is pinched: the index finger has the melody on strings 3 and 2 (the middle
finger on 1 where it is higher), the thumb drones with it, and no stroke follows for a moment.
Longer notes are filled by a piece of a roll. Eighths are picked alone by index finger and thumb in
turn. Phrases end on a held note. Clover hammers into notes, leaves out strokes of the fill, and
walks between chords.
"""

from __future__ import annotations

import random
from fractions import Fraction
from itertools import pairwise

from ...rhythm.model import ArrangedTune, CorpusTune
from . import breaks
from .base import Bar, Hold, Place, Roller, Slot, Told, Want

# What is rolled after a pinch, by how many slots the note has: a dot is the pinch sounding on.
EVEN = {
    3: (".5", ".m", "m5", "5m"),
    4: (".5m", ".m5", "m5m", "5m5", "i5m"),
    5: (".5m5", ".im5", "m5im"),
    6: (".5m5m", ".im5m", "m5im5", ".5im5"),
    7: (".5m5m5", ".im5im"),
    8: (".5m5im5", ".im5im5", "m5im5m5", ".m5.m5m"),
}
COMPOUND = {
    2: (".", "."),
    3: ("5m", "m5", ".5", ".m", "im"),
    4: ("5m.", "m5m", ".m5"),
    5: ("5m.5", "m5.m", ".m5m"),
    6: ("5m.5m", "m5im5", ".m5.m", "im5im"),
    9: ("5m.5m.5m", "im5im5im", ".m5.m5.m"),
}
FILLS = {"m": (1, 2), "i": (2, 3), "5": (5, 1)}


class Clover(Roller):
    tunings = (("gDGBD", 0.0), ("gCGBD", 0.4), ("gDGCD", 0.4), ("aDADE", 0.7))
    lowest, highest, stopped = 4, 1, 4

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        self.pinched = rng.uniform(0.6, 1.0)
        self.drone = rng.choice(((5,), (5, 1), (1,), (5, 1)))
        self.both = rng.choice((0.0, 0.1, 0.3))  # three strings together
        self.quiet = rng.choice((0.0, 0.15, 0.3))  # long notes that are not filled
        self.held, self.walked = rng.uniform(0.0, 0.3), rng.uniform(0.0, 0.15)
        self.hammered = rng.choice((0.0, 0.1, 0.3))
        self.table = COMPOUND if self.group == 3 else EVEN
        self.own = {n: rng.choice(fills) for n, fills in self.table.items()}

    def play(self, bar: Bar) -> None:
        rng = self.rng
        held = self.hold(bar.chords[0])
        for span, chord in self.halves(bar):
            here = [n for n in bar.measure.notes if span.start <= n.onset / self.slot < span.stop]
            wants: dict[Slot, Want] = {}
            for note in here:
                wants[note.onset / self.slot] = Want(self.midi(note), (2, 3, 1, 4))
            held = self.hold(chord, wants)
            for start, end in pairwise(Fraction(slot) for slot in (*wants, span.stop)):
                self._note(bar, start, end, held)
        if bar.final or bar.ending:
            return
        if rng.random() < self.walked and breaks.walk(self, bar):
            return
        if rng.random() < self.held:
            breaks.hold(self, bar)
        if rng.random() < self.hammered:
            starts = [s for s in bar.struck if bar.has_melody(s) and s % 1 == 0]
            if starts:
                breaks.lead_in(self, bar, int(self.rng.choice(starts)), 0.3)

    def _note(self, bar: Bar, start: Fraction, end: Fraction, held: Hold) -> None:
        """A melody note: pinched if it is long, and what is rolled until the next."""
        string, rng = self.melody(bar, start, held), self.rng
        count = end - start
        if string is None or start.denominator > 1 or count.denominator > 1:
            return
        if count < 2 or (self.group == 2 and start % 2):  # an eighth, or off the beat
            return
        if rng.random() < self.pinched:
            drones = (5, 1) if rng.random() < self.both else self.drone[:1]
            for drone in drones:
                self.fill(bar, start, held, drone)
        rings = bar.final or bar.ending
        if count < 3 or (rings and end >= bar.size) or rng.random() < self.quiet:
            return
        table = self.table.get(int(count))
        if table is None:
            return
        piece = self.own[int(count)] if rng.random() < 0.6 else rng.choice(table)
        for slot, finger in enumerate(piece, start=int(start) + 1):
            if finger != ".":
                self.fill(bar, slot, held, *(s for s in FILLS[finger] if s != string))


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Clover(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
