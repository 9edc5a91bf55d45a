"""Onsets read from the columns of a measure under a typist's spacing (``spacings``)."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import lru_cache
from math import log
from typing import Any

from msgspec import Struct
from msgspec.structs import replace

from rollstave.rhythm.evidence import TICKS, Evidence
from rollstave.rhythm.spacing import Spacing
from rollstave.rhythm.usual import is_usual

# Log probabilities of one gap that is exact, a character off, or more (per further character).
# One gap in ten off by one is what the benchmark's sloppy typist does; the rest is our choice.
USUAL = 0.93
_EXACT, _FURTHER = log(USUAL), -2.5


def gap_score(error: float, exact: float = USUAL) -> float:
    """Log probability of a gap that is so many characters from where it should be, if a share
    ``exact`` of the gaps of the file is where it should be."""
    size = abs(error)
    if size < 0.01:
        return log(exact)
    if size <= 0.51:
        return log(exact) - 0.7
    off_by_one = log((1 - exact) * 0.43)
    if size <= 1.01:
        return off_by_one
    return off_by_one + _FURTHER * (size - 1)


_SIXTEENTH = TICKS // 4
_SPANS = (TICKS // 2, TICKS, 2 * TICKS)  # what a triplet may fill
_HALF = Fraction(1, 2)
# Characters of a quarter note in a measure with a spacing of its own; closer, all is sixteenths.
_NARROWEST, _WIDEST = 6, 32


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
    places: list[int] = []
    for gap, extra in zip(evidence.gaps, push, strict=True):
        if at < 0 or (places and at <= places[-1]):  # a sign took all that stood between
            return None
        places.append(at)
        at += gap - extra
    end = at - spacing.spare
    columns = int(spacing.columns)
    if end * TICKS % columns or (places and end <= places[-1]):
        return None
    length = end * TICKS // columns
    onsets = _onsets(places, end, columns)
    if onsets is None or (onsets and not (is_usual(length, onsets) and is_paired(onsets, length))):
        return None
    return Reading(onsets=onsets, length=length, score=_EXACT * (evidence.count + 1), exact=True)


def _onsets(places: Sequence[int], end: int, columns: int) -> tuple[int, ...] | None:
    """Ticks of columns counted from the start of a measure, or None if one is between ticks.

    A triplet that the spacing cannot show is rounded by the typist: two columns between two on the
    grid, each less than one character from its third, are thirds.
    """
    whole = [divmod(place * TICKS, columns) for place in (*places, end)]
    if all(off == 0 for _, off in whole) and (
        columns % 3 == 0 or all(tick % _SIXTEENTH == 0 for tick, _ in whole[:-1])
    ):
        return tuple(tick for tick, _ in whole[:-1])  # as it mostly is
    if columns % 3 == 0:
        return None
    ticks = [Fraction(place * TICKS, columns) for place in (*places, end)]
    plain = [tick.denominator == 1 and int(tick) % _SIXTEENTH == 0 for tick in ticks]
    for index, is_plain in enumerate(plain[:-1]):
        if not is_plain:
            for first in (index - 1, index - 2):
                if 0 <= first < len(ticks) - 3 and _third(ticks, first, columns):
                    break
    if any(tick.denominator != 1 for tick in ticks):
        return None
    return tuple(int(tick) for tick in ticks[:-1])


def is_paired(onsets: Sequence[int], length: int) -> bool:
    """True if 32nd places are there for 32nd notes: one by itself is a slip of a character."""
    ends = (*onsets[1:], length)
    starts = (-1, *onsets[:-1])
    return all(
        onset % 6 == 0 or onset % 3 != 0 or 3 in (onset - before, end - onset)
        for before, onset, end in zip(starts, onsets, ends, strict=True)
    )


def _third(ticks: list[Fraction], first: int, columns: int) -> bool:
    """Make the two columns after the one at ``first`` thirds if that is what they are near."""
    start, one, two, stop = ticks[first : first + 4]
    span = stop - start
    if span not in _SPANS or start.denominator != 1 or start % (span if span < 48 else TICKS):
        return False
    thirds = start + span / 3, start + span * 2 / 3
    off = [(third - tick) * columns / TICKS for third, tick in zip(thirds, (one, two), strict=True)]
    if not all(-_HALF <= by < 1 for by in off):
        return False
    ticks[first + 1 : first + 3] = thirds
    return True


def spread_reading(evidence: Evidence, spacing: Spacing, length: int) -> Reading | None:
    """What the columns say of a full measure that is typed in a spacing of its own, mostly wider
    so that its notes have room: None if that does not explain it to the letter."""
    columns, off = divmod(typed_width(evidence, spacing) * TICKS, length)
    least = min(_NARROWEST, spacing.columns)
    if off or columns == spacing.columns or not least <= columns <= _WIDEST:
        return None
    found = exact_reading(evidence, replace(spacing, columns=columns))
    # A typist makes a measure two or three times as wide for its shortest notes.
    doubled = columns % spacing.columns == 0
    if found is None or not (
        doubled or all(not o % _SIXTEENTH or not o % (TICKS // 6) for o in found.onsets)
    ):
        return None
    return found if found.length == length else None


@lru_cache(maxsize=8192)
def _fits(gap: int, duration: int, columns: float, exact: float = USUAL) -> float:
    """Log probability that so many characters are typed for a duration in ticks."""
    return gap_score(gap - duration * columns / TICKS, exact)


def onsets_score(
    evidence: Evidence,
    spacing: Spacing,
    onsets: Sequence[int],
    length: int,
    exact: float = USUAL,
) -> float:
    """Log probability of a measure's columns if these are its onsets, see :func:`gap_score`."""
    return Columns(evidence, spacing, exact).score(onsets, length)


