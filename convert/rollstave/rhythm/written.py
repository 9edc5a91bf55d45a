"""Rhythm that the typist wrote: counts, duration letters. It wins over all inference.

Counts: numbers count beats, ``&`` or ``+`` halves, ``e`` and ``a`` quarters of a beat, ``trip
let`` (or ``t l``, ``la li``) its thirds. Letters: w h q e s t, a dot adds a half, a second dot a
quarter, ``3`` makes a triplet, ``+`` adds. Times are in ticks, 24 to a quarter note.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping, Sequence, Set
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.typed import GridMeasure, LineKind
from rollstave.rhythm.count_words import (
    FIRST_THIRDS,
    SECOND_THIRDS,
    Counts,
    apart,
    highest_alone,
    sort_counts,
)
from rollstave.rhythm.evidence import TICKS
from rollstave.rhythm.meter import Meter

_PARTS: dict[str, Fraction] = {
    "e": Fraction(1, 4),
    "&": Fraction(1, 2),
    "+": Fraction(1, 2),
    "and": Fraction(1, 2),
    "a": Fraction(3, 4),
    "uh": Fraction(3, 4),
    **dict.fromkeys(FIRST_THIRDS, Fraction(1, 3)),
    **dict.fromkeys(SECOND_THIRDS, Fraction(2, 3)),
}


class Written(Struct, frozen=True):
    """Onsets in ticks as written, and whether each was written or lies between written ones.

    ``offset`` is where in a full measure the first tick lies: more than 0 for a pickup that
    counts from the middle. ``length`` is the length if the writing says it, else None. ``rests``:
    a rest was written too, so the writing says all of the measure. ``told``: the columns that
    counts stand under.
    """

    onsets: tuple[int, ...]
    all_written: bool
    offset: int
    length: int | None
    what: str
    rests: bool = False
    told: tuple[int, ...] = ()


def _under_notes(measures: Sequence[GridMeasure]) -> bool:
    """Whether a line of counts stands inside a measure; a pickup's may begin without a 1."""
    return any(
        attachment.kind is LineKind.COUNTS and attachment.position >= 0
        for measure in measures
        for attachment in measure.attachments
    )


