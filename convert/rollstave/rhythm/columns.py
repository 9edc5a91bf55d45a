"""Onsets read from the columns of a measure under a typist's habit (``habits``)."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import log

from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.habits import Habit
from rollstave.rhythm.usual import is_usual

# Log probabilities of one gap that is exact, a character off, or more (per further character).
# One gap in ten off by one is what the benchmark's sloppy typist does; the rest is our choice.
_EXACT, _OFF_BY_ONE, _FURTHER = log(0.93), log(0.03), -2.5


def gap_score(error: float) -> float:
    """Log probability of a gap that is so many characters from where it should be."""
    size = abs(error)
    if size < 0.01:
        return _EXACT
    if size <= 0.51:
        return _EXACT - 0.7
    if size <= 1.01:
        return _OFF_BY_ONE
    return _OFF_BY_ONE + _FURTHER * (size - 1)


@dataclass(frozen=True, slots=True)
class Reading:
    """Onsets of a measure in ticks, its length, and the log probability of its columns."""

    onsets: tuple[int, ...]
    length: int
    score: float
    exact: bool


def exact_reading(evidence: Evidence, habit: Habit) -> Reading | None:
    """The onsets and the length that the columns say to the letter, or None."""
    push = evidence.pushes if habit.pushed else (0,) * evidence.count
    at = evidence.lead - habit.lead
    onsets: list[int] = []
    for gap, extra in zip(evidence.gaps, push, strict=True):
        if at < 0 or at * TICKS % habit.columns:
            return None
        tick = at * TICKS // habit.columns
        if onsets and tick <= onsets[-1]:  # what a sign takes was all that stood between
            return None
        onsets.append(tick)
        at += gap - extra
    end = at - habit.spare
    if end * TICKS % habit.columns:
        return None
    length = end * TICKS // habit.columns
    if onsets and (length <= onsets[-1] or not is_usual(length, tuple(onsets))):
        return None
    return Reading(tuple(onsets), length, _EXACT * (evidence.count + 1), True)


def onsets_score(evidence: Evidence, habit: Habit, onsets: Sequence[int], length: int) -> float:
    """Log probability of a measure's columns if these are its onsets."""
    push = evidence.pushes if habit.pushed else (0,) * evidence.count
    score = gap_score(evidence.lead - habit.lead - onsets[0] * habit.columns / TICKS)
    last = evidence.count - 1
    for index, (gap, extra) in enumerate(zip(evidence.gaps, push, strict=True)):
        end = onsets[index + 1] if index < last else length
        expected = (end - onsets[index]) * habit.columns / TICKS
        spare = habit.spare if index == last else 0
        score += gap_score(gap - extra - spare - expected)
    return score


_NEAR = 2.05  # characters by which a gap may miss and still be considered
_BEAM = 24


def near_readings(
    evidence: Evidence, habit: Habit, lengths: Sequence[int], wish: dict[int, float]
) -> list[Reading]:
    """Readings whose gaps come near the typed ones, best first: a beam search over onsets.

    ``wish`` gives a log weight for each onset tick modulo a quarter, to choose between readings
    that are as near.
    """
    push = evidence.pushes if habit.pushed else (0,) * evidence.count
    per_tick = habit.columns / TICKS
    longest = max(lengths)
    grid = [t for t in range(longest + 1) if t % 3 == 0 or t % 4 == 0]
    first = evidence.lead - habit.lead
    beam: list[tuple[float, float, tuple[int, ...]]] = []
    for tick in grid:
        error = first - tick * per_tick
        if abs(error) <= _NEAR and tick < longest:
            columns = gap_score(error)
            beam.append((columns + wish.get(tick % TICKS, -3.0), columns, (tick,)))
    last = evidence.count - 1
    for index in range(last):
        gap = evidence.gaps[index] - push[index]
        grown = []
        for total, columns, onsets in beam:
            for tick in _near(onsets[-1], gap, per_tick, longest - 1):
                step = gap_score(gap - (tick - onsets[-1]) * per_tick)
                grown.append(
                    (total + step + wish.get(tick % TICKS, -3.0), columns + step, (*onsets, tick))
                )
        grown.sort(key=lambda g: (-g[0], g[2]))
        beam = grown[:_BEAM]
    found = []
    if last < 0:
        return []
    gap = evidence.gaps[last] - push[last] - habit.spare
    for total, columns, onsets in beam:
        for length in lengths:
            if length <= onsets[-1]:
                continue
            step = gap_score(gap - (length - onsets[-1]) * per_tick)
            found.append((total + step, Reading(onsets, length, columns + step, False)))
    found.sort(key=lambda f: (-f[0], f[1].onsets))
    return [reading for _, reading in found[:_BEAM]]


def _near(start: int, gap: int, per_tick: float, last: int) -> Iterable[int]:
    """Ticks of the grid after ``start`` about ``gap`` characters away."""
    low = max(start + 3, int(start + (gap - _NEAR) / per_tick))
    high = min(last, int(start + (gap + _NEAR) / per_tick) + 1)
    for tick in range(low, high + 1):
        if tick % 3 == 0 or tick % 4 == 0:
            yield tick
