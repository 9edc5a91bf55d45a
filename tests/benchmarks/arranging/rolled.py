"""Tunes in rolls whose melody is known, to fit on: the thumb has it, or a finger that comes by.

Facts of the trade (common practice): the thumb carries a sparse melody on strings 3 and 4 and
leaves what falls to other fingers, a roll is broken by a pinch or by the melody alone, a finger
takes a melody note where its string has it. Written without sight of the independent arrangers.
"""

from __future__ import annotations

import random
from collections.abc import Mapping
from fractions import Fraction

from ..rhythm.model import (
    ArrangedMeasure,
    ArrangedTune,
    CorpusMeasure,
    CorpusTune,
    Event,
    MelodyNote,
    Stroke,
    TuneKind,
)
from ..rhythm.roll_tables import EIGHT, SIX
from ..rhythm.shapes import shape
from ..rhythm.tunings import TUNINGS, open_pitches

Place = tuple[int, Fraction, int]
HIGHEST = 5  # the fret up to which the hand takes a melody note where it is


def rolled(tune: CorpusTune, rng: random.Random) -> tuple[ArrangedTune, frozenset[Place]]:
    """The tune in rolls, and where its melody is: measure, onset and string."""
    tuning = rng.choice(sorted(TUNINGS))
    player = _Player(tune, tuning, rng)
    measures = tuple(
        ArrangedMeasure(m.length, player.events(index, m), m.kind, m.left, m.right)
        for index, m in enumerate(tune.measures)
    )
    made = ArrangedTune(TuneKind.ROLL, tune.number, tune.meter, tuning, measures)
    return made, frozenset(player.marks)


class _Player:
    """One player's habits in one tune."""

    def __init__(self, tune: CorpusTune, tuning: str, rng: random.Random) -> None:
        self.rng, self.tuning = rng, tuning
        self.opens = open_pitches(tuning)
        sixteenths = (tune.meter.count, tune.meter.unit) == (2, 4)
        self.slot = Fraction(1, 4) if sixteenths else Fraction(1, 2)
        self.beat = Fraction(3, 2) if tune.meter.unit == 8 else 2 * self.slot
        self.sparse = rng.random() < 0.6  # only the beats have the tune
        size = int(tune.meter.length / self.slot)
        table = SIX if size == 6 else EIGHT
        rolls = [strings for _, strings in table.values() if len(strings) <= size]
        self.rolls = rng.sample(rolls, min(len(rolls), rng.randint(1, 3)))
        self.size = size
        self.alone, self.held = rng.choice((0.05, 0.15, 0.3)), rng.choice((0.0, 0.1, 0.2))
        self.taken, self.pinched = rng.choice((0.1, 0.4, 0.7)), rng.choice((0.0, 0.1, 0.25))
        pitches = sorted(n.midi for m in tune.measures for n in m.notes)
        middle = pitches[len(pitches) // 2]
        self.down = middle - rng.choice((56, 58, 61))  # from the tune to the thumb's strings
        self.tonic = (self.opens[2] + rng.choice((0, 0, 5))) % 12
        self.down -= (middle - self.down - self.tonic) % 12 % 3  # any key will do
        self.plucked = rng.choice((0.0, 0.1, 0.3))
        self.along = rng.choice((0.0, 0.4, 0.9))  # the hand holds its shape where the tune lies
        self.marks: set[Place] = set()

    def events(self, index: int, measure: CorpusMeasure) -> tuple[Event, ...]:
        """A measure: a roll with the melody in it, or the melody alone."""
        notes = {note.onset: note for note in measure.notes}
        even = measure.length == self.slot * self.size and all(n % self.slot == 0 for n in notes)
        if not even or self.rng.random() < self.alone:
            return tuple(self._bare(index, n.onset, n.duration, n.midi) for n in measure.notes)
        frets = self._shape(notes)
        found: list[Event] = []
        roll = self.rng.choice(self.rolls)
        roll = (roll * 3)[: self.size]
        if self.rng.random() < self.plucked:  # plucks of the top strings end it at half
            roll = roll[: self.size // 2]
            found += self._plucks(frets)
        for place, string in enumerate(roll):
            onset = place * self.slot
            note = notes.get(onset)
            if self.sparse and onset % self.beat:
                note = None
            event = self._stroke(index, onset, string, note.midi if note else None, frets)
            held = place and note is None and self.rng.random() < self.held
            if held:
                last = found.pop()
                found.append(Event(last.onset, last.duration + self.slot, last.strokes))
            else:
                found.append(event)
        return tuple(sorted(found, key=lambda event: event.onset))

    def _plucks(self, frets: dict[int, int]) -> list[Event]:
        """One or two plucks of strings 1 and 2 in the second half of a measure."""
        half, strokes = self.size // 2, (Stroke(1, frets[1]), Stroke(2, frets[2]))
        long = (self.size - half) * self.slot
        if self.rng.random() < 0.5:
            return [Event(half * self.slot, long, strokes)]
        return [
            Event(half * self.slot, long / 2, strokes),
            Event(half * self.slot + long / 2, long / 2, strokes),
        ]

    def _shape(self, notes: Mapping[Fraction, MelodyNote]) -> dict[int, int]:
        """A chord in first position, or about the first note of the thumb, which is in it."""
        root, minor = self.tonic + self.rng.choice((0, 0, 0, 5, 7)), False
        if not notes or self.rng.random() >= self.along:
            return shape(self.tuning, root % 12, minor, 0)
        first = notes[min(notes)].midi - self.down
        minor = self.rng.random() < 0.3
        root = first - self.rng.choice((0, 3 if minor else 4, 7))
        _, fret = self._lies(first, (4, 3))
        return shape(self.tuning, root % 12, minor, max(0, fret - 2))

    def _bare(self, index: int, onset: Fraction, duration: Fraction, midi: int) -> Event:
        string, fret = self._lies(midi - self.down, (4, 3, 2, 1))
        self.marks.add((index, onset, string))
        return Event(onset, duration, (Stroke(string, fret),))

    def _lies(self, midi: int, strings: tuple[int, ...]) -> tuple[int, int]:
        """The place of a pitch on some strings, an octave away where it must be; the lowest."""
        for octave in (0, 12, -12, 24, -24):
            places = [(midi + octave - self.opens[s - 1], s) for s in strings]
            able = [(fret, s) for fret, s in places if 0 <= fret <= 2 * HIGHEST]
            if able:
                fret, string = min(able)
                return string, fret
        return strings[0], 0

    def _stroke(
        self, index: int, onset: Fraction, string: str, midi: int | None, frets: dict[int, int]
    ) -> Event:
        thumb = string in "to34"
        if midi is not None and thumb:
            number, fret = self._lies(midi - self.down, (4, 3))
            return self._melody(index, onset, number, fret, frets)
        if thumb:
            number = int(string) if string.isdigit() else self.rng.choice((3, 4))
            return Event(onset, self.slot, (Stroke(number, frets[number]),))
        number = int(string)
        if midi is not None and number != 5 and self.rng.random() < self.taken:
            fret = (midi - self.down - self.opens[number - 1]) % 12
            if fret <= HIGHEST:
                return self._melody(index, onset, number, fret, frets)
        return Event(onset, self.slot, (Stroke(number, frets[number]),))

    def _melody(
        self, index: int, onset: Fraction, string: int, fret: int, frets: dict[int, int]
    ) -> Event:
        self.marks.add((index, onset, string))
        strokes = [Stroke(string, fret)]
        if string > 2 and self.rng.random() < self.pinched:
            strokes.append(Stroke(1, frets[1]))
        return Event(onset, self.slot, tuple(sorted(strokes)))
