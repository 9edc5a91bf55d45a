"""What tells the melody from the filling in a roll: the thumb, the beat, and the held shape.

A roll is where stroke after stroke falls on another string, three strings at least, be it half a
measure that a pluck ends. There the fingers play what the left hand holds anyway, a chord; a note
that is stopped otherwise than its string is in the measures around it was stopped for its own sake.
The thumb, where it has several notes between two drones, has the tune on the beat.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave import Note
from rollstave_arranging.flow import At, Moment
from rollstave_arranging.slots import TRIADS

_WIDTH = 34  # of what is said of a note
_LEAST = 4  # strokes one after another in a roll
_STRINGS = 3  # different strings among them
_BASS = (3, 4)
_REACH = 3  # frets beside the thumb's first stopped note in a measure


class Rolls(Struct, frozen=True):
    """Which events are in a roll, the frets that each string has there, and what the thumb has
    on the bass strings in each measure, in order."""

    short: int | None
    rolling: frozenset[At]
    whole: float
    busy: float
    frets: dict[tuple[int, int], Counter[int]]
    bass: dict[int, tuple[tuple[int, int, int], ...]]
    chords: dict[int, frozenset[int]]

    @classmethod
    def of(cls, struck: Sequence[Moment], short: int | None, beat: Fraction) -> Rolls:
        by_measure = _by_measure(struck)
        rolling = in_rolls(struck)
        frets: dict[tuple[int, int], Counter[int]] = {}
        for measure, inside in by_measure.items():
            for moment in inside:
                for note in moment.event.notes:
                    if note.fret is not None:
                        counted = frets.setdefault((measure, note.string), Counter())
                        counted[note.fret] += 1
        bass = {
            measure: tuple(
                (moment.at[1], note.string, note.fret or 0)
                for moment in inside
                for note in moment.event.notes
                if note.string in _BASS
            )
            for measure, inside in by_measure.items()
        }
        whole = len(rolling) / max(1, len(struck))
        chords = {
            measure: _chord_of([n for m in inside for n in m.event.notes if n.string != short])
            for measure, inside in by_measure.items()
        }
        made = cls(
            short=short,
            rolling=rolling,
            whole=whole,
            busy=0.0,
            frets=frets,
            bass=bass,
            chords=chords,
        )
        return replace(made, busy=made.off_the_beat(struck, beat))

    def off_the_beat(self, struck: Sequence[Moment], beat: Fraction) -> float:
        """What share of the thumb's notes off the beat are no part of what is held: where it is
        large, they have the tune too."""
        fills = [
            1.0 - self._usual(moment.at[0], note)
            for moment in struck
            if moment.at in self.rolling and moment.beat % beat
            for note in moment.event.notes
            if note.string in _BASS
        ]
        return sum(fills) / max(1, len(fills))

    def row(self, moment: Moment, note: Note, beat: Fraction) -> tuple[float, ...]:
        """What speaks for a note of a measure in a roll; nothing where it is in none."""
        measure = moment.at[0]
        if moment.at not in self.rolling:
            return (*(0.0,) * (_WIDTH - 1), self.whole)
        on_beat = float(moment.beat % beat == 0)
        first = float(moment.beat == 0)
        half = float(moment.beat % (2 * beat) == 0)
        bass = float(note.string in _BASS)
        drone = float(note.string == self.short)
        high = 1.0 - bass - drone
        stopped = float(bool(note.fret))
        other = self._unlike(measure, note)
        held = self._usual(measure, note)
        thumbs = self.bass[measure]
        place = next((i for i, (event, *_) in enumerate(thumbs) if event == moment.at[1]), 0)
        before = thumbs[place - 1] if place else None
        same = float(before is not None and before[1:] == (note.string, note.fret or 0))
        return (
            1.0,
            on_beat,
            first,
            half,
            bass,
            bass * on_beat,
            bass * first,
            bass * half,
            bass * stopped,
            bass * stopped * on_beat,
            bass * same,
            bass * same * on_beat,
            bass * other,
            bass * other * on_beat,
            bass * (1.0 - on_beat) * (1.0 - stopped),
            high,
            high * on_beat,
            high * other,
            high * other * on_beat,
            high * held * (1.0 - on_beat),
            high * stopped,
            bass * float(len(thumbs) > 2),
            bass * (1.0 - on_beat),
            bass * (1.0 - on_beat) * self.busy,
            self.busy,
            *self._held(measure, note, on_beat=on_beat, bass=bass, high=high),
            self.whole,
        )

    def _held(
        self, measure: int, note: Note, *, on_beat: float, bass: float, high: float
    ) -> tuple[float, ...]:
        """Whether a note is of the chord that the hand holds, and stopped within its reach."""
        off = 1.0 - on_beat
        tone = float(note.pitch.midi % 12 in self.chords[measure])
        thumb = [fret for _, _, fret in self.bass[measure] if fret]
        near = float(bool(note.fret and thumb) and abs((note.fret or 0) - thumb[0]) <= _REACH)
        return (
            tone * high * off,
            (1.0 - tone) * high * off,
            tone * bass * off,
            (1.0 - tone) * bass * off,
            near * high * off,
            near * tone * high * off,
            near * high * on_beat,
            tone * on_beat,
        )

    def _counts(self, measure: int, note: Note) -> tuple[int, int]:
        """How often the string is struck at this fret in the measure and those beside it, and how
        often at all."""
        here = all_ = 0
        for near in (measure - 1, measure, measure + 1):
            counted = self.frets.get((near, note.string))
            if counted:
                here += counted[note.fret or 0]
                all_ += counted.total()
        return here, all_

    def _unlike(self, measure: int, note: Note) -> float:
        here, every = self._counts(measure, note)
        return float(every > 2 and 3 * here <= every)

    def _usual(self, measure: int, note: Note) -> float:
        here, every = self._counts(measure, note)
        return float(3 * here >= 2 * every)


def _chord_of(notes: Sequence[Note]) -> frozenset[int]:
    """The pitch classes of the triad that most of the notes belong to."""
    counted = Counter(note.pitch.midi % 12 for note in notes)
    best = max(TRIADS, key=lambda triad: sum(counted[tone] for tone in triad))
    return best


def in_rolls(struck: Sequence[Moment]) -> frozenset[At]:
    """The events that are in a roll, or end one."""
    return frozenset(at for inside in _by_measure(struck).values() for at in _in_rolls(inside))


def _by_measure(struck: Sequence[Moment]) -> dict[int, list[Moment]]:
    found: dict[int, list[Moment]] = {}
    for moment in struck:
        found.setdefault(moment.at[0], []).append(moment)
    return found


def _in_rolls(inside: Sequence[Moment]) -> list[At]:
    """The events of a measure that are in a roll, or end it."""
    runs: list[list[Moment]] = []
    for moment in inside:
        last = runs[-1][-1] if runs else None
        if last is not None and not _strings(last) & _strings(moment):
            runs[-1].append(moment)
        else:
            runs.append([moment])
    return [
        moment.at
        for run in runs
        if len(run) >= _LEAST and len(frozenset().union(*map(_strings, run))) >= _STRINGS
        for moment in run
    ]


def _strings(moment: Moment) -> frozenset[int]:
    return frozenset(note.string for note in moment.event.notes)
