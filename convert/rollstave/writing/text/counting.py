"""The line under a system that says the rhythm: counts where they can, else note values.

Counts: numbers for beats, ``&`` for halves, ``e`` and ``a`` for quarters of a beat, ``trip let``
for its thirds. Note values: w h q e s t with dots, ``3`` for a triplet (common practice; they are
what :mod:`rollstave.rhythm` reads).
"""

from __future__ import annotations

from fractions import Fraction
from functools import lru_cache

from rollstave.grid.typed import Bar, LineKind
from rollstave.rhythm.meter import Meter
from rollstave.score.memo import once_for_a_score
from rollstave.score.records import Measure, Score
from rollstave.writing.value_signs import LENGTHS, value_sign

_PARTS: dict[Fraction, str] = {
    Fraction(1, 2): "&",
    Fraction(1, 4): "e",
    Fraction(3, 4): "a",
    Fraction(1, 3): "trip",
    Fraction(2, 3): "let",
}
_HALVES, _QUARTERS, _THIRDS = Fraction(1, 2), Fraction(1, 4), Fraction(1, 3)


def counts(measure: Measure, meter: Meter) -> list[tuple[Fraction, str]] | None:
    """Onsets and the counts that stand there, or None if this measure cannot be counted so. A
    full measure in which nothing is struck needs none.

    A pickup is counted as the end of a full measure. Any other measure that the meter does not
    fill is not counted: counts say nothing of where it ends.
    """
    if measure.number != 0 and measure.length != meter.length:
        return None
    offset = meter.length - measure.length if measure.number == 0 else Fraction(0)
    onsets = tuple(e.onset for e in measure.events if e.notes)
    if not onsets and measure.number != 0:
        return []
    return _counted(onsets, measure.length, offset, meter.unit)


@lru_cache(maxsize=256)  # a tune has few rhythms for its many measures
def _counted(
    struck: tuple[Fraction, ...], length: Fraction, offset: Fraction, unit: int
) -> list[tuple[Fraction, str]] | None:
    beat = Fraction(1, 2) if unit >= 8 else Fraction(1)
    onsets = set(struck)
    if offset < 0 or offset % beat or length % beat or not onsets:
        return None
    found: list[tuple[Fraction, str]] = []
    for number in range(int(length / beat)):
        start = number * beat
        inside = {(o - start) / beat for o in onsets if start < o < start + beat}
        parts = next(
            (
                [p for p in _PARTS if p % unit == 0]
                for unit in (Fraction(1), _HALVES, _QUARTERS, _THIRDS)
                if all(i % unit == 0 for i in inside)
            ),
            None,
        )
        if parts is None:
            return None
        found.append((start, str(int(offset / beat) + number + 1)))
        found.extend((start + part * beat, _PARTS[part]) for part in sorted(parts))
    return found


@once_for_a_score
def _pickup(score: Score) -> Fraction:
    """The length in quarter notes of the shortest measure that opens a strain and that the meter
    does not fill, 0 where there is none."""
    lengths = [
        measure.length
        for before, measure, meter in zip(
            (None, *score.measures), score.measures, score.meters, strict=False
        )
        if measure.length < meter.length
        and (
            before is None
            or measure.left is Bar.REPEAT_START
            or before.right in (Bar.REPEAT_END, Bar.DOUBLE)
        )
    ]
    return min(lengths, default=Fraction(0))


@once_for_a_score
def _meters(score: Score) -> tuple[Meter, ...]:
    return score.meters


def counts_in(score: Score, measure: Measure) -> list[tuple[Fraction, str]] | None:
    """The counts of a measure, unless note values say more: where a strain that began with a
    pickup ends, counts leave open whether the last measure is a full one."""
    last_onset = max((e.onset for e in measure.events), default=Fraction(0))
    pickup = _pickup(score)
    ends = measure.right in (Bar.FINAL, Bar.REPEAT_END, Bar.DOUBLE) or measure.ending_stop
    if pickup and ends and last_onset < measure.length - pickup:
        return None
    return counts(measure, _meters(score)[measure.index])


def rhythm_words(
    score: Score, measure: Measure
) -> list[tuple[LineKind, list[tuple[Fraction, str]]]]:
    """What can be written under a measure to say its rhythm, the best first: counts and note
    values, each with the onsets where its words stand."""
    counted, valued = counts_in(score, measure), values_in(score, measure)
    found = []
    if counted:
        found.append((LineKind.COUNTS, counted))
    if valued is not None:
        found.append((LineKind.DURATIONS, valued))
    return found


_HALF = {"w": "h", "h": "q", "q": "e", "e": "s", "s": "t"}


def values_in(score: Score, measure: Measure) -> list[tuple[Fraction, str]] | None:
    """The note values of a measure, one of them as a sum where the measure is longer than the meter
    and three equal ones might be taken for a triplet that is typed without its 3."""
    found = values(measure)
    if not found or measure.length <= _meters(score)[measure.index].length:
        return found
    signs = [sign for _, sign in found]
    if any("+" in sign or "3" in sign for sign in signs):
        return found
    for index in range(len(signs) - 2):
        onset, sign = found[index]
        if signs[index : index + 3] == [sign] * 3 and (half := _HALF.get(sign)):
            found[index] = (onset, f"{half}+{half}")
            break
    return found


def sums_in(measure: Measure) -> list[tuple[Fraction, str]] | None:
    """The note values of a measure, the first of them as a sum: so much is not typed by chance."""
    found = values(measure)
    if not found:
        return found
    onset, sign = found[0]
    if "+" not in sign and (half := _HALF.get(sign[0])):
        rest = value_sign(measure.events[0].duration - LENGTHS[half])
        found[0] = (onset, f"{half}+{rest}" if rest else sign)
    return found


def values(measure: Measure) -> list[tuple[Fraction, str]] | None:
    """Onsets and the note values of what is struck there, and of a rest at the beginning, under
    which nothing stands; None if a duration has no sign."""
    found = []
    for event in measure.events:
        sign = value_sign(event.duration)
        if sign is None:
            return None
        found.append((event.onset, sign))
    return found
