"""What a tune's own habits say of the times of its measures: which of them have the melody.

An arranger keeps to places: the thumb's beats, the first stroke of each half. Where the notes of a
place often are none of the chord that the other notes of their measures make, or move between the
strings while a pattern would stay on one, the tune goes through that place, and its notes are
melody also where they happen to be of the chord. So each place, a time of the measure and a sort of
string, is judged by all measures but the one in question.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct, field

from rollstave import Note
from rollstave_arranging.flow import At, Moment

DRONE, BASS, HIGH = range(3)
Slot = tuple[Fraction, int]  # from the beginning of the measure, and a sort of string
TRIADS = tuple(
    frozenset((root + step) % 12 for step in (0, third, 7))
    for root in range(12)
    for third in (4, 3)
)
_WIDTH = 20  # of what is said of a note
_STRANGE, _OTHERWISE = 0.1, 0.3  # what is thought of a place that nothing is known of


def sort_of(note: Note, short: int | None) -> int:
    """Whether a note is on the short string, on the thumb's other ones, or above."""
    if note.string == short:
        return DRONE
    return BASS if note.string in (3, 4) else HIGH


class _Sums(Struct):
    """Of the notes of a place: how strange they are in their chord, how far from what their
    string has in the measure, how many, and on which strings."""

    strange: float = 0.0
    otherwise: float = 0.0
    notes: int = 0
    strings: Counter[int] = field(default_factory=Counter)


def slot_rows(
    struck: Sequence[Moment], rolling: frozenset[At], short: int | None, beat: Fraction
) -> list[list[tuple[float, ...]]]:
    """For each note of each event in a roll what its place says; nothing of others."""
    said = _strange(struck, short)
    slots: dict[Slot, _Sums] = {}
    for moment, pairs in zip(struck, said, strict=True):
        for note, (strange, otherwise) in zip(moment.event.notes, pairs, strict=True):
            slot = slots.setdefault((moment.beat, sort_of(note, short)), _Sums())
            slot.strange += strange
            slot.otherwise += otherwise
            slot.notes += 1
            slot.strings[note.string] += 1
    of_sort = [
        [s for (_, sort), s in slots.items() if sort == kind] for kind in (DRONE, BASS, HIGH)
    ]
    whole = [(sum(s.strange for s in row), sum(s.notes for s in row)) for row in of_sort]
    varied = {key: _entropy(slot.strings) for key, slot in slots.items()}
    measures = len({m.at[0] for m in struck if any(n.string != short for n in m.event.notes)}) or 1
    found = []
    for moment, pairs in zip(struck, said, strict=True):
        rows = []
        for note, pair in zip(moment.event.notes, pairs, strict=True):
            sort = sort_of(note, short)
            if moment.at not in rolling or sort == DRONE:
                rows.append((0.0,) * _WIDTH)
                continue
            key = moment.beat, sort
            slot = slots[key]
            rest = whole[sort][0] - slot.strange, whole[sort][1] - slot.notes
            elsewhere = (rest[0] + _STRANGE) / (rest[1] + 1)
            row = _row(slot, pair, elsewhere, varied[key], slot.notes / measures)
            rows.append(_spread(row, sort, on_beat=moment.beat % beat == 0))
        found.append(rows)
    return found


def _row(
    slot: _Sums, pair: tuple[float, float], elsewhere: float, varied: float, usual: float
) -> tuple[float, ...]:
    strange, otherwise = pair
    often = (slot.strange - strange + _STRANGE) / slot.notes
    other = (slot.otherwise - otherwise + _OTHERWISE) / slot.notes
    root = math.sqrt(max(0.0, often))
    return (strange, otherwise, often, other, often - elsewhere, varied, usual, root)


