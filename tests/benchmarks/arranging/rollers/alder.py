"""Melody on the first stroke of each half measure, in forward rolls; the rest is fill.

Where the melody has no new note at the half the thumb may strike it again or leave it to the roll.
In 3/4 the tune is on the first and the third beat, in 9/8 on all three. Alder pinches at the half,
leaves strokes out, hammers now and then, walks to the next chord, and ends phrases with half a roll
and plucks of the top strings.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune
from . import breaks
from .base import Bar, Hold, Place, Roller, Slot, Told, Want

# Fingers by slot; capitals are where the melody is. 5 is the thumb on the short string.
EIGHT = ("Tim5Im5m", "Tim5Mi5m", "TimtIm5m", "TimiTimi", "T.m5I.m5", "Tim5Im5i")
SIX_COMPOUND = ("TimTim", "TimTmi", "Tim5im", "T.mTim")
SIX_SIMPLE = ("Tim5Im", "Tim5Mi", "TimiTm")
NINE = ("TimTimTim", "TimTimTmi")
STRINGS = {"T": (3, 4, 2), "I": (2, 3), "M": (1, 2)}
FILLS = {"t": (4, 3), "i": (2, 3), "m": (1, 2), "5": (5, 1)}


class Alder(Roller):
    tunings = (("gDGBD", 0.0), ("gCGBD", 0.6), ("gCGCD", 1.0), ("aDADE", 1.2))
    highest, stopped = 2, 5

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        table: tuple[str, ...]
        if self.group == 3:
            table = NINE if self.size == 9 else SIX_COMPOUND
        else:
            table = EIGHT if self.size == 8 else SIX_SIMPLE
        self.rolls = rng.sample(table, min(len(table), rng.choice((1, 1, 2, 3))))
        self.again = rng.choice((0.1, 0.5, 0.9))
        self.pinched, self.held = rng.choice((0.0, 0.15, 0.3)), rng.choice((0.05, 0.2, 0.4))
        self.hammered, self.walked = rng.uniform(0.0, 0.2), rng.uniform(0.0, 0.3)
        self.slides = rng.choice((0.0, 0.1, 0.25))
        self.plucks = rng.choice(((1, 2), (1, 2, 5), (1, 2, 3)))
        self.ended = rng.uniform(0.3, 0.9)

    def play(self, bar: Bar) -> None:
        rng = self.rng
        roll = self.rolls[0] if rng.random() < 0.75 else rng.choice(self.rolls)
        roll = (roll * 3)[: bar.size]
        held: list[Hold] = []
        for span, chord in self.halves(bar):
            hold = self.hold(chord, self._wants(bar, roll, span))
            held.append(hold)
            self._roll(bar, roll, span, hold)
        middle = bar.size // 2
        if bar.final or (bar.ending and rng.random() < self.ended):
            breaks.pluck(self, bar, middle, held[-1], self.plucks)
            return
        if rng.random() < self.walked and breaks.walk(self, bar):
            return
        if rng.random() < self.pinched:
            breaks.pinch(self, bar, rng.choice((0, middle)), held[-1], 1)
        if rng.random() < self.held:
            breaks.hold(self, bar, rng.choice((1, 1, 2)))
        if rng.random() < self.hammered:
            breaks.hammer(self, bar, held[-1])
        if rng.random() < self.slides:
            breaks.lead_in(self, bar, 0, 0.6)

    def _wants(self, bar: Bar, roll: str, span: range) -> dict[Slot, Want]:
        wants: dict[Slot, Want] = {}
        for slot in span:
            if not roll[slot].isupper():
                continue
            note = self.sounding(bar, slot)
            if note is None:
                continue
            fresh = slot == 0 or note.onset > (slot - self.size // 2) * self.slot
            if fresh or self.rng.random() < self.again:
                wants[slot] = Want(self.midi(note), STRINGS[roll[slot]])
        return wants

    def _roll(self, bar: Bar, roll: str, span: range, held: Hold) -> None:
        ringing = None
        for slot in span:
            if roll[slot] == ".":
                continue
            string = self.melody(bar, slot, held)
            if string is not None:
                ringing = string
                continue
            strings = [s for s in FILLS[roll[slot].lower()] if s != ringing]
            self.fill(bar, slot, held, *strings)


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Alder(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