class Columns:
    """The columns of one measure under a spacing, to be held beside many readings."""

    def __init__(self, evidence: Evidence, spacing: Spacing, exact: float = USUAL) -> None:
        columns = spacing.columns
        gaps = (evidence.lead - spacing.lead, *_gaps(evidence, spacing))
        self._fits = [_fits_of(gap, columns, exact) for gap in gaps]

    def score(self, onsets: Sequence[int], length: int) -> float:
        """Log probability of the columns if these are the onsets, see :func:`gap_score`."""
        first, *others = self._fits
        score, before = first(onsets[0]), onsets[0]
        for fits, end in zip(others, (*onsets[1:], length), strict=True):
            score += fits(end - before)
            before = end
        return score


class _Fits(dict[int, float]):
    """How so many characters fit durations in ticks, each computed when it is first asked for."""

    def __init__(self, gap: int, columns: float, exact: float) -> None:
        self._of = gap, columns, exact

    def __missing__(self, duration: int) -> float:
        gap, columns, exact = self._of
        found = self[duration] = gap_score(gap - duration * columns / TICKS, exact)
        return found


@lru_cache(maxsize=1024)
def _fits_of(gap: int, columns: float, exact: float) -> Callable[[int], float]:
    """The log probability that so many characters are typed for a duration in ticks."""
    return _Fits(gap, columns, exact).__getitem__


_LEAST_SCALE, _MOST_SCALE = 0.6, 1.8


