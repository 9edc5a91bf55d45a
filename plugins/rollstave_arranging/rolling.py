"""What tells the melody from the filling in a roll: the thumb, the beat, and the held shape.

A measure is in a roll where one note follows another evenly, one of them the drone, on several
strings. There the fingers play what the left hand holds anyway; a note that is stopped otherwise
than its string is in the measures around it was stopped for its own sake. The thumb, where it has
several notes between two drones, has the tune on the beat.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave import Note
from rollstave_arranging.flow import Moment

_LEAST = 5  # single notes in a measure of a roll
_STRINGS = 3  # different strings among them
_BASS = (3, 4)


class Rolls(Struct, frozen=True):
    """Which measures are in a roll, the frets that each string has there, and what the thumb has
    on the bass strings in each measure, in order."""

    short: int | None
    rolling: frozenset[int]
    whole: float
    busy: float
    frets: dict[tuple[int, int], Counter[int]]
    bass: dict[int, tuple[tuple[int, int, int], ...]]

    @classmethod
    def of(cls, struck: Sequence[Moment], short: int | None, beat: Fraction) -> Rolls:
        by_measure: dict[int, list[Moment]] = {}
        for moment in struck:
            by_measure.setdefault(moment.at[0], []).append(moment)
        rolling = frozenset(m for m, inside in by_measure.items() if _is_roll(inside, short))
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
        whole = len(rolling) / max(1, len(by_measure))
        made = cls(short=short, rolling=rolling, whole=whole, busy=0.0, frets=frets, bass=bass)
        return replace(made, busy=made.off_the_beat(struck, beat))

    def off_the_beat(self, struck: Sequence[Moment], beat: Fraction) -> float:
        """What share of the thumb's notes off the beat are no part of what is held: where it is
        large, they have the tune too."""
        fills = [
            1.0 - self._usual(moment.at[0], note)
            for moment in struck
            if moment.at[0] in self.rolling and moment.beat % beat
            for note in moment.event.notes
            if note.string in _BASS
        ]
        return sum(fills) / max(1, len(fills))

    def row(self, moment: Moment, note: Note, beat: Fraction) -> tuple[float, ...]:
        """What speaks for a note of a measure in a roll; nothing where it is in none."""
        measure = moment.at[0]
        if measure not in self.rolling:
            return (*(0.0,) * 25, self.whole)
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
            self.whole,
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


def _is_roll(inside: Sequence[Moment], short: int | None) -> bool:
    alone = [m for m in inside if len(m.event.notes) == 1]
    strings = {m.event.notes[0].string for m in alone}
    lengths = Counter(m.event.duration for m in alone)
    even = lengths.most_common(1)[0][1] if lengths else 0
    return even >= _LEAST and len(strings) >= _STRINGS and (short is None or short in strings)
