"""Triplets typed as three even columns that are wider or closer than their time.

Three notes in the time of two are typed as wide as those two would be, or as three of them, or as
close as can be between wider ones. The measure is then too wide or too narrow by just that: what
the other notes leave of it is the time of the three.
"""

from __future__ import annotations

import itertools

from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.model_data import Pattern
from rollstave.rhythm.spacing import Spacing
from rollstave.rhythm.usual import is_whole

_SPANS = (TICKS // 2, TICKS, 2 * TICKS)  # what a triplet may fill
_NARROWEST, _WIDEST = 0.5, 1.5  # of their time, three notes that are as wide as two or as three
_SIXTEENTH = TICKS // 4


def thirds(evidence: Evidence, spacing: Spacing, length: int) -> list[Pattern]:
    """The readings of a full measure of ``length`` ticks in which three even columns share what the
    columns of the others leave; none where the measure is as wide as it should be."""
    columns = spacing.columns
    if evidence.count < 3 or not spacing.fit:
        return []
    pushes = evidence.pushes if spacing.pushed else (0,) * evidence.count
    gaps = [gap - push for gap, push in zip(evidence.gaps, pushes, strict=True)]
    gaps[-1] -= spacing.spare
    start = evidence.lead - spacing.lead
    excess = (start + sum(gaps)) * TICKS - length * int(columns)
    if not excess or start < 0 or min(gaps) <= 0:
        return []
    found = []
    places = [place * TICKS for place in itertools.accumulate(gaps, initial=start)]
    for first in range(evidence.count - 2):
        if len(set(gaps[first : first + 3])) > 1:
            continue
        begin, off = divmod(places[first], int(columns))
        span, more = divmod(places[first + 3] - places[first] - excess, int(columns))
        if off or more or span not in _SPANS or begin % min(span, TICKS):
            continue
        typed = (places[first + 3] - places[first]) / columns
        if not _NARROWEST * span <= typed <= _WIDEST * span:
            continue
        after = [divmod(place - excess, int(columns)) for place in places[first + 3 : -1]]
        before = [divmod(place, int(columns)) for place in places[:first]]
        if any(rest or ticks % _SIXTEENTH for ticks, rest in (*before, *after)):
            continue
        onsets = (
            *(ticks for ticks, _ in before),
            *(begin, begin + span // 3, begin + 2 * span // 3),
            *(ticks for ticks, _ in after),
        )
        if is_whole(length, onsets):
            found.append((length, onsets))
    return found
