"""Onsets read from the columns of a measure under a typist's spacing (``spacings``)."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import log

from msgspec import Struct

from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.spacing import Spacing
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


class Reading(Struct, frozen=True):
    """Onsets of a measure in ticks, its length, and the log probability of its columns."""

    onsets: tuple[int, ...]
    length: int
    score: float
    exact: bool


def exact_reading(evidence: Evidence, spacing: Spacing) -> Reading | None:
    """The onsets and the length that the columns say to the letter, or None."""
    push = evidence.pushes if spacing.pushed else (0,) * evidence.count
    at = evidence.lead - spacing.lead
    onsets: list[int] = []
    for gap, extra in zip(evidence.gaps, push, strict=True):
        if at < 0 or at * TICKS % spacing.columns:
            return None
        tick = at * TICKS // spacing.columns
        if onsets and tick <= onsets[-1]:  # what a sign takes was all that stood between
            return None
        onsets.append(tick)
        at += gap - extra
    end = at - spacing.spare
    if end * TICKS % spacing.columns:
        return None
    length = end * TICKS // spacing.columns
    if onsets and (length <= onsets[-1] or not is_usual(length, tuple(onsets))):
        return None
    return Reading(
        onsets=tuple(onsets), length=length, score=_EXACT * (evidence.count + 1), exact=True
    )


@lru_cache(maxsize=8192)
def _fits(gap: int, duration: int, columns: int) -> float:
    """Log probability that so many characters are typed for a duration in ticks."""
    return gap_score(gap - duration * columns / TICKS)


def onsets_score(evidence: Evidence, spacing: Spacing, onsets: Sequence[int], length: int) -> float:
    """Log probability of a measure's columns if these are its onsets."""
    score = _fits(evidence.lead - spacing.lead, onsets[0], spacing.columns)
    gaps = _gaps(evidence, spacing)
    for gap, start, end in zip(gaps, onsets, (*onsets[1:], length), strict=True):
        score += _fits(gap, end - start, spacing.columns)
    return score


def _gaps(evidence: Evidence, spacing: Spacing) -> list[int]:
    """Characters that stand for time from each column to the next, the last to the bar line."""
    gaps = list(evidence.gaps)
    if spacing.pushed:
        gaps = [gap - push for gap, push in zip(gaps, evidence.pushes, strict=True)]
    if gaps:
        gaps[-1] -= spacing.spare
    return gaps


_NEAR = 2.05  # characters by which a gap may miss and still be considered
# More of them made no measure of the benchmark right that is wrong so, and took half as long again.
_BEAM, _READINGS = 12, 6
_SHORTEST = 3  # ticks of a 32nd note
_GRID = (0, 3, 4, 6, 8, 9)  # ticks modulo an eighth note: 32nd notes and sixteenth triplets


def near_readings(
    evidence: Evidence, spacing: Spacing, lengths: Sequence[int], wish: Mapping[int, float]
) -> list[Reading]:
    """Readings whose gaps come near the typed ones, best first: a beam search over onsets.

    ``wish`` gives a log weight for each onset tick modulo a quarter, to choose between readings
    that are as near.
    """
    *inner, final = _gaps(evidence, spacing) or [0]
    if not evidence.count:
        return []
    longest = max(lengths)
    first = evidence.lead - spacing.lead
    # Sorted as they are: less is likelier, and of two that are as likely the earlier one.
    beam: list[tuple[float, tuple[int, ...], float]] = []
    for tick in range(longest):
        if tick % 12 in _GRID and abs(first - tick * spacing.columns / TICKS) <= _NEAR:
            columns = _fits(first, tick, spacing.columns)
            beam.append((-columns - wish.get(tick % TICKS, -3.0), (tick,), columns))
    for gap in inner:
        steps = _near(gap, spacing.columns)
        by_phase: dict[int, list[tuple[int, float, float]]] = {}
        grown = []
        for total, onsets, columns in beam:
            last = onsets[-1]
            phase = last % TICKS
            if phase not in by_phase:
                by_phase[phase] = [
                    (duration, step, step + wish.get((phase + duration) % TICKS, -3.0))
                    for duration, step in steps
                    if (phase + duration) % 12 in _GRID
                ]
            for duration, step, wished in by_phase[phase]:
                if last + duration < longest:
                    grown.append((total - wished, (*onsets, last + duration), columns + step))
        grown.sort()
        beam = grown[:_BEAM]
    found = []
    for total, onsets, columns in beam:
        for length in lengths:
            if length > onsets[-1]:
                step = _fits(final, length - onsets[-1], spacing.columns)
                found.append((total - step, onsets, length, columns + step))
    found.sort()
    return [
        Reading(onsets=onsets, length=length, score=score, exact=False)
        for _, onsets, length, score in found[:_READINGS]
    ]


@lru_cache(maxsize=1024)
def _near(gap: int, columns: int) -> tuple[tuple[int, float], ...]:
    """Durations in ticks that take about ``gap`` characters, with how well each fits."""
    per_tick = columns / TICKS
    least = max(_SHORTEST, int((gap - _NEAR) / per_tick))
    most = int((gap + _NEAR) / per_tick) + 1
    return tuple((d, _fits(gap, d, columns)) for d in range(least, most + 1))
