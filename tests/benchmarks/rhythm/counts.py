"""A line of counts under a system, and the conventions it follows.

- The beat that numbers count is a quarter note in x/4 and 2/2 (four to a measure) and an eighth
  note in x/8 (``1 2 3 4 5 6``). Where a tune has onsets that this cannot say (32nd notes), the
  whole tune counts beats of half that value: ``1`` to ``4`` are then the eighths of 2/4.
- Within a beat: ``1 e & a`` for its quarters, ``1 &`` for its half, ``1 trip let`` for its thirds.
- A count stands under a note column; where nothing is struck nothing is counted.
- A pickup counts the end of the measure that it replaces: ``&`` or ``4 &``.
- Notes that have no spelling (triplets of a half beat) have no count: they divide the time
  between the counted notes around them, or the end of the measure, evenly.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from .model import ArrangedMeasure, ArrangedTune, MeasureKind, Meter

WORDS = {
    Fraction(1, 4): "e",
    Fraction(1, 2): "&",
    Fraction(3, 4): "a",
    Fraction(1, 3): "trip",
    Fraction(2, 3): "let",
}


def usual_beat(meter: Meter) -> Fraction:
    """Quarter notes of the beat that is counted."""
    return Fraction(1, 2) if meter.unit == 8 else Fraction(1)


def beat_of(tune: ArrangedTune) -> Fraction:
    """The usual beat, or half of it where the usual one cannot say the tune's rhythm."""
    beat = usual_beat(tune.meter)
    if all(is_said(m, tune.meter, beat) for m in tune.measures):
        return beat
    return beat / 2


def count_labels(measure: ArrangedMeasure, meter: Meter, beat: Fraction) -> list[str]:
    """A count for each event, empty where there is no spelling."""
    pickup = measure.kind is MeasureKind.PICKUP
    offset = meter.length - measure.length if pickup else Fraction(0)
    return [_label((e.onset + offset) / beat) for e in measure.events]


def _label(position: Fraction) -> str:
    number, rest = int(position), position - int(position)
    return str(number + 1) if rest == 0 else WORDS.get(rest, "")


def is_said(measure: ArrangedMeasure, meter: Meter, beat: Fraction) -> bool:
    """True if the counts, and even division between them, say every onset."""
    labels = count_labels(measure, meter, beat)
    onsets = [e.onset for e in measure.events]
    return onsets == _divided(onsets, labels, measure.length)


def _divided(onsets: Sequence[Fraction], labels: Sequence[str], length: Fraction) -> list[Fraction]:
    """The onsets of counted notes, and those between them by even division."""
    if not onsets:
        return []
    result = list(onsets)
    known = [i for i, label in enumerate(labels) if label]
    if not labels[0]:
        known.insert(0, 0)
    for start, stop in zip(known, [*known[1:], len(onsets)], strict=True):
        end = onsets[stop] if stop < len(onsets) else length
        for i in range(start, stop):
            result[i] = onsets[start] + (end - onsets[start]) * Fraction(i - start, stop - start)
    return result
