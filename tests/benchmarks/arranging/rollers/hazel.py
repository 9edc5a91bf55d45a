"""The tune on top, over a bass that goes from string to string on the beats.

Hazel's thumb has nothing of the tune: it alternates between two strings, or drones on the fifth.
Index and middle finger have the tune on strings 1 and 2, with the thumb where both fall together;
where it rests a finger may fill in on an inner string.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune
from .base import Bar, Place, Told
from .patterned import Patterned, Put

BASSES = ("to", "t5", "o5", "to5o", "t5o5", "o", "ot")
BETWEEN = (".", ".", "n", "n.", ".n", "nm")
FILLS = {"t": (4, 3), "o": (3, 4), "n": (3, 2), "m": (2, 1), "5": (5,)}


class Hazel(Patterned):
    tunings = (("gDGBD", 0.0), ("gCGBD", 0.2), ("gDGCD", 0.4), ("gCGCD", 0.5), ("aDADE", 0.8))
    lowest, highest, stopped = 3, 1, 5
    fills = FILLS
    partners = ((),)

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        self.bass, self.fill_in = rng.choice(BASSES), rng.choice(BETWEEN)
        self.every = rng.choice((1, 1, 2)) if self.group == 2 else 1  # beats to a stroke of bass
        self.under = rng.choice((0.3, 0.7, 1.0))  # how often the bass is struck under the tune
        self.carried = rng.choice((0.6, 0.9, 1.0))

    def pattern(self, bar: Bar) -> str:
        found = []
        for slot in range(bar.size):
            step, rest = divmod(slot, self.group * self.every)
            if rest == 0:
                found.append(self.bass[step % len(self.bass)])
            else:
                found.append(self.fill_in[slot % len(self.fill_in)])
        return "".join(found)

    def places(self, bar: Bar) -> dict[int, Put]:
        found: dict[int, Put] = {}
        for slot in range(bar.size):
            note = self.new_at(bar, slot)
            if note and (slot % self.group == 0 or self.rng.random() < self.carried):
                found[slot] = Put(note, (1, 2, 3))
        return found

    def play(self, bar: Bar) -> None:
        super().play(bar)
        pattern = self.pattern(bar)
        for span, chord in self.halves(bar):
            beats = [s for s in span if s % (self.group * self.every) == 0 and bar.has_melody(s)]
            if not beats:
                continue
            held = self.hold(chord)
            for slot in beats:
                strings = [s for s in self.fills[pattern[slot]] if s > max(bar.struck[slot])]
                if not bar.linked(slot) and self.rng.random() < self.under:
                    self.fill(bar, slot, held, *strings)


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Hazel(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
