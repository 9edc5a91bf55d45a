"""The measures of a score from those of the grid and their rhythm."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import accumulate
from typing import Any

from msgspec.structs import replace

from rollstave.deciding.chord_places import chord_onset
from rollstave.deciding.chords import chord_name, held_frets
from rollstave.deciding.hands import Hand
from rollstave.deciding.silence import with_rests
from rollstave.grid.typed import Attachment, Bar, Column, GridMeasure, LineKind, Stroke
from rollstave.instruments.setup import NoSuchFret, Setup
from rollstave.pitch import Key, Pitch, spell_in
from rollstave.problems import ProblemList
from rollstave.rhythm import RhythmReading, TimedMeasure
from rollstave.rhythm.spoken import as_printed
from rollstave.score.records import (
    ChordName,
    Event,
    Finger,
    GraceNote,
    Measure,
    Note,
    Rhythm,
    fields_of_sung,
)
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.hands import STROKES
from rollstave.vocabulary.signs import UNPICKED

# A natural harmonic over a fret sounds this many semitones above the open string: the partials
# 2, 3, 4, 5 of the string, rounded to equal temperament (acoustics; any handbook).
_HARMONICS = {12: 12, 7: 19, 19: 19, 5: 24, 24: 24, 4: 28, 9: 28, 16: 28}


def sounding(stroke: Stroke | Note, setup: Setup) -> int:
    """The MIDI number that a stroke or a note sounds. Raises NoSuchFret."""
    if stroke.fret is None:
        return setup.open_midi(stroke.string)
    short = setup.instrument.short_string
    if stroke.harmonic and not (short and short.string == stroke.string):
        known = not setup.instrument.fret_semitones or stroke.fret <= setup.instrument.frets
        over = setup.instrument.semitones(stroke.fret) if known else None
        if over in _HARMONICS:
            return setup.open_midi(stroke.string) + _HARMONICS[over]
    return setup.midi(stroke.string, stroke.fret, stroke.half)


def _verses(grid: Sequence[GridMeasure]) -> dict[int, list[int]]:
    """The numbers of the lines of lyrics of each system, the first verse first."""
    found: dict[int, set[int]] = {}
    for measure in grid:
        lines = (a.place.line for a in measure.attached(LineKind.LYRICS))
        found.setdefault(measure.system, set()).update(lines)
    return {system: sorted(lines) for system, lines in found.items()}


class MeasureBuilder:
    """Builds the measures of one score."""

    def __init__(self, setup: Setup, key: Key, hand: Hand, problems: ProblemList) -> None:
        self.setup = setup
        self._spell_in(key)
        self.hand = hand
        self.problems = problems
        self._signed = False  # whether brushes have their sign
        self._usual: dict[int, Finger] = {}  # the finger of each string
        self.verses: dict[int, list[int]] = {}  # the lines of lyrics of each system

    def _take(self, key: Key, setup: Setup | None) -> None:
        """Take what holds in the next measure."""
        if setup is not None and setup is not self.setup:
            self.setup = setup
            self._spell_in(key)
        elif key != self.key:
            self._spell_in(key)

    def _spell_in(self, key: Key) -> None:
        self.key = key
        self._pitches: dict[tuple[int, int | None, bool, bool], Pitch] = {}

    def measures(
        self,
        grid: Sequence[GridMeasure],
        reading: RhythmReading,
        keys: Sequence[Key] = (),
        setups: Sequence[Setup] = (),
    ) -> tuple[Measure, ...]:
        """The measures of a tune; ``keys`` and ``setups`` are those of each where they change."""
        self.verses = _verses(grid)
        self._signed = any(column.brush for measure in grid for column in measure.columns)
        found: list[Measure] = []
        numbers = list(accumulate(int(not timed.pickup) for timed in reading.measures))
        called = [
            "the pickup" if timed.pickup else f"measure {number}"
            for timed, number in zip(reading.measures, numbers, strict=True)
        ]
        ending: str | None = None
        for measure, timed, number in zip(grid, reading.measures, numbers, strict=True):
            ending = measure.ending or ending
            pickup = timed.pickup
            meter = reading.meter_at(len(found))
            at = len(found)
            self._take(keys[at] if keys else self.key, setups[at] if setups else None)
            events = self._events(measure, timed)
            found.append(
                Measure(
                    index=measure.index,
                    number=0 if pickup else number,
                    length=timed.length,
                    events=events,
                    rhythm=_rhythm(timed, called),
                    chords=self._chords(measure, timed, meter.beat, events),
                    left=measure.left,
                    right=measure.right,
                    ending=measure.ending,
                    ending_stop=measure.ending_stop,
                    in_ending=ending,
                    section=measure.section,
                    implicit=pickup or timed.length != meter.length,
                    system=measure.system,
                    first_line=measure.first_line,
                    last_line=measure.last_line,
                    times=measure.times,
                    jump=measure.jump,
                    fine=measure.fine,
                    segno=measure.segno,
                    to_coda=measure.to_coda,
                    coda=measure.coda,
                )
            )
            if measure.ending_stop:
                ending = None
        if found and found[-1].right in (Bar.SINGLE, Bar.NONE, Bar.DOUBLE):
            found[-1] = replace(found[-1], right=Bar.FINAL)
        return tuple(found)

    def _events(self, grid: GridMeasure, timed: TimedMeasure) -> tuple[Event, ...]:
        letters = {
            a.column: a.text for a in grid.attached(LineKind.PICKING) if a.column is not None
        }
        ways = {a.column: a.text for a in grid.attached(LineKind.STROKES)}
        left = {a.column: a for a in grid.attached(LineKind.LEFT_HAND) if a.column is not None}
        syllables: dict[int, dict[int, list[str]]] = {}
        for a in grid.attached(LineKind.LYRICS):
            if a.column is not None:
                verse = self.verses[grid.system].index(a.place.line) + 1
                syllables.setdefault(a.column, {}).setdefault(verse, []).append(a.text)
        events: list[Event] = []
        if not timed.onsets or timed.onsets[0] > 0:
            gap = timed.onsets[0] if timed.onsets else timed.length
            events.append(Event(Fraction(0), gap, ()))
        for index, column in enumerate(grid.columns):
            notes = self._notes(column, letters.get(index))
            if index in left:
                notes = self._left_hand(notes, left[index])
            sung = {verse: " ".join(said) for verse, said in syllables.get(index, {}).items()}
            onset, duration = timed.onsets[index], timed.durations[index]
            grace = self._grace(column)
            events.append(
                Event(
                    onset=onset,
                    duration=duration,
                    notes=notes,
                    brush=column.brush or self._is_brush(notes),
                    grace=grace,
                    **fields_of_sung(sung),
                    **(_WAYS[ways[index]] if index in ways else {}),
                )
            )
        return with_rests(events, grid, timed) if grid.rests else tuple(events)

    def _grace(self, column: Column) -> tuple[tuple[GraceNote, ...], ...]:
        """The grace notes before a column; those typed in one column are struck together."""
        groups: dict[int, list[GraceNote]] = {}
        for typed in column.grace:
            try:
                midi = self.setup.midi(typed.string, typed.fret, typed.half)
            except NoSuchFret:
                midi = self.setup.open_midi(typed.string)
            pitch = spell_in(midi, self.key)
            groups.setdefault(typed.position, []).append(
                GraceNote(
                    string=typed.string,
                    fret=typed.fret,
                    pitch=pitch,
                    place=typed.place,
                    leads=typed.leads,
                    half=typed.half,
                )
            )
        return tuple(tuple(groups[position]) for position in sorted(groups))

    def _left_hand(self, notes: tuple[Note, ...], typed: Attachment) -> tuple[Note, ...]:
        """The notes with the typed finger numbers: one number for all that is stopped, or one for
        each string from the lowest row up, where 0 stands for an open one."""
        stopped = sorted((n.string for n in notes if n.fret), reverse=True)
        struck = sorted((n.string for n in notes), reverse=True)
        numbers = [int(digit) for digit in typed.text]
        if len(numbers) == 1:
            found = dict.fromkeys(stopped, numbers[0])
        elif len(numbers) == len(stopped):
            found = dict(zip(stopped, numbers, strict=True))
        elif len(numbers) == len(struck):
            found = dict(zip(struck, numbers, strict=True))
        else:
            self.problems.add(
                kinds.LEFT_HAND,
                f"{len(numbers)} fingers are written where {len(stopped)} strings are stopped; "
                "they are left out",
                typed.place,
            )
            found = {}
        return tuple(replace(n, left_finger=found.get(n.string) or None) for n in notes)

    def _is_brush(self, notes: Sequence[Note]) -> bool:
        """Down-picking strikes several strings with one nail, but the short string is the thumb's.
        A typist who signs brushes has none where no sign stands; without a style nobody asks."""
        if self._signed or not (self.hand.brushes and self.setup.instrument.fixed_hand):
            return False
        short = self.setup.instrument.short_string
        thumb = short is not None and any(n.string == short.string for n in notes)
        return len(notes) > 1 and not thumb

    def _notes(self, column: Column, letters: str | None) -> tuple[Note, ...]:
        picked = [s for s in column.strokes if s.link is None or s.link not in UNPICKED]
        written = _fingers_of(letters, picked, self.hand)
        notes = []
        for stroke in column.strokes:
            finger: Finger | None = None
            if stroke.link is None or stroke.link not in UNPICKED:
                finger = written.get(stroke.string)
                if finger is None and self.setup.instrument.fixed_hand:
                    finger = self._usual_finger(stroke.string)
            notes.append(
                Note(
                    string=stroke.string,
                    # A dead open string, as a legend may have it, is an x as any other.
                    fret=(stroke.fret or None) if stroke.muted else stroke.fret,
                    pitch=self._pitch(stroke),
                    place=stroke.place,
                    link=stroke.link,
                    finger=finger,
                    inferred_finger=finger is not None and stroke.string not in written,
                    muted=stroke.muted,
                    ghost=stroke.ghost,
                    harmonic=stroke.harmonic,
                    bend=stroke.bend,
                    vibrato=stroke.vibrato,
                    slide_from=stroke.slide_from,
                    slide_to=stroke.slide_to,
                    let_ring=stroke.let_ring,
                    half=stroke.half,
                    marks=stroke.marks,
                )
            )
        return tuple(notes)

    def _usual_finger(self, string: int) -> Finger:
        if string not in self._usual:
            self._usual[string] = self.hand.finger(string)
        return self._usual[string]

    def _pitch(self, stroke: Stroke) -> Pitch:
        """What a stroke sounds, found once for all that are stopped so."""
        stopped = (stroke.string, stroke.fret, stroke.half, stroke.harmonic)
        pitch = self._pitches.get(stopped)
        if pitch is None:
            pitch = self._pitches[stopped] = spell_in(self._midi(stroke), self.key)
        return pitch

    def _midi(self, stroke: Stroke) -> int:
        try:
            return sounding(stroke, self.setup)
        except NoSuchFret:
            return self.setup.open_midi(stroke.string)

    def _chords(
        self, grid: GridMeasure, timed: TimedMeasure, beat: Fraction, events: Sequence[Event]
    ) -> tuple[ChordName, ...]:
        names = sorted(grid.attached(LineKind.CHORDS), key=lambda a: a.position)
        onsets = [chord_onset(a, grid, timed, beat) for a in names]
        found = []
        for index, (attachment, onset) in enumerate(zip(names, onsets, strict=True)):
            end = onsets[index + 1] if index + 1 < len(onsets) else timed.length
            chord = chord_name(attachment.text, onset)
            instrument = self.setup.instrument
            drone = instrument.short_string.string if instrument.short_string else None
            frets = held_frets(chord, events, end, instrument.strings, drone)
            found.append(replace(chord, frets=frets))
        return tuple(found)


# The fields of an event for what is written of the way of its stroke.
_WAYS: Mapping[str, Mapping[str, Any]] = {
    sign: {row.field: True} for row in STROKES for sign in (row.sign, row.arrow)
}


def _rhythm(timed: TimedMeasure, called: Sequence[str]) -> Rhythm:
    return Rhythm(
        confidence=timed.confidence,
        sure=timed.sure,
        source=timed.source,
        reasons=as_printed(timed.reasons, called),
        alternatives=timed.alternatives,
    )


def _fingers_of(letters: str | None, picked: Sequence[Stroke], hand: Hand) -> dict[int, Finger]:
    """Written letters to strings: one letter for a lone note or a brush; several for a pinch,
    each to the string that this finger usually plays, the thumb to the lowest line."""
    if not letters or not picked:
        return {}
    fingers = [Finger(letter) for letter in letters]
    if len(fingers) == 1:
        if len(picked) == 1 or hand.brushes:
            return {s.string: fingers[0] for s in picked}
        return {s.string: fingers[0] for s in picked if hand.finger(s.string) is fingers[0]} or {
            picked[-1].string: fingers[0]
        }
    order = {finger: -number for number, finger in enumerate(Finger)}
    return {
        stroke.string: finger
        for stroke, finger in zip(
            sorted(picked, key=lambda s: s.string),
            sorted(fingers, key=lambda f: order[f]),
            strict=False,
        )
    }
