"""What speaks for a note being a slip of another one: the features of every candidate.

A candidate is a note on the same string one or two frets off, or the same fret on the next
string. Each feature compares the candidate with what is typed, mostly as the logarithm of a ratio
of counts: how often either stands in the same surroundings elsewhere, sounds in the tune, or is
held by the hand nearby. ``NAMES`` lists them in order; their weights are data (``weights``).
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator

from msgspec import Struct

from rollstave.proofreading.heard import midi_or_none, step_to
from rollstave.proofreading.surroundings import Struck, Surroundings
from rollstave.score.records import Note

NAMES = (
    "class",
    "place",
    "scale",
    "step",
    "hand",
    "around_1",
    "around_2",
    "before_4",
    "after_4",
    "measure",
    "strings",
    "position",
    "other_string",
    "one_fret",
    "alone_far",
    "scale_in_order",
    "alone",
    "alone_size",
    "alone_habit",
    "alone_to_next",
    "alone_from_last",
    "alone_foreign",
    "alone_mended",
    "alone_leaps",
    "rare",
    "measure_habit",
    "measure_size",
    "measure_string",
    "measure_one_fret",
    "measure_scale",
    "around_habit",
    "leaps",
    "pitches",
    "measure_often",
    "beside",
    "alone_in_order",
    "chord",
    "triad",
    "allowed",
    "measure_allowed",
    "around_allowed",
    "runs",
    "order",
    "held",
    "measure_triad",
    "alone_rolls",
    "alone_held",
    "alone_triad",
    "rolls_held",
    "rolls_measure",
)
_SMALL = 0.3  # added to counts before they are compared
_LIMIT = 6.0
_THIRD = 4  # semitones: a melody's step from a note beside it
_WINDOW = 8  # events to either side that show what the hand holds


class Candidate(Struct, frozen=True):
    """What may have been meant instead of a note: the index of its event, the note, what would
    stand there, the features, and which surroundings know it (index of a table, or None)."""

    event: int
    note: Note
    meant: Struck
    features: tuple[float, ...]


def candidates(around: Surroundings) -> Iterator[Candidate]:
    """Every candidate of every note that anything speaks for."""
    for index, notes in enumerate(around.notes):
        held: Counter[Struck] | None = None
        for note in notes:
            if note.fret is None:
                continue
            typed = (note.string, note.fret)
            meant = _plausible(around, index, note, _meant(around, index, note))
            if not meant:
                continue
            if held is None:
                held = _held(around, index)
            common = _Common(around, index, note, typed, held)
            for one, midi in meant:
                yield Candidate(
                    event=index, note=note, meant=one, features=common.features(one, midi)
                )


def _meant(around: Surroundings, index: int, note: Note) -> list[tuple[Struck, int]]:
    fret = note.fret or 0
    width = len(str(fret))
    found = [
        (note.string, fret + step)
        for step in (-2, -1, 1, 2)
        if fret + step >= 0 and len(str(fret + step)) == width
    ]
    found += [
        (note.string + step, fret)
        for step in (-1, 1)
        if 1 <= note.string + step <= around.setup.instrument.strings
        and note.string + step not in around.strings[index]
    ]
    pitches = ((one, midi_or_none(around.setup, *one)) for one in found)
    return [(one, midi) for one, midi in pitches if midi is not None]


def _plausible(
    around: Surroundings, index: int, note: Note, meant: list[tuple[Struck, int]]
) -> list[tuple[Struck, int]]:
    """Those that stand in the same surroundings elsewhere; all, if the note is rare."""
    drone = note.string == around.drone
    pitch_class = note.pitch.midi % 12
    if not drone and (around.classes[pitch_class] <= 2 or pitch_class not in around.scale):
        return meant
    typed = (note.string, note.fret or 0)
    triad = around.leaves_triad
    if not drone and any(triad(index, note, midi % 12) for _, midi in meant):
        return meant
    found = [
        counts
        for table, key in zip(around.tables, around.keys(index, typed), strict=True)
        if len(counts := table[key]) > 1
    ]
    if (key := around.hiding(index, typed)) is not None and len(around.hidden[key]) > 1:
        found.append(around.hidden[key])
    strings = around.by_strings[around.string_key(index, note.string)]
    pitches = around.by_pitch[around.pitch_key(index)]
    return [
        (one, midi)
        for one, midi in meant
        if any(one in counts for counts in found)
        or (one[0] != note.string and one[0] in strings)
        or midi in pitches
        or (one[0] != note.string and around.order_counts(index, note.string, one[0])[0] > 1)
    ]


def _held(around: Surroundings, index: int) -> Counter[Struck]:
    near = (*around.struck[max(0, index - _WINDOW) : index],)
    after = around.struck[index + 1 : index + 1 + _WINDOW]
    return Counter(one for struck in (*near, *after) for one in struck)


def _ratio(one: int, typed: int, small: float = _SMALL) -> float:
    return max(-_LIMIT, min(_LIMIT, math.log((one + small) / (typed + small))))


class _Common:
    """What all candidates of one note share."""

    def __init__(
        self,
        around: Surroundings,
        index: int,
        note: Note,
        typed: Struck,
        held: Counter[Struck],
    ) -> None:
        self.around, self.index, self.note, self.typed, self.held = (
            around,
            index,
            note,
            typed,
            held,
        )
        self.midi = note.pitch.midi
        self.drone = note.string == around.drone
        self.others = around.classes[self.midi % 12] - (not self.drone)
        self.last, self.next = around.beside(index, -1), around.beside(index, 1)
        self.leap_from = min((abs(self.midi - p) for p in self.last), default=0)
        self.leap_to = min((abs(self.midi - p) for p in self.next), default=0)
        self.steps = step_to(self.midi, self.last) + step_to(self.midi, self.next)
        self.near_frets = [
            fret
            for struck in (
                *around.struck[max(0, index - 3) : index],
                *around.struck[index + 1 : index + 4],
            )
            for _, fret in struck
            if fret > 0
        ]
        self.tables = [
            table[key] for table, key in zip(around.tables, around.keys(index, typed), strict=True)
        ]
        key = around.hiding(index, typed)
        self.measures: Counter[Struck] = around.hidden[key] if key is not None else Counter()
        self.size = len(around.contents.get(around.measure[index], ()))
        self.in_measure = Counter(
            other
            for event in around.events_of[around.measure[index]]
            for other in around.struck[event]
        )
        self.strings = around.by_strings[around.string_key(index, note.string)]
        self.pitches = around.by_pitch[around.pitch_key(index)]

    def features(self, one: Struck, midi: int) -> tuple[float, ...]:
        """In the order of ``NAMES``."""
        around, typed = self.around, self.typed
        melodic = not self.drone and one[0] != around.drone
        foreign = self.midi % 12 not in around.scale
        scale = float(midi % 12 in around.scale) - float(not foreign)
        seen = [_ratio(table[one], table[typed] - 1) for table in self.tables]
        measure = _ratio(self.measures[one], self.measures[typed] - 1) if self.measures else 0.0
        same = float(measure > 0)
        other_string = float(one[0] != typed[0])
        one_fret = float(one[0] == typed[0] and abs(one[1] - typed[1]) == 1)
        alone = float(not self.drone and self.others == 0 and around.classes[midi % 12] >= 3)
        semitone = any(abs(self.midi - p) == 1 for p in (*self.last, *self.next))
        steps = step_to(midi, self.last) + step_to(midi, self.next) - self.steps
        beside = one in around.at(around.struck, self.index - 1) or one in around.at(
            around.struck, self.index + 1
        )
        return (
            _ratio(around.classes[midi % 12], self.others, 0.5) if melodic else 0.0,
            _ratio(around.places[one], around.places[typed] - 1, 0.5),
            scale,
            max(-_LIMIT, min(_LIMIT, steps)) if melodic else 0.0,
            _ratio(self.held[one], self.held[typed]),
            *seen,
            measure,
            _ratio(self.strings[one[0]], self.strings[typed[0]] - 1) if other_string else 0.0,
            self._position(typed[1]) - self._position(one[1]),
            other_string,
            one_fret,
            float(foreign and self.others == 0 and not self.drone and not semitone),
            scale * (around.share >= 0.97),
            alone,
            alone * math.log(around.number + 1) / 5,
            alone * around.other_lone_classes(self.midi % 12),
            alone * (self.leap_to == 1),
            alone * (self.leap_from == 1),
            alone * foreign,
            alone * foreign * (midi % 12 in around.scale),
            alone * (self.leap_from > 2 and self.leap_to > 2),
            math.log((self.others + 0.5) / (around.number + 6)) if not self.drone else 0.0,
            same * around.variants,
            same * math.log(max(1, self.size)),
            same * other_string,
            same * float(abs(one[1] - typed[1]) == 1),
            same * scale,
            max(seen) * around.variants,
            float(self.leap_from > 4 and self.leap_to > 4),
            _ratio(self.pitches[midi], self.pitches[self.midi] - 1) if melodic else 0.0,
            float(self.measures[one] > 1 and self.measures[typed] == 1),
            float(beside),
            alone * (around.share_without(self.midi % 12) >= 0.98),
            *self._allowed(one, midi, melodic, same, float(max(seen) > 0)),
            *self._in_rolls(one, midi, melodic, alone, measure),
        )

    def _allowed(
        self, one: Struck, midi: int, melodic: bool, same: float, around_it: float
    ) -> tuple[float, ...]:
        """What chord, roll and contour say: of ``NAMES``, those from ``chord`` on."""
        around, typed = self.around, self.typed
        moved = one[0] != typed[0]
        triad = melodic and around.leaves_triad(self.index, self.note, midi % 12)
        near = min(self.leap_from, self.leap_to) <= _THIRD
        allowed = float(self.midi % 12 in around.scale and near and not triad and not self.drone)
        tones = around.tones[self.index]
        chord = float(midi % 12 in tones) - float(self.midi % 12 in tones) if tones else 0.0
        runs = 0.0
        if moved and around.rolls:
            runs = float(around.runs_on(self.index, typed[0])) - float(
                around.runs_on(self.index, one[0])
            )
        order = around.order_counts(self.index, typed[0], one[0]) if moved else (0, 0)
        return (
            chord if melodic else 0.0,
            float(triad),
            allowed,
            same * allowed,
            around_it * allowed,
            runs,
            _ratio(*order) if moved else 0.0,
            _ratio(self.in_measure[one], self.in_measure[typed] - 1),
            same * float(triad),
        )

    def _in_rolls(
        self, one: Struck, midi: int, melodic: bool, alone: float, measure: float
    ) -> tuple[float, ...]:
        """A tune of rolls has few passing notes: the last of ``NAMES``, from ``alone_rolls`` on."""
        around, rolls = self.around, float(self.around.rolls)
        held = _ratio(self.in_measure[one], self.in_measure[self.typed] - 1)
        triad = melodic and around.leaves_triad(self.index, self.note, midi % 12)
        return (
            alone * rolls,
            alone * float(held > 0),
            alone * float(triad),
            rolls * held,
            rolls * measure,
        )

    def _position(self, fret: int) -> float:
        """How far a stopped fret lies from the nearest one around it, up to 6."""
        if not fret:
            return 0.0
        return float(min(6, min((abs(fret - other) for other in self.near_frets), default=0)))
