"""The events of a tune, and how often every note of it stands in the same surroundings."""

from __future__ import annotations

import math
from collections import Counter, defaultdict
from collections.abc import Sequence
from fractions import Fraction
from typing import TypeVar

from rollstave.api import Tune
from rollstave.proofreading.heard import best_scale

_MOST = 48  # notes of a measure that is compared with others

Struck = tuple[int, int]  # string, fret (-1 for a muted stroke)
T = TypeVar("T")
Keys = tuple[tuple[object, ...], ...]


class Surroundings:
    """The events of a tune, and what stands in the same surroundings, counted once."""

    def __init__(self, tune: Tune) -> None:
        self.tune = tune
        self.setup = tune.score.setup
        short = self.setup.instrument.short_string
        self.drone = short.string if short else 0
        events = [(m.index, e) for m in tune.score.measures for e in m.events if e.notes]
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
