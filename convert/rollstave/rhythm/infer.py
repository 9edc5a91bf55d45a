"""A first reading of rhythm: by columns where they divide evenly, else by the roll."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from fractions import Fraction

from rollstave.grid.model import GridMeasure
from rollstave.rhythm.model import (
    Meter,
    RhythmReading,
    Source,
    TimedMeasure,
    durations_from,
)


def infer_rhythm(measures: Sequence[GridMeasure], meter: Meter | None = None) -> RhythmReading:
    """Onsets and durations for every column of every measure of a tune.

    ``meter`` is the meter that the typist wrote, or None to infer it.
    """
    reason = "written"
    if meter is None:
        counts = Counter(len(m.columns) for m in measures)
        three = counts[6] > counts[8]
        meter = Meter(3, 4) if three else Meter(4, 4)
        reason = "measures of six notes" if three else "measures of eight notes, or nothing else"
    lead, per_quarter = _typing(measures, meter)
    timed = [
        _measure(m, meter, lead, per_quarter, position == 0) for position, m in enumerate(measures)
    ]
    return RhythmReading(meter, reason, tuple(timed))


def _typing(measures: Sequence[GridMeasure], meter: Meter) -> tuple[int, Fraction | None]:
    """Lead-in and columns per quarter that fit most measures."""
    best: tuple[int, int, Fraction] | None = None
    for lead in (0, 1, 2):
        for columns in range(2, 25):
            per = Fraction(columns, 1)
            fit = sum(
                1
                for m in measures
                if m.columns
                and _by_columns(m, meter.length, lead, per) is not None
                and abs((m.width - lead) / per - meter.length) <= Fraction(1) / per
            )
            if best is None or fit > best[0]:
                best = (fit, lead, per)
    if best is None or best[0] == 0:
        return 1, None
    return best[1], best[2]


def _by_columns(
    measure: GridMeasure, length: Fraction, lead: int, per_quarter: Fraction
) -> tuple[Fraction, ...] | None:
    onsets = tuple(Fraction(c.position - lead) / per_quarter for c in measure.columns)
    grid = (Fraction(1, 4), Fraction(1, 3))
    if any(o < 0 or o >= length for o in onsets):
        return None
    if any(all(o % g for g in grid) for o in onsets):
        return None
    return onsets


def _measure(
    measure: GridMeasure, meter: Meter, lead: int, per_quarter: Fraction | None, first: bool
) -> TimedMeasure:
    length = meter.length
    if not measure.columns:
        return TimedMeasure((), (), length, 0.99, True, Source.COLUMNS, ("empty",))
    if per_quarter is not None:
        width = Fraction(measure.width - lead) / per_quarter
        short = width < length * Fraction(7, 8)
        own = Fraction(round(width * 4), 4) if short else length
        onsets = _by_columns(measure, own, lead, per_quarter)
        if onsets is not None:
            pickup = first and short
            text = f"columns fit, {float(per_quarter):g} per quarter note"
            return TimedMeasure(
                onsets,
                durations_from(onsets, own),
                own,
                0.95,
                True,
                Source.COLUMNS,
                (text,),
                pickup=pickup,
            )
    number = len(measure.columns)
    slot = next(
        s
        for s in (Fraction(1, 2), Fraction(1, 4), Fraction(1, 8), Fraction(1, 64))
        if length / s >= number
    )
    onsets = tuple(length / slot * i // number * slot for i in range(number))
    if number in (6, 8):
        return TimedMeasure(
            onsets,
            durations_from(onsets, length),
            length,
            0.7,
            False,
            Source.ROLL,
            (f"{number} even notes fill the measure",),
        )
    return TimedMeasure(
        onsets,
        durations_from(onsets, length),
        length,
        0.3,
        False,
        Source.ORDER,
        ("only the order of the notes is known",),
    )