def own_spacing(evidence: Evidence, spacing: Spacing, length: int) -> Spacing | None:
    """The spacing under which a measure of ``length`` ticks is as wide as it is typed, if that is
    another than the file's and not beyond belief."""
    columns = typed_width(evidence, spacing) * TICKS / length
    scale = columns / spacing.columns
    if columns == spacing.columns or not _LEAST_SCALE <= scale <= _MOST_SCALE:
        return None
    typed = exact_reading(evidence, spacing)
    if typed is not None and typed.length < length and not typed.length % (TICKS // 2):
        return None  # to the letter it is a shorter measure in the spacing of the file
    return replace(spacing, columns=columns)


def typed_width(evidence: Evidence, spacing: Spacing) -> int:
    """Characters of a measure that stand for time."""
    push = sum(evidence.pushes) if spacing.pushed else 0
    return evidence.width - spacing.lead - spacing.spare - push


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


def near_readings(evidence: Evidence, spacing: Spacing, lengths: Sequence[int]) -> list[Reading]:
    """Readings whose gaps come near the typed ones, best first: a beam search over onsets. Of
    readings that are as near, the one with the more usual onsets is better (``_WISHES``)."""
    *inner, final = _gaps(evidence, spacing) or [0]
    if not evidence.count:
        return []
    longest = max(lengths)
    # Sorted as they are: less is likelier, and of two that are as likely the earlier one.
    starts = _starts(evidence.lead - spacing.lead, spacing.columns)
    beam: list[_Chain] = [
        (total, columns, (onset, None)) for total, onset, columns in starts if onset < longest
    ]
    for gap in inner:
        grown = [
            (total - wished, place, last + duration, columns + step)
            for place, (total, columns, (last, _)) in enumerate(beam)
            for duration, step, wished in _steps(gap, spacing.columns, last % TICKS)
            if last + duration < longest
        ]
        grown.sort()
        # Chains of one length are in order as the chains that they grow from are.
        kept = sorted(grown[:_BEAM], key=_by_onsets)
        beam = [(total, columns, (onset, beam[place][2])) for total, place, onset, columns in kept]
    found = []
    for total, columns, last_onset in beam:
        chain = _onsets_to(last_onset)
        for length in lengths:
            if length > chain[-1]:
                step = _fits(final, length - chain[-1], spacing.columns)
                found.append((total - step, chain, length, columns + step))
    found.sort()
    return [
        Reading(onsets=chain, length=length, score=score, exact=False)
        for _, chain, length, score in found[:_READINGS]
    ]


_Onset = tuple[int, Any]  # an onset and the one before it, None before the first
_Chain = tuple[float, float, _Onset]  # what it costs, how its columns fit, and its last onset


def _by_onsets(grown: tuple[float, int, int, float]) -> tuple[int, int]:
    return grown[1:3]


def _onsets_to(last: _Onset | None) -> tuple[int, ...]:
    """All onsets of a chain: a measure of any length is read with work that grows as it does."""
    found = []
    while last is not None:
        found.append(last[0])
        last = last[1]
    return tuple(reversed(found))


# How usual an onset is by its place in the quarter note, as a log weight.
_WISHES = tuple(
    0.0 if tick % 12 == 0 else -0.7 if tick % 6 == 0 else -2.0 if tick % 8 == 0 else -3.0
    for tick in range(TICKS)
)


@lru_cache(maxsize=256)
def _starts(first: int, columns: float) -> tuple[tuple[float, int, float], ...]:
    """The first onsets that about so many characters of lead-in may stand for, from the earliest:
    what each costs, the onset, and how its columns fit."""
    found: list[tuple[float, int, float]] = []
    last = int((first + _NEAR) * TICKS / columns) + 1
    for tick in range(max(0, last + 1)):
        if tick % 12 in _GRID and abs(first - tick * columns / TICKS) <= _NEAR:
            fit = _fits(first, tick, columns)
            found.append((-fit - _WISHES[tick % TICKS], tick, fit))
    return tuple(found)


@lru_cache(maxsize=4096)
def _steps(gap: int, columns: float, phase: int) -> tuple[tuple[int, float, float], ...]:
    """Durations from a place in the quarter note that take about so many characters: how well each
    fits, and that with how usual the onset after it is."""
    return tuple(
        (duration, step, step + _WISHES[(phase + duration) % TICKS])
        for duration, step in _near(gap, columns)
        if (phase + duration) % 12 in _GRID
    )


@lru_cache(maxsize=1024)
def _near(gap: int, columns: float) -> tuple[tuple[int, float], ...]:
    """Durations in ticks that take about ``gap`` characters, with how well each fits."""
    per_tick = columns / TICKS
    least = max(_SHORTEST, int((gap - _NEAR) / per_tick))
    most = int((gap + _NEAR) / per_tick) + 1
    return tuple((d, _fits(gap, d, columns)) for d in range(least, most + 1))
