"""What a tune's own habits say of a note, once an opinion of all of its notes is there.

Where the tune is in most measures, it is likely to be in this one: at that time, on that string, in
that sort of stroke; and a melody goes by steps from note to note. The opinion of a note itself is
always left aside. Asked again of the opinion that came of it, habits grow clearer.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from fractions import Fraction

from rollstave import Note
from rollstave_arranging.cues import TRIADS, Row, Tune
from rollstave_arranging.flow import Moment

_LIKELY = 0.5  # a neighbour of the melody is likelier than this
_NEAR = 8  # events to either side in which neighbours of the melody are looked for
_PRIOR, _WEIGHT = 0.3, 1.0  # what is thought of a habit that nothing is known of


def habit_rows(tune: Tune, chances: Sequence[Sequence[float]]) -> list[list[Row]]:
    """For each note of each event what the tune does elsewhere, and how far the note lies from
    the likeliest around it."""
    habits = _Habits(tune, chances)
    sure = []
    for moment, row in zip(tune.struck, chances, strict=True):
        likeliest = max(range(len(row)), key=row.__getitem__)
        sure.append((row[likeliest], moment.event.notes[likeliest].pitch.midi))
    found = []
    for index, (moment, row) in enumerate(zip(tune.struck, chances, strict=True)):
        before = _neighbour(sure, range(index - 1, index - 1 - _NEAR, -1))
        after = _neighbour(sure, range(index + 1, index + 1 + _NEAR))
        around = (
            sure[index - 1][0] if index else 0.0,
            sure[index + 1][0] if index + 1 < len(sure) else 0.0,
        )
        rows = []
        for note, chance in zip(moment.event.notes, row, strict=True):
            best = max((c for c in row if c is not chance), default=0.0)
            rows.append(
                (
                    *habits.row(moment, note, chance),
                    chance,
                    best,
                    *around,
                    *_leap(note, before),
                    *_leap(note, after),
                )
            )
        found.append(rows)
    return found


class _Filling:
    """What the notes of a measure, or of a part of it, are that are none of the tune, as far as is
    known: by string and fret, and the chords that they make."""

    def __init__(self) -> None:
        self.frets: dict[tuple[int, int | None], float] = {}
        self.strings: dict[int, float] = {}
        self.tones = [0.0] * 12
        self.total = 0.0
        self.having, self.lacking = [0.0] * 12, [0.0] * 12

    def add(self, note: Note, weight: float, is_long: bool) -> None:
        spot = (note.string, note.fret)
        self.frets[spot] = self.frets.get(spot, 0.0) + weight
        self.strings[note.string] = self.strings.get(note.string, 0.0) + weight
        if is_long:
            self.tones[note.pitch.midi % 12] += weight

    def settle(self) -> None:
        """What the best chord has of the notes, with each tone in it and without."""
        self.total = sum(self.tones)
        for triad in TRIADS:
            has = sum(self.tones[tone] for tone in triad)
            for tone in range(12):
                best = self.having if tone in triad else self.lacking
                if has > best[tone]:
                    best[tone] = has

    def row(self, note: Note, weight: float, is_long: bool) -> Row:
        """How a note fits into it, itself aside."""
        others = self.strings[note.string] - weight
        same = self.frets[note.string, note.fret] - weight
        found = ((same + 0.15) / (others + 0.3), min(1.0, others / 2))
        if not is_long:
            return (*found, 0.0)
        tone = note.pitch.midi % 12
        most = max(self.having[tone] - weight, self.lacking[tone])
        return (*found, (most - self.having[tone] + weight) / (self.total - weight + 0.5))


class _Habits:
    """Sums of what is thought of all notes, by time, string, and both."""

    def __init__(self, tune: Tune, chances: Sequence[Sequence[float]]) -> None:
        self.tune = tune
        self.sums: dict[object, tuple[float, int]] = {}
        self.at: dict[Fraction, float] = {}  # of events at a time the likeliest note of each
        for moment, row in zip(tune.struck, chances, strict=True):
            self.at[moment.beat] = self.at.get(moment.beat, 0.0) + max(row)
            for note, chance in zip(moment.event.notes, row, strict=True):
                for key in self._keys(moment, note):
                    total, notes = self.sums.get(key, (0.0, 0))
                    self.sums[key] = total + chance, notes + 1
        self.filling: dict[tuple[int, int], _Filling] = {}
        for moment, row in zip(tune.struck, chances, strict=True):
            for note, chance in zip(moment.event.notes, row, strict=True):
                for part in self._parts(moment):
                    filling = self.filling.setdefault(part, _Filling())
                    filling.add(note, 1.0 - chance, note.string != tune.short)
        for filling in self.filling.values():
            filling.settle()
        measures = max(1, len(tune.inside))
        self.at = {beat: total / measures for beat, total in self.at.items()}
        self.whole = sum(self.at.values())

    def _keys(self, moment: Moment, note: Note) -> tuple[object, ...]:
        rolls = moment.at in self.tune.rolling
        string = note.string
        bass = -1 if string == self.tune.short else int(string in (3, 4))
        return (
            (moment.beat, string, rolls),
            (moment.beat, bass),
            moment.beat,
            (string, moment.beat % self.tune.beat == 0, rolls),
            ("measure", moment.at[0]),
            ("spot", string, note.fret),
            ("pitch", moment.beat, note.pitch.midi),
        )

    def _parts(self, moment: Moment) -> tuple[tuple[int, int], tuple[int, int]]:
        return (moment.at[0], -1), (moment.at[0], int(moment.beat >= self.tune.half))

    def row(self, moment: Moment, note: Note, chance: float) -> Row:
        """What the habits say of a note that has this chance by itself."""
        found = [logit(chance)]
        for key in self._keys(moment, note):
            total, notes = self.sums[key]
            share = (total - chance + _PRIOR * _WEIGHT) / (notes - 1 + _WEIGHT)
            found += [share, logit(share)]
        pulse = self.tune.pulse
        found += [self.at.get(moment.beat + step * pulse, 0.0) for step in (-2, -1, 1, 2)]
        found.append(self.whole / 4)
        for part in self._parts(moment):
            found += self.filling[part].row(note, 1.0 - chance, note.string != self.tune.short)
        return tuple(found)


def logit(chance: float) -> float:
    """The logarithm of the odds, no more than about 7."""
    return math.log(max(chance, 1e-3) / max(1.0 - chance, 1e-3)) / 2


def _neighbour(sure: Sequence[tuple[float, int]], places: range) -> tuple[int, int] | None:
    """The nearest likely note of the melody: its pitch, and how many events away."""
    for away, place in enumerate(places, start=1):
        if 0 <= place < len(sure) and sure[place][0] > _LIKELY:
            return sure[place][1], away
    return None


def _leap(note: Note, other: tuple[int, int] | None) -> Row:
    if other is None:
        return (1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0)
    midi, away = other
    leap = abs(note.pitch.midi - midi)
    return (
        0.0,
        float(leap == 0),
        float(leap in (1, 2)),
        float(leap in (3, 4, 5)),
        float(leap > 7),
        float(away == 1),
        float(away > 2),
    )
