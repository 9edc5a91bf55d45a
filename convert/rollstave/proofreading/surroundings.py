"""The events of a tune, and how often every note of it stands in the same surroundings."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Collection, Sequence
from fractions import Fraction
from itertools import pairwise
from typing import TypeVar

from rollstave.api import Tune
from rollstave.deciding.chords import chord_tones
from rollstave.proofreading.heard import best_scale, named_by_shape
from rollstave.score.records import Note

_MOST = 48  # notes of a measure that is compared with others
_FEW_RUNS = 0.08  # of a tune that is rolled: no finger strikes twice running
_BROKEN_OVER = 3  # strings that a chord is broken over
TRIADS = frozenset(
    frozenset((root + step) % 12 for step in (0, third, 7))
    for root in range(12)
    for third in (3, 4)
)

Struck = tuple[int, int]  # string, fret (-1 for a muted stroke)
T = TypeVar("T")
Keys = tuple[tuple[object, ...], ...]


class Surroundings:
    """The events of a tune, and what stands in the same surroundings, counted once."""

    def __init__(self, tune: Tune, without: Collection[int] = ()) -> None:
        """``without`` are systems that are known to be wrong in another way, and left out."""
        self.tune = tune
        self.setup = tune.score.setup
        short = self.setup.instrument.short_string
        self.drone = short.string if short else 0
        events = [
            (m.index, e)
            for m in tune.score.measures
            if m.system not in without
            for e in m.events
            if e.notes
        ]
        self.measure = [index for index, _ in events]
        self.onset: list[Fraction] = [event.onset for _, event in events]
        self.notes = [event.notes for _, event in events]
        self.struck: list[tuple[Struck, ...]] = [
            tuple((n.string, -1 if n.fret is None else n.fret) for n in notes)
            for notes in self.notes
        ]
        self.strings = [tuple(n.string for n in notes) for notes in self.notes]
        self.midi = [
            tuple(n.pitch.midi for n in notes if n.string != self.drone) for notes in self.notes
        ]
        self.classes = Counter(midi % 12 for chord in self.midi for midi in chord)
        self.number = sum(self.classes.values())
        self.scale, self.share = best_scale(self.classes)
        self.places = Counter(one for struck in self.struck for one in struck)
        self._shares = [self._share_without(pitch_class) for pitch_class in range(12)]
        self.tables: list[dict[object, Counter[Struck]]] = [defaultdict(Counter) for _ in range(4)]
        self.by_strings: dict[object, Counter[int]] = defaultdict(Counter)
        self.by_pitch: dict[object, Counter[int]] = defaultdict(Counter)
        self.hidden: dict[object, Counter[Struck]] = defaultdict(Counter)
        self.contents = self._contents()
        self.shift = named_by_shape(tune)  # by how much the names of chords lie too low
        self.tones = self._tones()
        self.orders: Counter[object] = Counter()
        self.heard: dict[int, Counter[int]] = defaultdict(Counter)
        self.stopped: dict[int, set[Struck]] = defaultdict(set)
        self.with_open: set[int] = set()
        self.events_of: dict[int, list[int]] = defaultdict(list)
        self._count_measures()
        self.rolls = self._runs() < _FEW_RUNS
        self._count()
        self.variants = min(2.0, math.log(1 + self._variants()))

    def __len__(self) -> int:
        return len(self.notes)

    def keys(self, index: int, one: Struck) -> Keys:
        """The surroundings of a note in which it is looked for elsewhere, in four widths."""
        at = self.at
        rest = tuple(other for other in self.struck[index] if other != one)
        before, after = at(self.struck, index - 1), at(self.struck, index + 1)
        before_2, after_2 = at(self.struck, index - 2), at(self.struck, index + 2)
        return (
            (before, rest, after),
            (before_2, before, rest, after, after_2),
            (at(self.struck, index - 4), at(self.struck, index - 3), before_2, before, rest),
            (rest, after, after_2, at(self.struck, index + 3), at(self.struck, index + 4)),
        )

    def hiding(self, index: int, one: Struck) -> object | None:
        """The measure of a note with the note hidden; None for one too long to compare."""
        content = self.contents.get(self.measure[index])
        if content is None:
            return None
        wanted = (self.onset[index], *one)
        return _hidden(content, content.index(wanted))

    def string_key(self, index: int, string: int) -> object:
        at = self.at
        rest = tuple(other for other in self.strings[index] if other != string)
        return (
            at(self.strings, index - 2),
            at(self.strings, index - 1),
            rest,
            at(self.strings, index + 1),
            at(self.strings, index + 2),
        )

    def pitch_key(self, index: int) -> object:
        at = self.at
        return tuple(at(self.midi, index + offset) for offset in (-2, -1, 1, 2))

    def beside(self, index: int, step: int) -> tuple[int, ...]:
        """The pitches just before (-1) or after (1) an event, over a lone drone."""
        return self.at(self.midi, index + step) or self.at(self.midi, index + 2 * step)

    def share_without(self, pitch_class: int) -> float:
        """The share of the best scale with one note of that pitch class taken away."""
        return self._shares[pitch_class]

    def other_lone_classes(self, pitch_class: int) -> int:
        """How many other pitch classes sound just once, up to 3: a habit of the tune."""
        alone = sum(self.classes[p] == 1 for p in range(12) if p != pitch_class)
        return min(3, alone)

    @staticmethod
    def at(sequence: Sequence[tuple[T, ...]], index: int) -> tuple[T, ...]:
        """An element of a sequence, empty beyond its ends."""
        return sequence[index] if 0 <= index < len(sequence) else ()

    def _share_without(self, pitch_class: int) -> float:
        counts = self.classes.copy()
        counts[pitch_class] -= counts[pitch_class] > 0
        return best_scale(counts)[1]

    def _contents(self) -> dict[int, tuple[tuple[Fraction, int, int], ...]]:
        found: dict[int, list[tuple[Fraction, int, int]]] = defaultdict(list)
        for index, measure in enumerate(self.measure):
            found[measure].extend((self.onset[index], *one) for one in self.struck[index])
        return {m: tuple(content) for m, content in found.items() if len(content) <= _MOST}

    def _count(self) -> None:
        for index, struck in enumerate(self.struck):
            for one in struck:
                for table, key in zip(self.tables, self.keys(index, one), strict=True):
                    table[key][one] += 1
                self.by_strings[self.string_key(index, one[0])][one[0]] += 1
            for midi in self.midi[index]:
                self.by_pitch[self.pitch_key(index)][midi] += 1
        for content in self.contents.values():
            for position, (_, string, fret) in enumerate(content):
                self.hidden[_hidden(content, position)][string, fret] += 1

    def _tones(self) -> list[frozenset[int] | None]:
        """The tones of the chord over each event, None where there is none."""
        found: list[frozenset[int] | None] = []
        for index, measure in enumerate(self.measure):
            names = [
                c for c in self.tune.score.measures[measure].chords if c.onset <= self.onset[index]
            ]
            tones = chord_tones(names[-1]) if names else None
            shift = 0 if not names or names[-1].inferred else self.shift
            found.append(tones and frozenset((tone + shift) % 12 for tone in tones))
        return found

    def _count_measures(self) -> None:
        """What each measure sounds, on which strings, and in which order they are struck."""
        for index, measure in enumerate(self.measure):
            self.events_of[measure].append(index)
            self.heard[measure].update(midi % 12 for midi in self.midi[index])
            long = [one for one in self.struck[index] if one[0] != self.drone]
            self.stopped[measure].update(one for one in long if one[1] > 0)
            if any(fret == 0 for _, fret in long):
                self.with_open.add(measure)
        for events in self.events_of.values():
            self.orders[self._order(events)] += 1

    def _order(self, events: Sequence[int], changed: tuple[int, int, int] | None = None) -> object:
        """Onsets and strings of a measure; with one string of an event another, if ``changed``
        says so: event, string, string instead."""
        event, old, new = changed or (-1, 0, 0)
        return tuple(
            (
                self.onset[i],
                tuple(sorted(new if i == event and s == old else s for s in self.strings[i])),
            )
            for i in events
        )

    def order_counts(self, index: int, typed: int, meant: int) -> tuple[int, int]:
        """How many measures strike the strings in the order of an event's measure with a string
        of it another one, and how many others in the order that is typed."""
        events = self.events_of[self.measure[index]]
        if len(events) > _MOST:
            return 0, 0
        other = self.orders[self._order(events, (index, typed, meant))]
        return other, self.orders[self._order(events)] - 1

    def runs_on(self, index: int, string: int) -> bool:
        """Whether a string is struck in the event just before or after one."""
        return string in self.at(self.strings, index - 1) or string in self.at(
            self.strings, index + 1
        )

    def _runs(self) -> float:
        """The share of steps within measures that strike a string again."""
        steps = [
            bool(set(self.strings[one]) & set(self.strings[other]))
            for events in self.events_of.values()
            for one, other in pairwise(events)
        ]
        return sum(steps) / max(1, len(steps))

    def leaves_triad(self, index: int, note: Note, meant_class: int) -> bool:
        """Whether the rest of a measure is one triad, held in a closed shape over three strings or
        more, which a note leaves and another would keep. Over open strings it may be melody."""
        measure = self.measure[index]
        stopped = self.stopped[measure]
        strings = {string for string, _ in stopped}
        frets = {fret for string, fret in stopped if (string, fret) != (note.string, note.fret)}
        if len(strings) < _BROKEN_OVER or measure in self.with_open or len(frets) < 2:
            return False  # under one finger over all strings the others are free for melody
        note_class = note.pitch.midi % 12
        rest = self.heard[measure].copy()
        rest[note_class] -= 1
        held = frozenset(pc for pc, number in rest.items() if number > 0)
        return note_class not in held and meant_class in held and held in TRIADS

    def _variants(self) -> int:
        """How many pairs of notes tell measures apart that are else the same: a tune that varies
        its measures so has more of them than one with a slip."""
        number = 0
        for found in self.hidden.values():
            different = list(found)[:6]
            for index, one in enumerate(different):
                number += sum(is_one_slip(one, other) for other in different[:index])
        return number


def _hidden(content: tuple[tuple[Fraction, int, int], ...], position: int) -> object:
    return (*content[:position], content[position][0], *content[position + 1 :])


def is_one_slip(one: Struck, other: Struck) -> bool:
    """True for the same fret on the next string, or a fret one or two off on the same string."""
    if abs(one[0] - other[0]) == 1:
        return one[1] == other[1]
    return one[0] == other[0] and 0 < abs(one[1] - other[1]) <= 2
