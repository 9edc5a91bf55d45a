"""Rests that a typist wrote among the notes: when they begin, and the notes that end there."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from msgspec.structs import replace

from rollstave.grid.letters import letters_to_ticks
from rollstave.grid.typed import GridMeasure, LineKind
from rollstave.rhythm import TimedMeasure
from rollstave.rhythm.evidence import TICKS
from rollstave.score.records import Event

# The times that a rest may begin at, in parts of a quarter note, the plainest first.
_PARTS = (1, 2, 4, 3, 8, 6, TICKS)


def with_rests(
    events: Sequence[Event], grid: GridMeasure, timed: TimedMeasure
) -> tuple[Event, ...]:
    """The events of a measure, those before the letter of a rest as long as it says. A letter
    before the first note says nothing more, since the rhythm has that rest."""
    found: list[Event] = []
    ends = _ends(grid, timed)
    for event in events:
        end = ends.get(event.onset) if event.notes else None
        if end is None:
            found.append(event)
            continue
        found.append(replace(event, duration=end - event.onset))
        found.append(Event(end, event.onset + event.duration - end, ()))
    return tuple(found)


def _ends(grid: GridMeasure, timed: TimedMeasure) -> dict[Fraction, Fraction]:
    """When the notes end that a rest follows, by when they begin."""
    letters = sorted(grid.attached(LineKind.DURATIONS), key=lambda a: a.position)
    values = {a.position: Fraction(letters_to_ticks(a.text) or 0, TICKS) for a in letters}
    columns = [
        (column.position, onset) for column, onset in zip(grid.columns, timed.onsets, strict=True)
    ]
    found: dict[Fraction, Fraction] = {}
    for (left, onset), (right, following) in pairwise([*columns, (grid.width, timed.length)]):
        places = [place for place in grid.rests if left < place < right]
        if not places:
            continue
        own = next((v for place, v in values.items() if abs(place - left) <= 1 and v), None)
        if own is not None and own < following - onset:
            found[onset] = onset + own
            continue
        share = (following - onset) / (right - left)
        found[onset] = _plainest(onset + (places[0] - left) * share, share / 2, onset, following)
    return found


def _plainest(near: Fraction, within: Fraction, after: Fraction, before: Fraction) -> Fraction:
    """The plainest time between two that lies near enough to where a letter stands."""
    for parts in _PARTS:
        time = Fraction(round(near * parts), parts)
        if abs(time - near) <= within and after < time < before:
            return time
    return near
