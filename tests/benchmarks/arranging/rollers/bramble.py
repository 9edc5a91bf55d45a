"""Led by the thumb: the melody on strings 4, 3 and 2, index and middle finger drone between.

The thumb has every beat. Where the melody has no new note there it goes to string 5 (or strikes the
last note again). Between the beats index and middle finger take turns on the top strings, or pluck
them together. The index finger may take a melody note between two beats if string 2 or 1 has it.
Bramble leaves drones out, pinches the middle finger with the thumb, walks between chords, and lets
the last note of a phrase ring over one pluck.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune
from . import breaks
from .base import Bar, Hold, Place, Roller, Slot, Told, Want


class Bramble(Roller):
    tunings = (("gDGBD", 0.0), ("gCGBD", 0.2), ("gCGCD", 0.3), ("gDGCD", 0.6))
    highest, stopped = 2, 4

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        self.again = rng.choice((0.0, 0.2, 0.5))
        self.together = rng.choice((0.0, 0.1, 0.6))
        self.catches = rng.choice((0.0, 0.3, 0.8))
        self.held, self.pinched = rng.choice((0.0, 0.1, 0.25)), rng.choice((0.0, 0.1, 0.3))
        self.hammered, self.walked = rng.uniform(0.0, 0.25), rng.uniform(0.0, 0.25)
        self.middle_first = rng.random() < 0.4
        self.rings = rng.uniform(0.2, 0.9)

    def play(self, bar: Bar) -> None:
        rng = self.rng
        held: list[Hold] = []
        for span, chord in self.halves(bar):
            held.append(self._half(bar, span, self.hold(chord, self._wants(bar, span))))
        if bar.final or (bar.ending and rng.random() < self.rings):
            half = max(bar.size // self.group // 2, 1) * self.group
            breaks.pluck(self, bar, half, held[-1], (1, 2))
            return
        if rng.random() < self.walked and breaks.walk(self, bar):
            return
        if rng.random() < self.pinched:
            beats = range(0, bar.size, self.group)
            breaks.pinch(self, bar, rng.choice(beats), held[-1], 1)
        if rng.random() < self.held:
            breaks.hold(self, bar, rng.choice((1, 2)))
        if rng.random() < self.hammered:
            beat = rng.choice(range(0, bar.size, self.group))
            breaks.lead_in(self, bar, beat, 0.3)

    def _wants(self, bar: Bar, span: range) -> dict[Slot, Want]:
        wants: dict[Slot, Want] = {}
        for slot in span:
            note, before = self.new_at(bar, slot), self.sounding(bar, slot)
            if slot % self.group == 0:
                if note is None and before and self.rng.random() < (self.again if slot else 1.0):
                    note = before
                if note is not None:
                    wants[slot] = Want(self.midi(note), (4, 3, 2))
            elif note is not None and self.rng.random() < self.catches:
                midi = self.midi(note)  # the finger takes what lies on its own strings
                if midi >= self.opens[1]:
                    wants[slot] = Want(midi, (2, 1))
        return wants

    def _half(self, bar: Bar, span: range, held: Hold) -> Hold:
        ringing = None
        for slot in span:
            string = self.melody(bar, slot, held)
            if string is not None:
                ringing = string
                continue
            if slot % self.group == 0:
                self.fill(bar, slot, held, *(s for s in (5, 4, 3) if s != ringing))
                continue
            beat = slot // self.group
            turn = (beat % 2 == 0) ^ self.middle_first if self.group == 2 else slot % 3 == 1
            free = [s for s in ((2, 1) if turn else (1, 2)) if s != ringing]
            self.fill(bar, slot, held, *free)
            if len(free) == 2 and self.rng.random() < self.together:
                self.fill(bar, slot, held, *free)
        return held


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Bramble(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
