"""The hardest places of a tune, and why: travel, stretch, speed, a broken roll.

What counts as hard, and how much, is ours; the reasons are told so that a teacher may judge.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from msgspec import Struct

from rollstave import Event, Measure, NamedShape, Score
from rollstave_teaching.hand import Roll, ends_on_plucks, pattern_of
from rollstave_teaching.held import WIDE, shapes_by_measure, stretch
from rollstave_teaching.measures import strokes_of

_FAR = 4  # frets that the hand travels which are worth a word
_MOST = 3
Held = Sequence[Sequence[NamedShape]]  # the shapes of each measure
_FINGERS = {"T": "thumb", "I": "index finger", "M": "middle finger"}


class HardPlace(Struct, frozen=True):
    """One or two measures, by the indices of the first and of the one after the last; how hard;
    and why, in words."""

    begin: int
    end: int
    weight: float
    reasons: tuple[str, ...]


def hardest(score: Score, rolls: Sequence[Roll]) -> tuple[HardPlace, ...]:
    """At most three places that do not overlap and are not the same notes, hardest first."""
    usual = _usual(score)
    held = [[shape for _, shape in here] for here in shapes_by_measure(score)]
    found = [_place(score, index, rolls, usual, held) for index in range(len(score.measures))]
    taken: set[int] = set()
    seen: set[object] = set()
    chosen = []
    for place in sorted(found, key=lambda p: (-p.weight, p.begin)):
        inside = set(range(place.begin, place.end))
        notes = tuple(_notes(score.measures[i]) for i in sorted(inside))
        if place.weight > 0 and not inside & taken and notes not in seen:
            chosen.append(place)
            taken |= inside
            seen.add(notes)
        if len(chosen) == _MOST:
            break
    return tuple(chosen)


def _notes(measure: Measure) -> object:
    return tuple(
        (e.onset, tuple((n.string, n.fret) for n in e.notes)) for e in measure.events if e.notes
    )


def _place(
    score: Score, index: int, rolls: Sequence[Roll], usual: Fraction, held: Held
) -> HardPlace:
    measure = score.measures[index]
    begin = index
    weight, reasons = 0.0, []
    for points, reason, reaches_back in (
        _travel(held, index),
        _stretch(held[index]),
        _speed(measure, usual),
        _twice(measure, usual),
        _broken(measure, rolls),
    ):
        if points:
            weight += points
            reasons.append(reason)
            begin = min(begin, index - 1) if reaches_back and index else begin
    return HardPlace(begin=begin, end=index + 1, weight=weight, reasons=tuple(reasons))


Reason = tuple[float, str, bool]
_NONE: Reason = (0.0, "", False)


def _positions(shapes: Sequence[NamedShape]) -> list[int]:
    """The frets at which the hand is, in order: the lowest finger of each shape."""
    return [shape.lowest for shape in shapes if shape.lowest]


def _travel(held: Held, index: int) -> Reason:
    """How far the hand goes to this measure from the one before, or within it."""
    here = _positions(held[index])
    before = _positions(held[index - 1])[-1:] if index else []
    steps = [(abs(b - a), a, b, False) for a, b in pairwise(here)]
    if before and here:
        steps.insert(0, (abs(here[0] - before[0]), before[0], here[0], True))
    far, start, end, back = max(steps, default=(0, 0, 0, False), key=lambda step: step[0])
    if far < _FAR:
        return _NONE
    return far / _FAR, f"the hand travels from fret {start} to fret {end}", back


def _stretch(shapes: Sequence[NamedShape]) -> Reason:
    """Fingers far apart at one time, low on the neck where frets are wide."""
    widest = max(shapes, key=stretch, default=None)
    if widest is None or not (span := stretch(widest)):
        return _NONE
    said = f"the fingers stretch over {span} frets from fret {widest.lowest}"
    return 0.8 * (span - WIDE + 1), said, False


def _usual(score: Score) -> Fraction:
    """The duration that most strokes have."""
    lasts = [e.duration for m in score.measures for e in m.events if e.notes]
    return max(set(lasts), key=lambda d: (lasts.count(d), d), default=Fraction(1, 2))


def _speed(measure: Measure, usual: Fraction) -> Reason:
    quick = [e for e in measure.events if e.notes and e.duration < usual]
    graces = sum(len(e.grace) for e in measure.events)
    if quick:
        return 0.4 * len(quick), "notes come faster than elsewhere", False
    return (0.5 * graces, "grace notes squeeze in", False) if graces else _NONE


def _twice(measure: Measure, usual: Fraction) -> Reason:
    """One finger that strikes twice in a row at the tune's pace, on different strings."""
    strokes = [e for e in strokes_of(measure) if e.notes]
    again = [
        (finger, a.notes[0].string, b.notes[0].string)
        for a, b in pairwise(strokes)
        if len(a.notes) == len(b.notes) == 1
        and a.duration <= usual
        and (finger := _finger(a)) == _finger(b) != ""
        and a.notes[0].string != b.notes[0].string
    ]
    if not again:
        return _NONE
    finger, a, b = again[0]
    words = f"the {_FINGERS[finger]} plays twice running, string {a} and then {b}"
    return 0.6 * len(again), words, False


def _finger(event: Event) -> str:
    finger = event.notes[0].finger
    return finger.value if finger else ""


def _broken(measure: Measure, rolls: Sequence[Roll]) -> Reason:
    if not rolls or not any(measure.events) or measure.number == 0:
        return _NONE
    if pattern_of(measure) in {roll.pattern for roll in rolls}:
        return _NONE
    if ends_on_plucks(measure):
        return 0.9, "the roll breaks off into plucks", True
    return 0.7, "the roll breaks off", True
