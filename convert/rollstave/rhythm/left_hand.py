"""Notes of the left hand: measures that they make wider than their time, and slides into a tune.

A sign between two frets takes a character, so a hammer-on and a pull-off on an eighth note may need
more room than the eighth note has. The notes after them stand further right, and the measure is too
wide by just that. Then the notes from the stroke to the next one share the time that the others
leave, as their columns divide it.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from fractions import Fraction

from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.model_data import Pattern
from rollstave.rhythm.spacing import Spacing
from rollstave.rhythm.usual import is_whole

_SIXTEENTH = TICKS // 4


def narrowed(evidence: Evidence, spacing: Spacing, length: int) -> Pattern | None:
    """The onsets of a full measure of ``length`` ticks that one stroke, with the notes of the left
    hand after it, makes too wide; None if that explains nothing, or two strokes might be it."""
    if "l" not in evidence.kinds or not spacing.fit:
        return None
    pushes = evidence.pushes if spacing.pushed else (0,) * evidence.count
    gaps = [gap - push for gap, push in zip(evidence.gaps, pushes, strict=True)]
    gaps[-1] -= spacing.spare
    start = evidence.lead - spacing.lead
    excess = (start + sum(gaps)) * TICKS - length * int(spacing.columns)
    if excess <= 0 or start < 0 or min(gaps) <= 0:  # a sign took all that stood between
        return None
    found = set()
    for first, stop in _runs(evidence):
        typed = sum(gaps[first:stop]) * TICKS
        if typed <= excess:
            continue
        scaled = [
            gap * TICKS * (Fraction(typed - excess, typed) if first <= index < stop else 1)
            for index, gap in enumerate(gaps)
        ]
        times = [Fraction(each, int(spacing.columns)) for each in (start * TICKS, *scaled)]
        if all(time % _SIXTEENTH == 0 for time in times):
            onsets = tuple(int(time) for time in itertools.accumulate(times))[:-1]
            if is_whole(length, onsets):
                found.add(onsets)
    return (length, found.pop()) if len(found) == 1 else None


def is_quick_start(evidence: Evidence, length: int, full: int) -> bool:
    """Whether a pickup of ``length`` ticks, where a full measure has ``full``, has a note of the
    left hand with no room but for its sign: how its time is shared neither columns, nor letters,
    nor counts tell to the letter."""
    if not evidence.opens or length >= full:
        return False
    pairs = zip(evidence.kinds[1:], evidence.gaps, evidence.pushes, strict=False)
    return any(kind == "l" and gap <= push + 1 for kind, gap, push in pairs)


def _runs(evidence: Evidence) -> Iterator[tuple[int, int]]:
    """Each stroke with the notes of the left hand after it, and where the next one is."""
    first = 0
    for index in range(1, evidence.count + 1):
        if index == evidence.count or evidence.kinds[index] != "l":
            if index - first > 1:
                yield first, index
            first = index
