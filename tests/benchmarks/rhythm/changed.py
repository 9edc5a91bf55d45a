"""Tunes changed so that they hold what few tunes of the collections do: triplets, crooked measures.

Whoever types them types them as any other tune.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction

from .model import ArrangedMeasure, ArrangedTune, Bar, Event, MeasureKind

_OFTEN = 0.12  # of the pairs of eighths on a beat that become triplets
_HALF = Fraction(1, 2)
_THIRD = Fraction(1, 3)


def with_triplets(tune: ArrangedTune, rng: random.Random) -> ArrangedTune | None:
    """A tune in which some pairs of eighths on a beat are three notes; measures that strike the
    same get the same. None for compound time, or where there are none."""
    if tune.meter.unit == 8:
        return None
    chosen: dict[tuple[Event, ...], tuple[Event, ...]] = {}
    for measure in tune.measures:
        if measure.events not in chosen:
            chosen[measure.events] = _tripled(measure.events, rng)
    measures = tuple(replace(m, events=chosen[m.events]) for m in tune.measures)
    return replace(tune, measures=measures) if measures != tune.measures else None


def _tripled(events: tuple[Event, ...], rng: random.Random) -> tuple[Event, ...]:
    found: list[Event] = []
    rest = list(events)
    while rest:
        first = rest.pop(0)
        pair = (
            rest
            and first.onset.denominator == 1
            and first.duration == _HALF == rest[0].duration
            and rng.random() < _OFTEN
        )
        if pair:
            second = rest.pop(0)
            strokes = (first.strokes[0]._replace(link=None),)
            found += [
                first._replace(duration=_THIRD),
                Event(first.onset + _THIRD, _THIRD, strokes),
                second._replace(onset=first.onset + 2 * _THIRD, duration=_THIRD),
            ]
        else:
            found.append(first)
    return tuple(found)


def crooked(tune: ArrangedTune, rng: random.Random) -> ArrangedTune | None:
    """A tune in four quarters written out twice, with one measure of two quarters or of six in it.
    None for other times, or where no measure can be changed."""
    if tune.meter.length != 4:
        return None
    may_be = [i for i in range(1, len(tune.measures) - 1) if _is_inner(tune, i)]
    if not may_be:
        return None
    at = rng.choice(may_be)
    own = tune.measures[at]
    half = tuple(
        e._replace(duration=min(e.duration, 2 - e.onset)) for e in own.events if e.onset < 2
    )
    if rng.random() < 0.5:
        changed = replace(own, events=half, length=Fraction(2))
    else:
        more = tuple(e._replace(onset=e.onset + 4) for e in half)
        changed = replace(own, events=own.events + more, length=Fraction(6))
    once = (*tune.measures[:at], changed, *tune.measures[at + 1 :])
    return replace(tune, measures=once + once)


def _is_inner(tune: ArrangedTune, index: int) -> bool:
    """Whether a full measure, struck in both halves at their beginning, is within a strain."""
    before, own, after = tune.measures[index - 1 : index + 2]
    bars = {before.right, own.left, own.right, after.left}
    struck = {e.onset for e in own.events}
    return own.kind is MeasureKind.FULL and bars == {Bar.SINGLE} and {0, 2} <= struck


CHANGES: dict[str, Callable[[ArrangedTune, random.Random], ArrangedTune | None]] = {
    "triplets": with_triplets,
    "crooked": crooked,
}


def is_changed(change: str, measure: ArrangedMeasure, tune: ArrangedTune) -> bool:
    """Whether a measure holds what the change brings."""
    if change == "crooked":
        return measure.kind is MeasureKind.FULL and measure.length != tune.meter.length
    return any(e.onset.denominator == 3 for e in measure.events)
