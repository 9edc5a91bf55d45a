"""A lone 3 over or under notes: three of them in the time of two.

It says so of the three notes around it, and is no count (common practice, no source). Times are in
ticks.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from msgspec.structs import replace

from rollstave.grid.typed import Attachment, GridMeasure, LineKind
from rollstave.rhythm.candidates import known, role_of
from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.model_data import Pattern, RhythmData

Figures = Mapping[int, tuple[int, ...]]  # of a measure: the columns at which a 3 stands
_THIRDS = (TICKS // 6, TICKS // 3, 2 * TICKS // 3)
_NOTES = 3
_MEANT, _BESIDE = 12.0, 10.0  # log odds of three notes with a 3 at the second, and at another
_MADE = -2.0  # log prior of a known measure in which two notes or one become three


def without_figures(measures: Sequence[GridMeasure]) -> tuple[Sequence[GridMeasure], Figures]:
    """The measures without lines that hold nothing but threes among their counts, and where those
    stand. One before the first note may number a measure, and says nothing."""
    words: dict[int, set[str]] = defaultdict(set)
    for measure in measures:
        for attached in measure.attached(LineKind.COUNTS):
            words[attached.place.line].add(attached.text)
    lines = {line for line, texts in words.items() if texts == {"3"}}
    if not lines:
        return measures, {}
    kept, figures = [], {}
    for measure in measures:
        threes = [a for a in measure.attached(LineKind.COUNTS) if a.place.line in lines]
        columns = [c for a in threes if (c := _column(measure, a)) is not None]
        if columns:
            figures[measure.index] = tuple(columns)
        others = tuple(a for a in measure.attachments if a not in threes)
        kept.append(replace(measure, attachments=others) if threes else measure)
    return kept, figures


def _column(measure: GridMeasure, attached: Attachment) -> int | None:
    places = [column.position for column in measure.columns]
    if len(places) < _NOTES or attached.position < places[0]:
        return None
    return min(range(len(places)), key=lambda index: abs(places[index] - attached.position))


def meant(pattern: Pattern, columns: Sequence[int]) -> float:
    """Log odds of a pattern for threes at these columns."""
    length, onsets = pattern
    durations = [b - a for a, b in itertools.pairwise((*onsets, length))]
    found = 0.0
    for column in columns:
        for first, odds in ((column - 1, _MEANT), (column, _BESIDE), (column - 2, _BESIDE)):
            three = durations[first : first + 3] if first >= 0 else []
            alike = len(three) == _NOTES and len({*three}) == 1 and three[0] in _THIRDS
            if alike and onsets[first] % min(3 * three[0], TICKS) == 0:
                found += odds
                break
    return found


def made(
    data: RhythmData, evidence: Evidence, meter: str, columns: Sequence[int]
) -> Iterator[tuple[Pattern, float]]:
    """Known measures of fewer notes in which two even notes, or one, become three at a column of
    these, with log priors. Where there are several threes, one at a time."""
    for fewer in (1, 2):
        for (length, onsets), share in known(
            data, meter, role_of(evidence), evidence.count - fewer
        ):
            ends = (*onsets, length)
            for first in {at for column in columns for at in (column - 1, column, column - 2)}:
                last = first + 3 - fewer
                if first < 0 or last >= len(ends):
                    continue
                span = ends[last] - ends[first]
                even = fewer == 2 or 2 * (ends[first + 1] - ends[first]) == span
                if even and span // 3 in _THIRDS and ends[first] % min(span, TICKS) == 0:
                    three = range(ends[first], ends[last], span // 3)
                    yield (length, (*onsets[:first], *three, *onsets[last:])), share + _MADE