def _spread(row: tuple[float, ...], sort: int, *, on_beat: bool) -> tuple[float, ...]:
    """The row for a bass string or for a higher one, and twice more for the beat."""
    bass, high = float(sort == BASS), float(sort == HIGH)
    beat, off = float(on_beat), 1.0 - on_beat
    pairs = [value * which for value in row for which in (bass, high)]
    often, varied = row[2], row[5]
    return (
        *pairs,
        often * bass * off,
        often * high * off,
        varied * bass * off,
        varied * high * beat,
    )


def _strange(struck: Sequence[Moment], short: int | None) -> list[list[tuple[float, float]]]:
    """Of each note how surely it is none of the chord that the others of its measure make, and
    how much of its string there is stopped otherwise."""
    pitches: dict[int, Counter[int]] = {}
    frets: dict[tuple[int, int], Counter[int | None]] = {}
    for moment in struck:
        for note in moment.event.notes:
            frets.setdefault((moment.at[0], note.string), Counter())[note.fret] += 1
            if note.string != short:
                pitches.setdefault(moment.at[0], Counter())[note.pitch.midi % 12] += 1
    known: dict[tuple[int, int], float] = {}
    found = []
    for moment in struck:
        pairs = []
        for note in moment.event.notes:
            measure, tone = moment.at[0], note.pitch.midi % 12
            strange = 0.0
            if note.string != short:
                if (measure, tone) not in known:
                    known[measure, tone] = _outside(pitches[measure], tone)
                strange = known[measure, tone]
            held = frets[measure, note.string]
            others = held.total() - 1
            otherwise = 1.0 - (held[note.fret] - 1) / others if others else 0.5
            pairs.append((strange, otherwise))
        found.append(pairs)
    return found


def _outside(pitches: Counter[int], tone: int) -> float:
    """The share of the triads that fit the other notes best and lack a pitch class."""
    totals = [sum(pitches[t] for t in triad) - (tone in triad) for triad in TRIADS]
    most = max(totals)
    best = [triad for triad, total in zip(TRIADS, totals, strict=True) if total == most]
    return 1.0 - sum(tone in triad for triad in best) / len(best)


def _entropy(counted: Counter[int]) -> float:
    every = counted.total()
    return -sum(n / every * math.log2(n / every) for n in counted.values())


class Habits:
    """What a first opinion of all notes says of the places of the tune, of the sorts of string on
    and off the beat, and of each measure; a note itself always left aside."""

    def __init__(
        self,
        struck: Sequence[Moment],
        chances: Sequence[Sequence[float]],
        rolling: frozenset[At],
        short: int | None,
        beat: Fraction,
    ) -> None:
        self.rolling, self.short, self.beat = rolling, short, beat
        self.sums: dict[object, tuple[float, int]] = {}
        for moment, row in zip(struck, chances, strict=True):
            for note, chance in zip(moment.event.notes, row, strict=True):
                for key in self._keys(moment, note):
                    total, notes = self.sums.get(key, (0.0, 0))
                    self.sums[key] = total + chance, notes + 1

    def _keys(self, moment: Moment, note: Note) -> tuple[object, ...]:
        sort, rolls = sort_of(note, self.short), moment.at in self.rolling
        return (
            ("place", moment.beat, sort, rolls),
            ("sort", sort, moment.beat % self.beat == 0, rolls),
            ("measure", moment.at[0]),
        )

    def row(self, moment: Moment, note: Note, chance: float) -> tuple[float, ...]:
        """What the habits say of a note that has this chance by itself."""
        place, sort, measure = (self.sums[key] for key in self._keys(moment, note))
        here = (place[0] - chance + 0.3) / place[1]
        alike = (sort[0] - chance + 0.3) / sort[1]
        around = (measure[0] - chance) / max(1, measure[1] - 1)
        rolls = float(moment.at in self.rolling)
        return (
            _logit(chance),
            here,
            _logit(here),
            alike,
            _logit(alike),
            around,
            rolls,
            here * rolls,
            _logit(here) * rolls,
        )


def _logit(chance: float) -> float:
    return math.log(max(chance, 1e-3) / max(1.0 - chance, 1e-3))
