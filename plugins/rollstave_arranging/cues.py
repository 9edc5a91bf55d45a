"""What speaks for a note as melody by itself: its string, time and neighbours, and how it stands to
its measure and to what the tune does at the same place of all others.

Arrangers keep to places: the thumb's beats, three strokes and three and two, one finger of the
roll. Fills go round on the same strings and lie in the chord that the left hand holds. So where
the notes of a place often are none of the chord that the others of their measures make, or move
between strings while a pattern would stay on one, the tune goes through that place.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct, field

from rollstave import Note, Score
from rollstave_arranging.flow import At, Moment
from rollstave_arranging.neck import short_of

_LEAST = 4  # strokes one after another in a roll
_STRINGS = 3  # different strings among them
_STRANGE, _OTHERWISE = 0.1, 0.3  # what is thought of a place that nothing is known of
_BESIDE = (-2, -1, 1, 2)  # events before and after
TRIADS = tuple(
    frozenset((root + step) % 12 for step in (0, third, 7))
    for root in range(12)
    for third in (4, 3)
)
Row = tuple[float, ...]
Order = tuple[object, ...]  # a time, a step, the strings there; and a string


class Place(Struct):
    """What all measures have at one time: of its notes how many there are, how strange they are in
    their chords and how far from what their string has otherwise, and on which strings and frets
    they lie."""

    notes: int = 0
    strange: float = 0.0
    otherwise: float = 0.0
    strings: Counter[int] = field(default_factory=Counter)
    spots: Counter[tuple[int, int | None]] = field(default_factory=Counter)


class _Inside(Struct):
    """A measure: its notes by string and fret and by pitch, and the pitches of its long strings."""

    frets: dict[int, Counter[int | None]] = field(default_factory=dict)
    tones: Counter[int] = field(default_factory=Counter)
    pitches: list[int] = field(default_factory=list)
    outside: dict[int, float] = field(default_factory=dict)


class Tune:
    """The events of a tune and what is counted over them."""

    def __init__(self, score: Score, struck: Sequence[Moment]) -> None:
        self.struck = struck
        self.beat = score.meter.beat
        self.pulse = _pulse(score, struck)
        self.half = score.meter.length / 2
        self.short = short_of(score.setup)
        self.rolling = in_rolls(struck)
        self.inside: dict[int, _Inside] = {}
        for moment in struck:
            self._count(moment)
        pitches = sorted(p for inside in self.inside.values() for p in inside.pitches)
        self.middle = pitches[len(pitches) // 2] if pitches else 0
        self.drones = [self._drones(m) for m in struck]
        self.said = [[self._said(m, n) for n in m.event.notes] for m in struck]
        self.places: dict[Fraction, Place] = {}
        for moment, pairs in zip(struck, self.said, strict=True):
            place = self.places.setdefault(moment.beat, Place())
            for note, (strange, otherwise) in zip(moment.event.notes, pairs, strict=True):
                if note.string != self.short:
                    place.notes += 1
                    place.strange += strange
                    place.otherwise += otherwise
                place.strings[note.string] += 1
                place.spots[note.string, note.fret] += 1
        self.played = [tuple(note.string for note in m.event.notes) for m in struck]
        self.orders: Counter[Order] = Counter()
        for index in range(len(struck)):
            for step in (-1, 1):
                order = self._order(index, step)
                self.orders[order] += 1
                for string in self.played[index]:
                    self.orders[*order, string] += 1
        long = max(1, sum(place.notes for place in self.places.values()))
        self.usual = Place(
            notes=long,
            strange=sum(place.strange for place in self.places.values()),
            otherwise=sum(place.otherwise for place in self.places.values()),
        )

    def _count(self, moment: Moment) -> None:
        inside = self.inside.setdefault(moment.at[0], _Inside())
        for note in moment.event.notes:
            inside.frets.setdefault(note.string, Counter())[note.fret] += 1
            if note.string != self.short:
                inside.tones[note.pitch.midi % 12] += 1
                inside.pitches.append(note.pitch.midi)

    def _drones(self, moment: Moment) -> bool:
        return any(n.string == self.short and n.fret == 0 for n in moment.event.notes)

    def _said(self, moment: Moment, note: Note) -> tuple[float, float]:
        """How surely a note is none of the chord that the others of its measure make, and how much
        of its string is stopped otherwise there and in the measures beside it."""
        if note.string == self.short:
            return 0.0, 0.0
        inside, tone = self.inside[moment.at[0]], note.pitch.midi % 12
        if tone not in inside.outside:
            inside.outside[tone] = _outside(inside.tones, tone)
        held = inside.frets[note.string]
        others = held.total() - 1
        same = held[note.fret] - 1
        if not others:
            for near in (moment.at[0] - 1, moment.at[0] + 1):
                if near in self.inside:
                    counted = self.inside[near].frets.get(note.string)
                    if counted:
                        others += counted.total()
                        same += counted[note.fret]
        return inside.outside[tone], 1.0 - same / others if others else 0.5

    def _order(self, index: int, step: int) -> Order:
        """The time of an event and the strings of the one before or after it."""
        beside = index + step
        there = self.played[beside] if 0 <= beside < len(self.played) else ()
        return (self.struck[index].beat, step, there)

    def _in_order(self, index: int, note: Note) -> Row:
        """How often the roll has this string at this time, of all times that it came the same way,
        and that it goes on the same way."""
        found = []
        for step in (-1, 1):
            order = self._order(index, step)
            times = self.orders[order] - 1
            found.append((self.orders[*order, note.string] - 1 + 0.3) / (times + 1))
            found.append(min(1.0, times / 4))
        return tuple(found)

    def rows(self) -> list[list[Row]]:
        """Of each note of each event what speaks for it."""
        whole = (
            sum(self.drones) / max(1, len(self.drones)),
            len(self.rolling) / max(1, len(self.struck)),
            float(self.beat / self.pulse % 3 == 0),
        )
        found = []
        for index, moment in enumerate(self.struck):
            here = self._moment(index, moment)
            rows = []
            for note, said in zip(moment.event.notes, self.said[index], strict=True):
                rows.append(
                    (
                        *whole,
                        *here,
                        *self._note(moment, note),
                        *self._beside(index, note),
                        *self._measure(moment, note, said),
                        *self._place(moment, note, said),
                        *self._in_order(index, note),
                    )
                )
            found.append(rows)
        return found

    def _moment(self, index: int, moment: Moment) -> Row:
        """The time, and what the event is."""
        notes = moment.event.notes
        part = self.drones[max(0, index - 4) : index + 5]
        before = moment.start - self.struck[index - 1].start if index else self.beat
        first = not index or self.struck[index - 1].at[0] != moment.at[0]
        last = index + 1 == len(self.struck) or self.struck[index + 1].at[0] != moment.at[0]
        return (
            float(moment.beat % self.beat == 0),
            float(moment.beat % self.half == 0),
            float(moment.beat == 0),
            float(moment.beat % (2 * self.pulse) == 0),
            min(2.0, float(moment.event.duration / self.pulse) / 2),
            min(2.0, float(before / self.pulse) / 2),
            float(first),
            float(last),
            float(len(notes) == 1),
            float(len(notes) > 2),
            float(moment.at in self.rolling),
            sum(part) / len(part),
            float(self.drones[index]),
        )

    def _note(self, moment: Moment, note: Note) -> Row:
        """The note in its event."""
        notes = moment.event.notes
        long = [n.pitch.midi for n in notes if n.string != self.short]
        is_long = note.string != self.short
        letter = note.finger.value if note.finger is not None else ""
        return (
            float(not is_long),
            float(not is_long and bool(note.fret)),
            *(float(note.string == number) for number in (1, 2, 3, 4)),
            float(bool(note.fret)),
            min(1.0, (note.fret or 0) / 12),
            float(note.link is not None),
            float(bool(long) and is_long and note.pitch.midi == max(long)),
            float(bool(long) and is_long and note.pitch.midi == min(long)),
            float(any(n.fret for n in notes if n is not note)),
            float(letter == "T" and is_long),
            float(letter == "I"),
            float(letter == "M"),
        )

    def _beside(self, index: int, note: Note) -> Row:
        """What stands before and after: on the same string, near in pitch, the drone, slurs."""
        found: list[float] = []
        for step in _BESIDE:
            notes = (
                self.struck[index + step].event.notes
                if 0 <= index + step < len(self.struck)
                else ()
            )
            steps = [abs(n.pitch.midi - note.pitch.midi) for n in notes if n.string != self.short]
            nearest = min(steps, default=12)
            found += [
                float(len(notes) == 1 and self.drones[index + step]),
                float(any(n.fret for n in notes)),
                float(len(notes) > 1),
                float(any(n.link is not None for n in notes)),
                float(any(n.string == note.string for n in notes)),
                float(nearest == 0),
                float(nearest in (1, 2)),
            ]
        return tuple(found)

    def _measure(self, moment: Moment, note: Note, said: tuple[float, float]) -> Row:
        """The note among those of its measure, and in the range of the tune."""
        inside = self.inside[moment.at[0]]
        held, midi = inside.frets[note.string], note.pitch.midi
        every = max(1, len(inside.pitches))
        lower = sum(p < midi for p in inside.pitches) / every
        higher = sum(p > midi for p in inside.pitches) / every
        return (
            *said,
            min(1.0, (held[note.fret] - 1) / 3),
            min(1.0, (held.total() - 1) / 3),
            lower,
            higher,
            max(-1.0, min(1.0, (midi - self.middle) / 12)),
            min(1.0, every / 12),
        )

    def _place(self, moment: Moment, note: Note, said: tuple[float, float]) -> Row:
        """What all other measures have at that time."""
        place, usual = self.places[moment.beat], self.usual
        is_long = int(note.string != self.short)
        notes = place.notes - is_long
        strange = (place.strange - said[0] + _STRANGE) / (notes + 1)
        otherwise = (place.otherwise - said[1] + _OTHERWISE) / (notes + 1)
        rest = max(0, usual.notes - place.notes) + 1
        strings = place.strings.total() - 1
        on_string = (place.strings[note.string] - 1 + 0.5) / (strings + 2)
        on_spot = (place.spots[note.string, note.fret] - 1 + 0.2) / (strings + 2)
        return (
            math.sqrt(max(0.0, strange)),
            otherwise,
            strange - (usual.strange - place.strange + _STRANGE) / rest,
            otherwise - (usual.otherwise - place.otherwise + _OTHERWISE) / rest,
            entropy(place.strings),
            on_string,
            on_spot,
            entropy(place.spots) / 3,
            min(1.0, place.strings.total() / max(1, len(self.inside))),
        )


def _pulse(score: Score, struck: Sequence[Moment]) -> Fraction:
    """The time of an even stroke: what most events last, no more than half a beat."""
    counted = Counter(moment.event.duration for moment in struck)
    beat = score.meter.beat
    top = beat / 3 if score.meter.count % 3 == 0 and score.meter.unit == 8 else beat / 2
    usual = counted.most_common(1)[0][0] if counted else top
    return min(usual, top) if usual else top


def _outside(tones: Counter[int], tone: int) -> float:
    """The share of the triads that fit the other notes best and lack a pitch class."""
    totals = [sum(tones[t] for t in triad) - (tone in triad) for triad in TRIADS]
    most = max(totals)
    best = [triad for triad, total in zip(TRIADS, totals, strict=True) if total == most]
    return 1.0 - sum(tone in triad for triad in best) / len(best)


def entropy(counted: Counter[int] | Counter[tuple[int, int | None]]) -> float:
    """How much the counted things vary, in bits."""
    every = counted.total()
    return -sum(n / every * math.log2(n / every) for n in counted.values())


def in_rolls(struck: Sequence[Moment]) -> frozenset[At]:
    """The events in a roll, or that end one: stroke after stroke on another string, three strings
    at least, be it half a measure."""
    by_measure: dict[int, list[Moment]] = {}
    for moment in struck:
        by_measure.setdefault(moment.at[0], []).append(moment)
    found: set[At] = set()
    for inside in by_measure.values():
        found.update(_rolls_of(inside))
    return frozenset(found)


def _rolls_of(inside: Sequence[Moment]) -> list[At]:
    strings = [frozenset(note.string for note in moment.event.notes) for moment in inside]
    runs: list[list[int]] = []
    for index in range(len(inside)):
        if index and not strings[index - 1] & strings[index]:
            runs[-1].append(index)
        else:
            runs.append([index])
    return [
        inside[index].at
        for run in runs
        if len(run) >= _LEAST and len(frozenset().union(*(strings[i] for i in run))) >= _STRINGS
        for index in run
    ]
