"""Sparse: the melody in quarters, and between them a bum-ditty or the thumb and a brush.

The melody's notes on the beats are picked, one to a beat; where a note lasts longer the next beat
is a brush over the top strings and the thumb on string 5. Or the thumb picks and the fingers brush
after it, off the beat. Eighths of the melody between two beats are mostly left out, now and then
picked. A long note is seldom filled by a piece of a roll. Elder hammers in place of a second pick,
leaves the ditty's thumb out, walks between chords, and ends phrases on a brush with the melody on
top.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune
from . import breaks
from .base import Bar, Hold, Place, Roller, Slot, Told, Want

BRUSHES = ((1, 2, 3), (1, 2), (1, 2, 3, 4))


class Elder(Roller):
    tunings = (("gDGBD", 0.0), ("gCGBD", 0.1), ("gCGCD", 0.1), ("gDGCD", 0.3), ("aDADE", 0.2))
    lowest, highest, stopped = 4, 1, 5

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        self.ditty = rng.random() < 0.6  # or the thumb and a brush
        self.brush = rng.choice(BRUSHES)
        self.single = rng.choice((0.0, 0.2, 0.5))  # a string in place of the brush
        self.running = rng.choice((0.0, 0.15, 0.4))  # eighths between beats that are kept
        self.thumbed = rng.choice((0.0, 0.3, 0.7))  # string 5 after a melody quarter
        self.dry = rng.choice((0.0, 0.1, 0.3))  # fills left out
        self.rolled, self.walked = rng.choice((0.0, 0.05, 0.1)), rng.uniform(0.0, 0.2)
        self.hammered, self.ended = rng.choice((0.0, 0.1, 0.25)), rng.uniform(0.2, 0.9)

    def play(self, bar: Bar) -> None:
        rng = self.rng
        held = self.hold(bar.chords[0])
        for span, chord in self.halves(bar):
            held = self.hold(chord, self._wants(bar, span))
            for slot in span:
                self.melody(bar, slot, held)
            for beat in range(span.start, span.stop, self.group):
                self._beat(bar, beat, held)
        if bar.final or (bar.ending and rng.random() < self.ended):
            self._end(bar, held)
            return
        if rng.random() < self.walked and breaks.walk(self, bar):
            return
        if rng.random() < self.hammered:
            breaks.lead_in(self, bar, rng.choice(range(0, bar.size, self.group)), 0.2)

    def _wants(self, bar: Bar, span: range) -> dict[Slot, Want]:
        wants: dict[Slot, Want] = {}
        for slot in span:
            note = self.new_at(bar, slot)
            if note is None and slot == 0:
                note = self.sounding(bar, 0)
            if note is not None and (slot % self.group == 0 or self.rng.random() < self.running):
                wants[slot] = Want(self.midi(note), (3, 2, 4, 1))
        return wants

    def _beat(self, bar: Bar, beat: int, held: Hold) -> None:
        """What is struck on a beat that has no melody, or after the melody that it has."""
        rng = self.rng
        last = beat + self.group - 1
        if rng.random() < self.dry or last >= bar.size:
            return
        if bar.has_melody(beat):
            if any(bar.has_melody(slot) for slot in range(beat + 1, last + 1)):
                return
            if self.group == 3:  # a ditty in three: melody, brush, thumb
                self._brush(bar, beat + 1, held)
                self.fill(bar, last, held, 5)
            elif not self.ditty:
                self._brush(bar, last, held)
            elif rng.random() < self.thumbed:
                self.fill(bar, last, held, 5)
            return
        if rng.random() < self.rolled:
            for slot, strings in enumerate(((3, 4), (2, 3), (1, 2)), start=beat):
                if slot < bar.size and not bar.has_melody(slot):
                    self.fill(bar, slot, held, *strings)
            return
        if self.ditty:
            self._brush(bar, beat, held)
            if not bar.has_melody(last):
                self.fill(bar, last, held, 5)
            return
        self.fill(bar, beat, held, *rng.choice(((4, 3), (3, 4), (5, 3))))
        if not bar.has_melody(last):
            self._brush(bar, last, held)

    def _brush(self, bar: Bar, slot: int, held: Hold) -> None:
        strings: tuple[int, ...] = (1, 2) if self.rng.random() < 0.2 else self.brush
        if self.rng.random() < self.single:
            strings = (1,)
        if not bar.has_melody(slot):
            for string in strings:
                self.fill(bar, slot, held, string)

    def _end(self, bar: Bar, held: Hold) -> None:
        """From the half on the melody alone, its last note brushed from below."""
        half = bar.size // 2
        late = [s for s in sorted(bar.struck) if s >= half and bar.has_melody(s)]
        kept = {s: {k: n for k, n in bar.struck[s].items() if n.melody} for s in late}
        bar.clear([s for s in bar.struck if s >= half])
        bar.struck.update(kept)
        if not late:
            self._brush(bar, half, held)
            return
        (string,) = kept[late[-1]]
        for lower in range(string + 1, 5):
            self.fill(bar, late[-1], held, lower)


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Elder(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