def counted_beat(measures: Sequence[GridMeasure], meter: Meter) -> int | None:
    """Ticks of the beat that the numbers of a tune count, or None where nothing is counted.

    The number that many measures go to tells: 4 in 2/2 counts quarters, 2 halves; 4 in 2/4 counts
    eighths. One that few go to is of a measure that is longer than the others.
    """
    alone = highest_alone(measures)
    numbers = [
        [
            int(word)
            for attachment in measure.attached(LineKind.COUNTS)
            for word in apart(attachment.text, alone)
            if word.isdecimal()
        ]
        for measure in measures
    ]
    ends = sorted(max(own) for own in numbers if own)
    if not ends or (not any(1 in own for own in numbers) and not _under_notes(measures)):
        return None  # the numbers of measures
    highest = ends[-1 - int(_FEW * len(ends))]
    length = int(meter.length * TICKS)
    usual = TICKS // 2 if meter.unit >= 8 else TICKS
    beats = [usual]
    if meter.beat * TICKS != usual:
        beats.insert(0, int(meter.beat * TICKS))
    beats += [usual // 2, usual // 4]
    if meter.unit == 2 and highest > 2:
        beats = beats[1:]
    return next((beat for beat in beats if length // beat >= highest), beats[-1])


_FEW = 0.25  # of the measures, of which those may be that are counted farther than the others


def read_counts(
    measure: GridMeasure,
    beat: int,
    length: int,
    opens: bool,
    counts: Counts | None = None,
    in_threes: bool = False,
) -> list[Written]:
    """Onsets by the counts under a measure, the plainest reading first; none if they make no
    sense.

    Counts that stand only under notes can be read in several ways: in ``1 & 3`` the ``&`` may
    belong to 1 or to 2, on which nothing is struck. ``in_threes``: ``1 & a`` are rather thirds.
    """
    attached = counts if counts is not None else sort_counts([measure], [opens])[0]
    if not attached or not measure.columns:
        return []
    found = []
    counted = _counted_on(attached, beat, length) if not opens else 0
    places = [at for at, _ in attached]
    columns = [c.position for c in measure.columns]
    every = _times(attached, beat, counted or length, in_threes)
    for under in (aligned(places, columns), *_from_the_first(attached, columns)):
        for times in every:
            written = _from_times(measure, places, under, times, counted or length, opens)
            if written is not None:
                found.append(replace(written, length=counted) if counted else written)
        if found:
            break
    if not counted and (ruled := _by_a_ruler(attached, columns, beat, length)):
        found.insert(0, ruled)
    return found


_RULED = 3  # columns of a beat that a ruler of counts has at least
_PARTS_OF_BEAT = 4


def _by_a_ruler(attached: Counts, columns: Sequence[int], beat: int, length: int) -> Written | None:
    """Onsets by where notes stand between the beats, if these are counted evenly from bar to bar as
    on a ruler, most stand right at a note, and some note a column beside one: it was typed there on
    purpose. None where each note is a quarter of a beat from another at the least, or no beat is
    passed so."""
    places = [at for at, _ in attached]
    steps = {b - a for a, b in itertools.pairwise(places)}
    if [word for _, word in attached] != [str(n + 1) for n in range(length // beat)]:
        return None
    if len(steps) != 1 or (step := steps.pop()) < _RULED:
        return None
    beside = sum(any(abs(at - column) == 1 for at in places) for column in columns)
    exact = sum(at in columns for at in places)
    parts = [Fraction((column - places[0]) * _PARTS_OF_BEAT, step) for column in columns]
    if not beside or 2 * exact < len(places) or any(p.denominator > 1 or p < 0 for p in parts):
        return None
    onsets = tuple(int(part) * beat // _PARTS_OF_BEAT for part in parts)
    if onsets[-1] >= length:
        return None
    told = tuple(i for i, column in enumerate(columns) if column in places)
    return Written(
        onsets=onsets, all_written=False, offset=0, length=None, what="counts", told=told
    )


def _from_the_first(attached: Counts, columns: Sequence[int]) -> Iterator[list[int | None]]:
    """Where a line of counts has slid so far that the first note of a measure seems to be left
    without one, though nothing is before a 1: the columns of the counts if the 1 is its."""
    if attached[0][1] != "1" or not 1 < len(attached) < len(columns):
        return
    places = [at for at, _ in attached]
    under = [0, *(i if i is None else i + 1 for i in aligned(places[1:], columns[1:]))]
    if all(
        i is not None and abs(columns[i] - at) <= _BESIDE
        for i, at in zip(under, places, strict=True)
    ):
        yield under


def _counted_on(attached: Counts, beat: int, length: int) -> int:
    """The ticks of a measure that is counted from 1 on to more beats than a full one has, with as
    many numbers as that; 0 for others."""
    numbers = [int(text) for _, text in attached if text.isdecimal()]
    beats = length // beat
    if len(numbers) < beats or numbers[0] != 1 or not beats < numbers[-1] <= 2 * beats:
        return 0
    rises = all(a < b for a, b in itertools.pairwise(numbers))
    return numbers[-1] * beat if rises else 0


def steady(drifts: Sequence[int]) -> bool:
    """True if counts stand as far beside their columns as the others of their measure, by a
    character: one that does not may belong to another column."""
    middle = sorted(drifts)[len(drifts) // 2]
    return all(abs(drift - middle) <= 1 for drift in drifts)


def _from_times(
    measure: GridMeasure,
    places: Sequence[int],
    under: Sequence[int | None],
    times: Sequence[int],
    length: int,
    opens: bool,
) -> Written | None:
    by_column = {
        column: time for column, time in zip(under, times, strict=True) if column is not None
    }
    if not by_column:
        return None
    drifts = [
        place - measure.columns[column].position
        for place, column in zip(places, under, strict=True)
        if column is not None
    ]
    plain = len(by_column) == len(drifts) and steady(drifts)
    first = times[0]
    offset = first if opens and first > 0 else 0
    onsets = _between(by_column, len(measure.columns), offset, length)
    if onsets is None:
        return None
    return Written(
        onsets=tuple(o - offset for o in onsets),
        all_written=plain and len(by_column) == len(measure.columns),
        offset=offset,
        length=length - offset if offset else None,
        what="counts",
        told=tuple(sorted(by_column)),
    )


_ALONE, _UNCOUNTED = 1.5, 2.5  # characters that a count or a column without the other costs
_BESIDE = 2  # characters beside its column that a count may stand if there is one for each
_DRIFTS = (0, 1, -1, 2, -2)
_OFF_FROM_THE_START = 0.3  # what it costs that a line of counts begins a character off


def aligned(counts: Sequence[int], columns: Sequence[int]) -> list[int | None]:
    """The column that each count stands under, or None, by their characters.

    A line of counts drifts: all of it may stand a character or two to the right or left. The
    drift and the pairs, in order, that are least far apart are taken, as two strings are aligned
    (Needleman and Wunsch 1970).
    """
    if len(counts) == len(columns) and all(
        abs(count - column) <= _BESIDE for count, column in zip(counts, columns, strict=True)
    ):
        return list(range(len(columns)))
    found = [_pairs(counts, columns, drift) for drift in _DRIFTS]
    if len(counts) == len(columns):
        found.append(_in_order(counts, columns))
    return min(found, key=lambda pair: pair[0])[1]


def _in_order(counts: Sequence[int], columns: Sequence[int]) -> tuple[float, list[int | None]]:
    """Each count under its column where there are as many: the line may slip more than once."""
    drifts = [count - column for count, column in zip(counts, columns, strict=True)]
    slips = sum(abs(b - a) for a, b in itertools.pairwise(drifts))
    return slips + _OFF_FROM_THE_START * abs(drifts[0]), list(range(len(columns)))


def _pairs(
    counts: Sequence[int], columns: Sequence[int], drift: int
) -> tuple[float, list[int | None]]:
    row: list[tuple[float, tuple[int | None, ...]]] = [
        (_UNCOUNTED * n, ()) for n in range(len(columns) + 1)
    ]
    for count in counts:
        above, row = row, [(row[0][0] + _ALONE, (*row[0][1], None))]
        for index, column in enumerate(columns):
            apart = abs(count - drift - column) + 0.1 * abs(drift)
            ways = [
                (above[index][0] + apart, (*above[index][1], index)),
                (above[index + 1][0] + _ALONE, (*above[index + 1][1], None)),
                (row[index][0] + _UNCOUNTED, row[index][1]),
            ]
            row.append(min(ways, key=lambda way: way[0]))
    return row[-1][0], list(row[-1][1])


_MOST_WAYS = 24
# In a beat of three, "1 & a" is common practice for its thirds.
_THIRDS = {"&": Fraction(1, 3), "+": Fraction(1, 3), "a": Fraction(2, 3)}


def ticks_of_part(word: str, beat: int) -> int | None:
    """Ticks into its beat that a word of the counts stands for; None for what is no word."""
    if word.isdecimal():
        return 0
    part = (_PARTS | _THIRDS if beat == TICKS * 3 // 2 else _PARTS).get(word)
    return int(part * beat) if part is not None else None


def _times(attached: Counts, beat: int, length: int, in_threes: bool) -> list[list[int]]:
    """Ticks of the counts, in each way they can be read, the plainest first.

    A part of a beat without a number belongs to the number before it, or to a later beat before
    the next number; at the start, to the beat before the number after it; parts alone ("& a") are
    those of the last beat of a measure.
    """
    numbers = [int(text) if text.isdecimal() else None for _, text in attached]
    beats = length // beat
    following = next((n for n in numbers if n is not None), None)
    start = (following - 2 if following else beats - 1) * beat
    ways = _ways(attached, numbers, beat, beats, start, _PARTS)
    if beat == TICKS * 3 // 2:
        ways = _ways(attached, numbers, beat, beats, start, {**_PARTS, **_THIRDS})
    elif beat % 3 == 0 and (shared := without_e(attached)):
        # "1 & a" may be thirds in any beat.
        thirds = _ways(attached, numbers, beat, beats, start, _PARTS, shared)
        first, second = (thirds, ways) if in_threes else (ways, thirds)
        ways = first + [way for way in second if way not in first]
    return [
        way
        for way in ways
        if way and way[0] >= 0 and all(a < b for a, b in itertools.pairwise(way))
    ]


def without_e(attached: Counts) -> set[int]:
    """The counts that are "&" and "a" of one beat whose "e" is not counted."""
    found: set[int] = set()
    for index in range(2, len(attached)):
        number, half, last = (word.lower() for _, word in attached[index - 2 : index + 1])
        if number.isdecimal() and half in ("&", "+") and last == "a":
            found |= {index - 1, index}
    return found


def _ways(
    attached: Counts,
    numbers: Sequence[int | None],
    beat: int,
    beats: int,
    start: int,
    parts: Mapping[str, Fraction],
    thirds: Set[int] = frozenset(),
) -> list[list[int]]:
    """The ways of :func:`_times` where the parts of a beat are ``parts``, at the indices ``thirds``
    those of a beat in three."""
    ways: list[list[int]] = [[]]
    for index, ((_, text), number) in enumerate(zip(attached, numbers, strict=True)):
        if number is not None:
            ways = [[*way, (number - 1) * beat] for way in ways]
            continue
        part = (_THIRDS if index in thirds else parts).get(text.lower())
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
    return ways


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


def all_lettered(measure: GridMeasure) -> bool:
    """True if every column of a measure has a duration letter."""
    there = {a.column for a in measure.attached(LineKind.DURATIONS)}
    return all(index in there for index in range(len(measure.columns)))
