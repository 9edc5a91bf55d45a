"""What speaks for two neighbouring rows of a system being exchanged: the features of every pair.

Each system is compared with itself the other way round, in the light of all other systems: its
pitch classes, its scale, its places on the neck, the order of strings, whole measures, and how
smoothly the melody goes on. ``NAMES`` lists the features in order.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from msgspec import Struct

from rollstave.api import Tune
from rollstave.grid.typed import GridMeasure
from rollstave.instruments.setup import Setup
from rollstave.proofreading.heard import best_scale, midi_or_none, smoothness

NAMES = (
    "class",
    "scale",
    "scale_in_order",
    "place",
    "string",
    "orders",
    "measures",
    "measures_as_they_are",
    "smooth",
    "hand",
    "size",
    "short_string",
    "steps_of_strings",
    "foreign_gone",
    "foreign_left",
    "class_gain",
    "place_gain",
    "smooth_gain",
    "hand_gain",
    "steps_gain",
)
_LIMIT = 15.0

Content = tuple[tuple[tuple[int, int], ...], ...]  # per column, (string, fret)


class Pair(Struct, frozen=True):
    """A system (its measures), the upper of the two strings, and the features."""

    measures: tuple[GridMeasure, ...]
    upper: int
    features: tuple[float, ...]


class _Side(Struct, frozen=True):
    """One system as typed or the other way round, counted."""

    classes: Counter[int]
    places: Counter[tuple[int, int]]
    strings: Counter[int]
    orders: Counter[tuple[tuple[int, ...], ...]]
    measures: Counter[Content]
    steps: Counter[tuple[tuple[int, ...], tuple[int, ...]]]
    smooth: float
    hand: float
    missing: int  # frets that do not exist

    @property
    def counts(self) -> tuple[Counter[object], ...]:
        return (  # type: ignore[return-value]
            self.classes,
            self.places,
            self.strings,
            self.orders,
            self.measures,
            self.steps,
        )


def pairs(tune: Tune) -> Iterator[Pair]:
    """Every two neighbouring rows of every system, where there is more than one system."""
    setup = tune.score.setup
    systems = [tuple(g) for _, g in groupby(tune.grid.measures, key=lambda m: m.system)]
    if len(systems) < 2:
        return
    sides = [_side([_content(m) for m in system], setup) for system in systems]
    totals: list[Counter[object]] = [Counter() for _ in range(6)]
    for side in sides:
        for total, counts in zip(totals, side.counts, strict=True):
            total.update(counts)
    for system, typed in zip(systems, sides, strict=True):
        # What the other systems hold of that which either way of this one holds.
        rest = _Rest(totals, typed)
        for upper in range(1, setup.instrument.strings):
            if not (typed.strings[upper] or typed.strings[upper + 1]):
                continue
            other = {upper: upper + 1, upper + 1: upper}
            turned = _side([_content(m, other) for m in system], setup)
            if turned.missing > typed.missing:
                continue
            yield Pair(system, upper, _features(typed, turned, rest, upper, setup, len(system)))


class _Rest:
    """The counts of all other systems."""

    def __init__(self, totals: Sequence[Counter[object]], own: _Side) -> None:
        self._totals, self._own = totals, own.counts
        self.sizes = [
            total.total() - counts.total() for total, counts in zip(totals, self._own, strict=True)
        ]
        classes = {pc: self.count(0, pc) for pc in range(12)}
        self.scale, self.share = best_scale(classes)

    def count(self, table: int, key: object) -> int:
        return self._totals[table][key] - self._own[table][key]

    def likelihood(self, table: int, counts: Counter[object], small: float, kinds: int) -> float:
        whole = math.log(self.sizes[table] + small * kinds)
        return sum(
            number * (math.log(self.count(table, key) + small) - whole)
            for key, number in counts.items()
        )


def _features(
    typed: _Side, turned: _Side, rest: _Rest, upper: int, setup: Setup, size: int
) -> tuple[float, ...]:
    def gain(table: int, small: float, kinds: int) -> float:
        one, other = turned.counts[table], typed.counts[table]
        return rest.likelihood(table, one, small, kinds) - rest.likelihood(
            table, other, small, kinds
        )

    def known(table: int, side: _Side) -> int:
        return sum(rest.count(table, key) > 0 for key in side.counts[table])

    number, number_turned = typed.classes.total(), turned.classes.total()
    usual = rest.likelihood(0, typed.counts[0], 0.5, 12) / max(1, number)
    foreign, left = (
        sum(n for pc, n in side.classes.items() if pc not in rest.scale) for side in (typed, turned)
    )
    touched = any(
        rest.count(4, content) > 0 and any(s in (upper, upper + 1) for c in content for s, _ in c)
        for content in typed.measures
    )
    short = setup.instrument.short_string
    raw = [
        # A drone moved off its string changes how many notes are counted.
        gain(0, 0.5, 12) - usual * (number_turned - number),
        foreign - left,
        (foreign - left) * (rest.share > 0.95),
        gain(1, 0.5, 40),
        gain(2, 0.5, 5),
        known(3, turned) - known(3, typed),
        known(4, turned) - known(4, typed),
        float(touched),
        turned.smooth - typed.smooth,
        turned.hand - typed.hand,
        math.log(size),
        float(short is not None and upper + 1 == short.string),
        gain(5, 0.3, 60),
        float(foreign >= 2 and left == 0) * rest.share,
        float(left),
    ]
    found = [max(-_LIMIT, min(_LIMIT, value)) for value in raw]
    return (*found, *(max(0.0, found[index]) for index in (0, 3, 8, 9, 12)))


def _content(measure: GridMeasure, other: dict[int, int] | None = None) -> Content:
    """What is struck, with two rows exchanged where ``other`` says so; muted strokes as 0."""
    other = other or {}
    return tuple(
        tuple(sorted((other.get(s.string, s.string), s.fret or 0) for s in column.strokes))
        for column in measure.columns
    )


def _side(contents: Sequence[Content], setup: Setup) -> _Side:
    short = setup.instrument.short_string
    drone = short.string if short else 0
    classes: Counter[int] = Counter()
    places: Counter[tuple[int, int]] = Counter()
    steps: Counter[tuple[tuple[int, ...], tuple[int, ...]]] = Counter()
    orders = [tuple(tuple(s for s, _ in column) for column in content) for content in contents]
    melody: list[list[int]] = []
    missing = 0
    for order in orders:
        steps.update(pairwise(order))
    for content in contents:
        for column in content:
            chord = []
            for string, fret in column:
                places[string, fret] += 1
                midi = midi_or_none(setup, string, fret)
                if midi is None:
                    missing += 1
                elif string != drone:
                    chord.append(midi)
            classes.update(midi % 12 for midi in chord)
            melody.append(chord)
    strings = Counter(s for order in orders for column in order for s in column)
    smooth, _ = smoothness(melody)
    hand = -sum(_effort(contents))
    return _Side(
        classes=classes,
        places=places,
        strings=strings,
        orders=Counter(orders),
        measures=Counter(contents),
        steps=steps,
        smooth=smooth,
        hand=hand,
        missing=missing,
    )


def _effort(contents: Sequence[Content]) -> Iterator[float]:
    """How far the hand moves and stretches, in frets, event by event."""
    before: float | None = None
    for content in contents:
        for column in content:
            stopped = [fret for _, fret in column if fret > 0]
            if not stopped:
                continue
            position = sum(stopped) / len(stopped)
            if before is not None:
                yield min(6.0, abs(position - before))
            yield max(0, max(stopped) - min(stopped) - 3)
            before = position
