"""Times that text cannot hold (:mod:`rollstave.deciding.fine_times`), and the nearest it can."""

from __future__ import annotations

from fractions import Fraction

from msgspec.structs import replace

from rollstave.deciding.fine_times import SHORTEST, held
from rollstave.rhythm.evidence import TICKS
from rollstave.score.records import Measure, Score

_PARTS = 12  # of a quarter note, to which finer times are moved: those of written music


def as_held(score: Score) -> Score:
    """The score with all times moved to the nearest that columns can hold."""
    if all(map(_all_held, score.measures)):
        return score  # nearly always
    return replace(score, measures=tuple(map(_moved, score.measures)))


def _all_held(measure: Measure) -> bool:
    return held(measure) and all(TICKS % c.onset.denominator == 0 for c in measure.chords)


def _moved(measure: Measure) -> Measure:
    if _all_held(measure):
        return measure
    chords = tuple(replace(c, onset=_nearest(c.onset, TICKS)) for c in measure.chords)
    if held(measure):
        return replace(measure, chords=chords)
    onsets: list[Fraction] = []
    gap = Fraction(SHORTEST, TICKS)
    for event in measure.events:
        near = _nearest(event.onset, _PARTS)
        onsets.append(max(near, onsets[-1] + gap) if onsets else near)
    length = max(onsets[-1] + gap if onsets else gap, _nearest(measure.length, _PARTS))
    ends = [*onsets[1:], length]
    events = tuple(
        replace(event, onset=onset, duration=end - onset)
        for event, onset, end in zip(measure.events, onsets, ends, strict=True)
    )
    return replace(measure, events=events, length=length, chords=chords)


def _nearest(time: Fraction, parts: int) -> Fraction:
    return Fraction(round(time * parts), parts)
