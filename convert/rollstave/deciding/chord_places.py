"""Where in time a chord name stands that is typed over no stroke.

Between two strokes columns are time, at least about, so a name over a long note stands on the beat
that lies there. One that is on no beat belongs to the stroke after it.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rollstave.grid.typed import Attachment, GridMeasure
from rollstave.rhythm import TimedMeasure

_Point = tuple[int, Fraction]  # a character of a measure, and its time
# How far from a beat, or from half of one, a name may be typed, in characters; our choice.
_OFF_BEAT, _OFF_HALF = Fraction(1), Fraction(1, 2)
_LONG = Fraction(3, 2)  # beats between two strokes over which a name may be on half a beat


def chord_onset(
    name: Attachment, grid: GridMeasure, timed: TimedMeasure, beat: Fraction
) -> Fraction:
    """When a chord name begins, in quarter notes from the start of its measure. ``beat`` is that of
    the meter."""
    if name.column is not None:
        return timed.onsets[name.column]
    if name.position <= 0:
        return Fraction(0)
    points = [
        *((c.position, onset) for c, onset in zip(grid.columns, timed.onsets, strict=True)),
        (grid.width, timed.length),
    ]
    after = next((i for i, point in enumerate(points) if point[0] >= name.position), len(points))
    between = _between(name.position, points, after, beat)
    if between is not None:
        return between
    if after < len(timed.onsets):
        return timed.onsets[after]
    return timed.onsets[-1] if timed.onsets else Fraction(0)


def _between(
    position: int, points: Sequence[_Point], after: int, beat: Fraction
) -> Fraction | None:
    """The beat at a position that has no stroke, or None if none is there."""
    if after >= len(points):
        return None
    # Before the first stroke columns take the time that they take after it.
    first = points[max(0, after - 1)] if len(points) > 1 else (0, Fraction(0))
    second = points[max(1, after)] if len(points) > 1 else points[0]
    (left, start), (right, end) = first, second
    if right <= left or end <= start:
        return None
    each = (end - start) / (right - left)  # quarter notes of a character
    time = start + (position - left) * each
    earliest = points[after - 1][1] if after else Fraction(-1)
    latest = points[after][1]
    steps = [(beat, _OFF_BEAT)]
    if latest - max(Fraction(0), earliest) >= _LONG * beat:
        steps.append((beat / 2, _OFF_HALF))
    for step, most in steps:
        near = round(time / step) * step
        if abs(near - time) <= most * each and max(earliest, Fraction(-1)) < near < latest:
            return near if near >= 0 else None
    return None
