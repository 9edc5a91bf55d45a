"""The middle finger has the melody, on strings 1 and 2, in backward and forward-reverse rolls.

The melody falls where the roll brings the middle finger, so that a note often comes an eighth
before its beat, at the half and over the bar line too. A note on the first beat that has not come
early is pinched with the thumb. Dogwood slides and hammers into melody notes, from the stroke
before or on the beat, mixes two or three rolls, leaves strokes out, and closes a phrase with a
pinch.
"""

from __future__ import annotations

import random

from ...rhythm.model import ArrangedTune, CorpusTune, MeasureKind, MelodyNote
from . import breaks
from .base import Bar, Hold, Note, Place, Roller, Slot, Told, Want

# Fingers by slot: M has melody; m is the middle finger without, i the index finger, 5 and t the
# thumb on string 5 or 3. In lower case all are fills.
BACKWARD = ("Mi5Mi5M5", "Mi5MiMi5", "Mi5mMi5M", "Mi5Mi5Mi")
REVERSE = ("Mi5imi5M", "Mit5Mi5M", "M5iMM5i5", "Mi5tMi5i")
SIX_COMPOUND = ("Mi5Mi5", "M5iM5i", "Mi5MiM", "MitMi5")
SIX_SIMPLE = ("Mi5Mi5", "MiM5Mi", "M5MiM5")
NINE = ("Mi5Mi5Mi5", "M5iM5iMi5")
FILLS = {"m": (1, 2), "i": (2, 3), "5": (5, 3), "t": (3, 4)}


class Dogwood(Roller):
    tunings = (("gDGBD", 0.0), ("gCGBD", 0.3), ("gDGCD", 0.5), ("aDADE", 0.5), ("gCGCE", 0.9))
    lowest, highest, stopped = 2, 1, 9

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        super().__init__(tune, rng)
        if self.group == 3:
            self.rolls = list(NINE if self.size == 9 else SIX_COMPOUND)
        elif self.size == 8:
            self.rolls = [*rng.sample(BACKWARD, 2), *rng.sample(REVERSE, 2)]
        else:
            self.rolls = list(SIX_SIMPLE)
        rng.shuffle(self.rolls)
        self.early = rng.choice((0.2, 0.5, 0.8))  # notes that come before their beat
        self.slides, self.hammers = rng.uniform(0.05, 0.4), rng.uniform(0.0, 0.3)
        self.held, self.pinched = rng.uniform(0.0, 0.3), rng.uniform(0.2, 0.8)
        self.closed = rng.uniform(0.3, 0.9)
        self.walked = rng.uniform(0.0, 0.15)
        self.come = False  # the note on the next first beat has been struck before the bar line
        self.taken: MelodyNote | None = None  # what the middle finger had last in the measure

    def play(self, bar: Bar) -> None:
        rng = self.rng
        roll = self.rolls[0] if rng.random() < 0.5 else rng.choice(self.rolls)
        roll = (roll * 3)[: bar.size]
        come, self.come = self.come, False
        held = self.hold(bar.chords[0])
        closes = bar.final or (bar.ending and rng.random() < self.closed)
        for span, chord in self.halves(bar):
            held = self.hold(chord, self._wants(bar, roll, span, come, closes))
            self._roll(bar, roll, span, held)
        if bar.has_melody(0):
            self._pinch_first(bar, held)
        if closes:
            self._close(bar, held)
            return
        if not self.come and rng.random() < self.walked and breaks.walk(self, bar):
            return
        if rng.random() < self.held:
            breaks.hold(self, bar)
        self._approach(bar)
        if rng.random() < self.hammers * 0.5:
            breaks.lead_in(self, bar, 0, 0.7)

    def _wants(
        self, bar: Bar, roll: str, span: range, come: bool, closes: bool
    ) -> dict[Slot, Want]:
        """The middle finger's strokes take the note that begins there or is about to begin."""
        wants: dict[Slot, Want] = {}
        taken = self.taken if span.start else None
        for slot in span:
            if roll[slot] != "M" or (slot == 0 and come):
                continue
            note = self.new_at(bar, slot)
            if note is None and slot + 1 < bar.size and self.rng.random() < self.early:
                note = self.new_at(bar, slot + 1)  # an eighth early
                if note is not None and roll[slot + 1] == "M":
                    note = None
            elif note is None and slot + 1 == bar.size and not closes:
                note = self._next_first(bar)
                self.come = note is not None
            if note is None:
                note = self.sounding(bar, slot)
                passed = note is not None and (slot * self.slot - note.onset) >= 2 * self.slot
                if passed or note is taken:  # its time has gone by
                    note = None
            if note is not None and note is not taken:
                wants[slot] = Want(self.midi(note), (1, 2))
                taken = self.taken = note
        return wants

    def _next_first(self, bar: Bar) -> MelodyNote | None:
        """The first note of the next measure, if the player strikes it before the bar line."""
        if bar.measure.right != "|" or bar.following is None:
            return None
        measure = self.source.measures[bar.index + 1]
        first = measure.notes[0] if measure.notes else None
        if measure.kind is not MeasureKind.FULL or first is None or first.onset:
            return None
        return first if self.rng.random() < self.early else None

    def _roll(self, bar: Bar, roll: str, span: range, held: Hold) -> None:
        ringing = None
        for slot in span:
            string = self.melody(bar, slot, held)
            if string is not None:
                ringing = string
                continue
            free = [s for s in FILLS[roll[slot].lower()] if s != ringing]
            self.fill(bar, slot, held, *free)

    def _pinch_first(self, bar: Bar, held: Hold) -> None:
        if self.rng.random() < self.pinched:
            drones = (5, 3) if self.rng.random() < 0.2 else self.rng.choice(((5,), (3,)))
            for string in drones:
                self.fill(bar, 0, held, string)

    def _close(self, bar: Bar, held: Hold) -> None:
        """The phrase ends in a pinch at the half or on the third quarter, which is held."""
        at = bar.size // 2
        late = [s for s in sorted(bar.struck) if s >= at and bar.has_melody(s)]
        kept = {s: bar.struck[s] for s in late}
        bar.clear([s for s in bar.struck if s >= at])
        bar.struck.update(kept)
        start = late[0] if late else at
        for string in self.rng.choice(((5, 1), (5, 1, 2), (3, 1), (5, 2))):
            self.fill(bar, start, held, string)

    def _approach(self, bar: Bar) -> None:
        """The stroke before a melody note becomes a lower fret, the note is slid or hammered."""
        for slot in sorted(s for s in bar.struck if s and bar.has_melody(s)):
            before, notes = slot - 1, bar.struck[slot]
            if bar.has_melody(before) or bar.linked(before) or len(notes) > 1:
                continue
            ((string, note),) = notes.items()
            if note.fret == 0 or bar.linked(slot) or bar.has_melody(slot - 2):
                continue
            start = max(note.fret - self.rng.choice((1, 2)), 0)
            if start and self.rng.random() < self.slides:
                sign = "/"
            elif self.rng.random() < self.hammers:
                sign = "h"
            else:
                continue
            bar.struck[before] = {string: Note(start)}
            bar.struck[slot] = {string: note._replace(link=sign)}


def told(tune: CorpusTune, rng: random.Random) -> Told:
    """The tune, its melody, and the chords of its fills."""
    return Dogwood(tune, rng).told()


def arrange(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    made = told(tune, rng)
    return made.tune, made.melody
