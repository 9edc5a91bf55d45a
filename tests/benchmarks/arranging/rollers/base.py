"""What all players have in common: where a hand holds a chord, and a measure in the making.

Times are counted in slots: the even notes of a roll, eighths or (in 2/4) sixteenths. A player says
of each stroke whether it is melody, and of each fill which chord it belongs to; nothing here looks
at the melody finder.

Facts of the trade used (common practice, no source): a hand covers four frets and open strings;
the short string sounds open and drones through all chords; I, IV and V carry most tunes.
"""

from __future__ import annotations

import random
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from ...rhythm.model import (
    ArrangedMeasure,
    ArrangedTune,
    CorpusMeasure,
    CorpusTune,
    Event,
    MeasureKind,
    MelodyNote,
    Stroke,
    TuneKind,
)
from ...rhythm.tunings import open_pitches
from .harmony import KEYS, Chord, chords_of, fits, harmonise, key_of, phrase_ends

Place = tuple[int, Fraction, int]  # index of a measure, onset, string
Slot = Fraction | int
REACH = 4  # frets that a hand covers
LEAP = 6  # frets that two strokes in a row may cover together
LAST_FRET = 12


class Note(NamedTuple):
    """A string struck: melody, a chord's tone (``chord`` names it), or on the way to another."""

    fret: int
    chord: str = ""
    melody: bool = False
    link: str | None = None


class Fill(NamedTuple):
    """A stroke that is no melody, and the chord whose tone it is."""

    measure: int
    onset: Fraction
    stroke: Stroke
    chord: str


@dataclass(frozen=True, slots=True)
class Told:
    """An arrangement, where its melody is, and what chord each fill belongs to.

    Open strings 5 that drone, walks and the notes that slides start from belong to none.
    """

    tune: ArrangedTune
    melody: frozenset[Place]
    fills: tuple[Fill, ...]


class Want(NamedTuple):
    """A melody note that a stroke is to have: its pitch, and strings in order of liking."""

    midi: int
    strings: tuple[int, ...]


class Hold(NamedTuple):
    """A hand's place: chord tones on strings 1 to 4 (None: out of reach), and melody by slot."""

    position: int
    chord: Chord
    frets: Mapping[int, int | None]
    melody: Mapping[Slot, tuple[int, int]]


@dataclass(slots=True)
class Bar:
    """A measure in the making: by slot and string what is struck."""

    index: int
    measure: CorpusMeasure
    size: int
    chords: tuple[Chord, ...]
    following: Chord | None
    ending: bool
    final: bool
    struck: dict[Slot, dict[int, Note]] = field(default_factory=dict)

    def put(self, slot: Slot, string: int, note: Note) -> None:
        self.struck.setdefault(slot, {})[string] = note

    def clear(self, slots: Iterable[Slot]) -> None:
        for slot in slots:
            self.struck.pop(slot, None)

    def has_melody(self, slot: Slot) -> bool:
        return any(note.melody for note in self.struck.get(slot, {}).values())

    def linked(self, slot: Slot) -> bool:
        return any(note.link for note in self.struck.get(slot, {}).values())


def spread(frets: Iterable[int]) -> int:
    """Frets that a hand has to cover; open strings need none."""
    stopped = [fret for fret in frets if fret]
    return max(stopped) - min(stopped) + 1 if stopped else 0


def _leaps(one: tuple[Bar, Slot], other: tuple[Bar, Slot]) -> bool:
    """Has the hand to leap farther than it can while one note sounds?"""
    notes = [n for bar, slot in (one, other) for n in bar.struck.get(slot, {}).values()]
    return spread(note.fret for note in notes) > LEAP


