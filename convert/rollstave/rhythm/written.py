"""Rhythm that the typist wrote: counts, duration letters. It wins over all inference.

Counts: numbers count beats, ``&`` or ``+`` halves, ``e`` and ``a`` quarters of a beat, ``trip
let`` (or ``la li``) its thirds. Letters: w h q e s t, a dot adds a half, a second dot a quarter,
``3`` makes a triplet, ``+`` adds. Times are in ticks, 24 to a quarter note.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction

from msgspec import Struct

from rollstave.grid.typed import Attachment, GridMeasure, LineKind
from rollstave.rhythm.evidence import TICKS
from rollstave.rhythm.meter import Meter

_PARTS: dict[str, Fraction] = {
    "e": Fraction(1, 4),
    "&": Fraction(1, 2),
    "+": Fraction(1, 2),
    "and": Fraction(1, 2),
    "a": Fraction(3, 4),
    "uh": Fraction(3, 4),
    "trip": Fraction(1, 3),
    "la": Fraction(1, 3),
    "let": Fraction(2, 3),
    "li": Fraction(2, 3),
}
_LETTERS = {"w": 96, "h": 48, "q": 24, "e": 12, "s": 6, "t": 3}


class Written(Struct, frozen=True):
    """Onsets in ticks as written, and whether each was written or lies between written ones.

    ``offset`` is where in a full measure the first tick lies: more than 0 for a pickup that
    counts from the middle. ``length`` is the length if the writing says it, else None. ``rests``:
    a rest was written too, so the writing says all of the measure.
    """

    onsets: tuple[int, ...]
    all_written: bool
    offset: int
    length: int | None
    what: str
    rests: bool = False


def counted_beat(measures: Sequence[GridMeasure], meter: Meter) -> int | None:
    """Ticks of the beat that the numbers of a tune count, or None where nothing is counted.

    The highest number tells: 4 in 2/2 counts quarters, 2 halves; 4 in 2/4 counts eighths.
    """
    highest = 0
    for measure in measures:
        for attachment in measure.attached(LineKind.COUNTS):
            if attachment.text.isdecimal():
                highest = max(highest, int(attachment.text))
    if highest == 0:
        return None
    length = int(meter.length * TICKS)
    usual = TICKS // 2 if meter.unit >= 8 else TICKS
    beats = [usual]
    if meter.beat * TICKS != usual:
        beats.insert(0, int(meter.beat * TICKS))
    beats += [usual // 2, usual // 4]
    if meter.unit == 2 and highest > 2:
        beats = beats[1:]
    return next((beat for beat in beats if length // beat >= highest), beats[-1])


def read_counts(measure: GridMeasure, beat: int, length: int, opens: bool) -> list[Written]:
    """Onsets by the counts under a measure, the plainest reading first; none if they make no
    sense.

    Counts that stand only under notes can be read in several ways: in ``1 & 3`` the ``&`` may
    belong to 1 or to 2, on which nothing is struck.
    """
    attached = sorted(measure.attached(LineKind.COUNTS), key=lambda a: a.position)
    if not attached or not measure.columns:
        return []
    found = []
    for times in _times(attached, beat, length):
        written = _from_times(measure, attached, times, length, opens)
        if written is not None:
            found.append(written)
    return found


def _from_times(
    measure: GridMeasure,
    attached: Sequence[Attachment],
    times: Sequence[int],
    length: int,
    opens: bool,
) -> Written | None:
    by_column: dict[int, int] = {}
    for attachment, time in zip(attached, times, strict=True):
        if attachment.column is not None:
            by_column.setdefault(attachment.column, time)
    if not by_column:
        return None
    first = times[0]
    offset = first if opens and first > 0 else 0
    onsets = _between(by_column, len(measure.columns), offset, length)
    if onsets is None:
        return None
    return Written(
        onsets=tuple(o - offset for o in onsets),
        all_written=len(by_column) == len(measure.columns),
        offset=offset,
        length=length - offset if offset else None,
        what="counts",
    )


_MOST_WAYS = 24


def _times(attached: Sequence[Attachment], beat: int, length: int) -> list[list[int]]:
    """Ticks of the counts, in each way they can be read, the plainest first.

    A part of a beat without a number belongs to the number before it, or to a later beat before
    the next number; at the start, to the beat before the number after it; parts alone ("& a") are
    those of the last beat of a measure.
    """
    numbers = [int(a.text) if a.text.isdecimal() else None for a in attached]
    beats = length // beat
    following = next((n for n in numbers if n is not None), None)
    start = (following - 2 if following else beats - 1) * beat
    ways: list[list[int]] = [[]]
    for index, (attachment, number) in enumerate(zip(attached, numbers, strict=True)):
        if number is not None:
            ways = [[*way, (number - 1) * beat] for way in ways]
            continue
        part = _PARTS.get(attachment.text.lower())
        if part is None:
            return []
        until = next((n for n in numbers[index:] if n is not None), beats + 1) - 1
        grown = []
        for way in ways:
            last = way[-1] if way else start - 1
            first_beat = max(0, last // beat) if way else start // beat
            for at in range(first_beat, max(first_beat + 1, until)):
                time = int((at + part) * beat)
                if time > last:
                    grown.append([*way, time])
        ways = grown[:_MOST_WAYS]
    return [
        way
        for way in ways
        if way and way[0] >= 0 and all(a < b for a, b in itertools.pairwise(way))
    ]


def _between(
    by_column: dict[int, int], count: int, offset: int, length: int
) -> tuple[int, ...] | None:
    """Onsets of all columns: uncounted ones divide the time between counted ones evenly."""
    known = sorted(by_column.items())
    if known[0][0] != 0:
        known.insert(0, (0, offset))
    ends = [*known[1:], (count, length)]
    onsets = [0] * count
    for (start, time), (stop, end) in zip(known, ends, strict=True):
        for index in range(start, stop):
            at = Fraction(end - time) * (index - start) / (stop - start)
            onsets[index] = time + int(at)
    if any(a >= b for a, b in itertools.pairwise(onsets)) or onsets[-1] >= length:
        return None
    return tuple(onsets)


def read_letters(measure: GridMeasure) -> Written | None:
    """Onsets by the duration letters under a measure; None if a column has none.

    A letter under which nothing is struck is a rest, which the note before it lasts through. A
    rest at the start often has no letter: whether a short sum means that, the caller decides.
    """
    attached = sorted(measure.attached(LineKind.DURATIONS), key=lambda a: a.position)
    if not attached or not all_lettered(measure):
        return None
    onsets: dict[int, int] = {}
    at = 0
    for attachment in attached:
        duration = letters_to_ticks(attachment.text)
        if duration is None:
            return None
        if attachment.column is not None:
            if attachment.column in onsets:
                return None
            onsets[attachment.column] = at
        at += duration
    times = tuple(onsets[index] for index in range(len(measure.columns)))
    if any(a >= b for a, b in itertools.pairwise(times)):
        return None
    rests = len(onsets) < len(attached)
    return Written(
        onsets=times, all_written=True, offset=0, length=at, what="duration letters", rests=rests
    )


def all_lettered(measure: GridMeasure) -> bool:
    """True if every column of a measure has a duration letter."""
    there = {a.column for a in measure.attached(LineKind.DURATIONS)}
    return all(index in there for index in range(len(measure.columns)))


def letters_to_ticks(text: str) -> int | None:
    """Ticks of ``q.``, ``e3``, ``h+e``; None for anything else."""
    total = Fraction(0)
    for part in text.lower().split("+"):
        if not part or part[0] not in _LETTERS:
            return None
        value = Fraction(_LETTERS[part[0]])
        rest = part[1:]
        if rest in (".", ".."):
            value *= Fraction(3, 2) if rest == "." else Fraction(7, 4)
        elif rest == "3":
            value *= Fraction(2, 3)
        elif rest:
            return None
        total += value
    return int(total) if total.denominator == 1 else None
