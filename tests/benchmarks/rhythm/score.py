"""Compares a solved tune with the truth, and adds up.

A measure is right if every onset and every duration is. Measures without notes and measures of
kind ``ODD`` (wrong in the corpus itself) are not scored. If the solver sees another number of
measures than was typed, every measure of the tune is wrong and the tune counts as misread.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction

from .baselines import Patterns, commonest_pattern, equal_division
from .model import MeasureKind, Meter, SolvedMeasure, SolvedTune, TypedMeasure, TypedTune

BINS = 10


@dataclass(slots=True)
class Tally:
    """Sums over tunes of one style and kind. ``bins``: (measures, right, sum of confidence)."""

    tunes: int = 0
    measures: int = 0
    odd: int = 0
    right: int = 0
    right_scaled: int = 0
    sure: int = 0
    sure_right: int = 0
    sure_scaled: int = 0
    equal: int = 0
    commonest: int = 0
    meters: int = 0
    meter_lengths: int = 0
    meters_scaled: int = 0
    misread: int = 0
    crashed: int = 0
    seconds: float = 0.0
    solve_seconds: float = 0.0
    timed: int = 0
    by_kind: dict[str, list[int]] = field(default_factory=dict)
    bins: list[list[float]] = field(default_factory=lambda: [[0, 0, 0.0] for _ in range(BINS)])

    def add(self, other: Tally) -> None:
        """Add another tally to this one."""
        for name in Tally.__slots__:
            if name not in ("bins", "by_kind"):
                setattr(self, name, getattr(self, name) + getattr(other, name))
        for mine, theirs in zip(self.bins, other.bins, strict=True):
            mine[:] = [a + b for a, b in zip(mine, theirs, strict=True)]
        for kind, (count, right) in other.by_kind.items():
            own = self.by_kind.setdefault(kind, [0, 0])
            own[0] += count
            own[1] += right


@dataclass(frozen=True, slots=True)
class Miss:
    """A measure that was read wrongly."""

    name: str
    index: int
    truth: TypedMeasure
    solved: SolvedMeasure


def is_right(truth: TypedMeasure, solved: SolvedMeasure, scale: Fraction = Fraction(1)) -> bool:
    """True if every onset and duration is right, once multiplied by ``scale``."""
    return truth.onsets == tuple(o * scale for o in solved.onsets) and truth.durations == tuple(
        d * scale for d in solved.durations
    )


def is_same_but_for_unit(truth: Meter, solved: Meter) -> bool:
    """True if two meters can have the same text: 4/4, 2/2 and 2/4, but not 3/4 and 6/8."""

    def sort(meter: Meter) -> tuple[bool, int]:
        compound = meter.count % 3 == 0 and meter.count > 3
        beats = meter.count // 3 if compound else meter.count
        return compound, beats // (beats & -beats)  # its odd part

    return sort(truth) == sort(solved)


def score_baselines(typed: TypedTune, patterns: Patterns) -> Tally:
    """The truth's own counts, and how many measures the baselines get right."""
    tally = Tally(tunes=1)
    for measure in typed.measures:
        if measure.kind is MeasureKind.ODD:
            tally.odd += 1
        elif measure.onsets:
            count = len(measure.onsets)
            truth = tuple(zip(measure.onsets, measure.durations, strict=True))
            tally.measures += 1
            tally.equal += equal_division(typed.meter, count) == truth
            tally.commonest += commonest_pattern(patterns, typed.meter, count) == truth
    return tally


def score_tune(
    typed: TypedTune, solved: SolvedTune, tally: Tally, name: str = ""
) -> Iterable[Miss]:
    """Add a solved tune to a tally that already has the baselines; the wrong measures."""
    tally.meters += solved.meter == typed.meter
    tally.meter_lengths += solved.meter.length == typed.meter.length
    tally.meters_scaled += is_same_but_for_unit(typed.meter, solved.meter)
    tally.timed += len(solved.measures)
    tally.solve_seconds += solved.seconds or 0.0
    if len(solved.measures) != len(typed.measures):
        tally.misread += 1
        yield from (
            Miss(name, i, truth, SolvedMeasure((), ()))
            for i, truth in enumerate(typed.measures[:1])
        )
        return
    scale = typed.meter.length / solved.meter.length
    for index, (truth, reading) in enumerate(zip(typed.measures, solved.measures, strict=True)):
        if truth.kind is MeasureKind.ODD or not truth.onsets:
            continue
        right = is_right(truth, reading)
        tally.right += right
        scaled = is_right(truth, reading, scale)
        tally.right_scaled += scaled
        tally.sure += reading.sure
        tally.sure_right += reading.sure and right
        tally.sure_scaled += reading.sure and scaled
        own = tally.by_kind.setdefault(truth.kind, [0, 0])
        own[0] += 1
        own[1] += right
        cell = tally.bins[min(BINS - 1, int(reading.confidence * BINS))]
        cell[:] = [cell[0] + 1, cell[1] + right, cell[2] + reading.confidence]
        if not right:
            yield Miss(name, index, truth, reading)