class Roller:
    """One player with one tune. A person says in ``play`` what is struck in a measure."""

    tunings: tuple[tuple[str, float], ...] = (
        ("gDGBD", 0.0),
        ("gCGBD", 0.5),
        ("gCGCD", 0.9),
        ("aDADE", 0.9),
    )
    lowest, highest, stopped = 4, 2, 5  # the melody's strings, and its last fret on the highest

    def __init__(self, tune: CorpusTune, rng: random.Random) -> None:
        self.source, self.rng = tune, rng
        short = (tune.meter.count, tune.meter.unit) == (2, 4)
        self.slot = Fraction(1, 4) if short else Fraction(1, 2)
        self.size = int(tune.meter.length / self.slot)
        self.group = 3 if tune.meter.unit >= 8 and tune.meter.count % 3 == 0 else 2
        self.key = key_of(tune)
        self.tuning, self.move = self._settle()
        self.opens = open_pitches(self.tuning)
        self.low, self.high = self._range(self.tuning)
        self.harmony = harmonise(tune, self.key, self.move)
        self.split = rng.choice((0.0, 0.3, 0.6))  # how much better two chords have to be
        self.position = 1

    def play(self, bar: Bar) -> None:
        raise NotImplementedError

    def told(self) -> Told:
        """The whole tune."""
        ends = phrase_ends(self.source)
        marks: set[Place] = set()
        fills: list[Fill] = []
        bars = []
        last = len(self.source.measures) - 1
        for index, measure in enumerate(self.source.measures):
            bar = Bar(
                index=index,
                measure=measure,
                size=int(measure.length / self.slot),
                chords=self._chords(index),
                following=self.harmony[index + 1] if index < last else None,
                ending=index in ends,
                final=index == last,
            )
            rolls = (measure.length / self.slot).denominator == 1 and bar.size >= 4
            if rolls and measure.notes and measure.kind is not MeasureKind.PICKUP:
                self.play(bar)
                if 0 not in bar.struck:
                    self.fill(bar, 0, self.hold(bar.chords[0]), 3)
            else:
                self.bare(bar, measure.notes)
            self._mend(bar)
            bars.append(bar)
        self._give_time(bars)
        measures = [self._finish(bar, marks, fills) for bar in bars]
        made = ArrangedTune(
            kind=TuneKind.ROLL,
            number=self.source.number,
            meter=self.source.meter,
            tuning=self.tuning,
            measures=tuple(measures),
        )
        return Told(made, frozenset(marks), tuple(fills))

    # What a person asks.

    def sounding(self, bar: Bar, slot: Slot) -> MelodyNote | None:
        """The melody's note at that time, begun then or before."""
        begun = [note for note in bar.measure.notes if note.onset <= slot * self.slot]
        return begun[-1] if begun else None

    def new_at(self, bar: Bar, slot: Slot) -> MelodyNote | None:
        """The note that begins just then."""
        note = self.sounding(bar, slot)
        return note if note and note.onset == slot * self.slot else None

    def midi(self, note: MelodyNote) -> int:
        """Its pitch on the banjo; by octaves into what the player's strings have."""
        midi = note.midi + self.move
        while midi < self.low:
            midi += 12
        while midi > self.high:
            midi -= 12
        return midi

    def hold(self, chord: Chord, wants: Mapping[Slot, Want] | None = None) -> Hold:
        """The best place for the hand: melody first, then tones on all strings, low, near."""
        options = []
        for position in range(1, LAST_FRET - REACH + 2):
            allowed = (0, *range(position, position + REACH))
            far = abs(position - self.position)
            cost = 0.15 * position + 0.25 * far + 3.0 * max(far - REACH, 0)
            melody: dict[Slot, tuple[int, int]] = {}
            for slot, want in (wants or {}).items():
                places = [
                    (0.3 * k + 0.05 * fret, string, fret)
                    for k, string in enumerate(want.strings)
                    for fret in allowed
                    if self.opens[string - 1] + fret == want.midi
                ]
                if places:
                    price, string, fret = min(places)
                    melody[slot] = (string, fret)
                    cost += price
                else:
                    cost += 15.0
            frets = {s: self._tone(chord, s, allowed) for s in (1, 2, 3, 4)}
            cost += sum(1.0 for s in (1, 2, 3) if frets[s] is None)
            options.append((cost, position, frets, melody))
        _, self.position, frets, melody = min(options, key=lambda option: option[:2])
        return Hold(self.position, chord, frets, melody)

    def melody(self, bar: Bar, slot: Slot, held: Hold) -> int | None:
        """Strike the melody note that the hand has there; its string."""
        if slot not in held.melody:
            return None
        string, fret = held.melody[slot]
        bar.put(slot, string, Note(fret, melody=True))
        return string

    def fill(self, bar: Bar, slot: Slot, held: Hold, *strings: int) -> int | None:
        """Strike the first of some strings that has a tone of the chord; which it was.

        The short string drones, whatever the chord, but a semitone from its root.
        """
        for string in strings:
            if string in bar.struck.get(slot, {}):
                continue
            if string == 5:
                drone = self.opens[4] % 12
                if (drone - held.chord.root) % 12 not in (1, 6, 11):
                    name = held.chord.name if drone in held.chord.tones else ""
                    bar.put(slot, 5, Note(0, name))
                    return 5
                continue
            fret = held.frets[string]
            if fret is not None:
                bar.put(slot, string, Note(fret, held.chord.name))
                return string
        return None

    def bare(self, bar: Bar, notes: Sequence[MelodyNote]) -> None:
        """The melody alone, where the hand is."""
        hand = self.position
        for note in notes:
            places = [
                (
                    0.1 * fret + (1.0 * max(abs(fret - hand) - REACH + 1, 0) if fret else 0.0),
                    s,
                    fret,
                )
                for s in (4, 3, 2, 1)
                if 0 <= (fret := self.midi(note) - self.opens[s - 1]) <= LAST_FRET
            ]
            _, string, fret = min(places)
            hand = fret or hand
            bar.put(note.onset / self.slot, string, Note(fret, melody=True))

    def halves(self, bar: Bar) -> list[tuple[range, Chord]]:
        """Where in the measure which chord is: one or two spans of slots."""
        if len(bar.chords) == 1:
            return [(range(bar.size), bar.chords[0])]
        middle = self.size // 2
        return [(range(middle), bar.chords[0]), (range(middle, bar.size), bar.chords[1])]

    # What is the same for all.

    def _range(self, tuning: str) -> tuple[int, int]:
        opens = open_pitches(tuning)
        return opens[self.lowest - 1], opens[self.highest - 1] + self.stopped

    def _settle(self) -> tuple[str, int]:
        """A tuning and a move that bring the tune to a good key and onto the melody's strings."""
        pitches = [n.midi for m in self.source.measures for n in m.notes] or [62]
        options = []
        for name, dislike in self.tunings:
            low, high = self._range(name)
            for move in range(-30, 25):
                if (self.key[0] + move) % 12 not in KEYS[name][self.key[1]]:
                    continue
                out = sum(max(low - p - move, p + move - high, 0) for p in pitches)
                cost = dislike + 3.0 * out / len(pitches) + self.rng.uniform(0.0, 1.0)
                options.append((cost, name, move))
        _, name, move = min(options)
        return name, move

    def _chords(self, index: int) -> tuple[Chord, ...]:
        whole, measure = self.harmony[index], self.source.measures[index]
        middle = measure.length / 2
        if self.size % 4 or measure.kind is not MeasureKind.FULL or not self.split:
            return (whole,)
        late = [n for n in measure.notes if n.onset >= middle]
        if not late:
            return (whole,)
        options = chords_of((self.key[0] + self.move) % 12, self.key[1])
        other = max(options, key=lambda o: fits(o[0], late, self.move) - o[1])[0]
        better = fits(other, late, self.move) - fits(whole, late, self.move)
        return (whole, other) if better > self.split else (whole,)

    def _tone(self, chord: Chord, string: int, allowed: tuple[int, ...]) -> int | None:
        tones = [f for f in allowed if (self.opens[string - 1] + f) % 12 in chord.tones]
        if allowed[1] > 3:  # up the neck the shape is closed where it can be
            tones.sort(key=lambda fret: (fret == 0, fret))
        return tones[0] if tones else None

    def _mend(self, bar: Bar) -> None:
        """What a hand cannot cover with the melody is left out; a link needs what it starts at."""
        for slot in sorted(bar.struck):
            notes = bar.struck[slot]
            own = {s: n for s, n in notes.items() if n.melody} or dict(list(notes.items())[:1])
            for string, note in notes.items():
                if string not in own and spread([note.fret, *(n.fret for n in own.values())]) <= 4:
                    own[string] = note
            bar.struck[slot] = own

    def _give_time(self, bars: Sequence[Bar]) -> None:
        """Where the hand leaps, fills that are in its way are left out, or the drone has them."""
        before: tuple[Bar, Slot] | None = None
        for here in [(bar, slot) for bar in bars for slot in sorted(bar.struck)]:
            if before is not None and _leaps(before, here):
                for at, when in (before, here):
                    if at.linked(when) or at.linked(when + 1):
                        continue
                    kept = {s: n for s, n in at.struck[when].items() if n.melody or not n.fret}
                    at.struck[when] = kept
                    if not kept and when:
                        del at.struck[when]
                    elif not kept:
                        at.struck[when] = {5: Note(0)}
                    if not _leaps(before, here):
                        break
            if here[1] in here[0].struck:
                before = here

    def _finish(self, bar: Bar, marks: set[Place], fills: list[Fill]) -> ArrangedMeasure:
        slots = sorted(slot for slot, notes in bar.struck.items() if notes)
        ends = [slot * self.slot for slot in slots[1:]] + [bar.measure.length]
        events = []
        for slot, end in zip(slots, ends, strict=False):
            onset = Fraction(slot * self.slot)
            strokes = []
            for string, note in sorted(bar.struck[slot].items()):
                strokes.append(Stroke(string, note.fret, note.link))
                if note.melody:
                    marks.add((bar.index, onset, string))
                else:
                    fills.append(Fill(bar.index, onset, strokes[-1], note.chord))
            events.append(Event(onset, end - onset, tuple(strokes)))
        old = bar.measure
        return ArrangedMeasure(old.length, tuple(events), old.kind, old.left, old.right)
