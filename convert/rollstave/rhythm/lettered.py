"""Rhythm by duration letters under a measure, as typists leave them.

A line of letters drifts from its notes, also over a bar line; a letter may be missing, and three
that are played in the time of two are often typed as if they were not. Times are in ticks, 24 to a
quarter note.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from msgspec import Struct
from msgspec.structs import replace

from rollstave.grid.letters import is_silent, letters_to_ticks
from rollstave.grid.typed import GridMeasure, LineKind
from rollstave.rhythm.evidence import TICKS
from rollstave.rhythm.written import Written, aligned, steady


class Letter(Struct, frozen=True):
    """A letter ``place`` characters from the bar line, of so many ticks; ``silent`` is that of a
    rest, under which no note is."""

    place: int
    ticks: int
    silent: bool = False


Letters = list[Letter]
_AT_BAR = 1  # characters from a bar line at which a letter may be the one of the measure before
_MOST_WAYS = 6
_THIRD = TICKS // 3  # what a 3 under a note is taken for: an eighth note of three


def sort_letters(measures: Sequence[GridMeasure], length: int) -> list[Letters]:
    """The letters of each measure, of ``length`` ticks if it is full. A letter at the beginning
    that makes a measure too long by just itself belongs to the one before, if one is missing
    there."""
    found: list[Letters] = []
    for measure in measures:
        attached = sorted(measure.attached(LineKind.DURATIONS), key=lambda a: a.position)
        while attached and attached[0].position < 0 and attached[0].column is None:
            del attached[0]  # of the measure before
        typed = [
            Letter(
                place=a.position,
                ticks=letters_to_ticks(a.text) or 0,
                silent=is_silent(a.text),
            )
            for a in attached
        ]
        found.append(typed if all(letter.ticks for letter in typed) else [])
    for index in range(1, len(found)):
        letters = found[index]
        over = ticks_of(letters) - length
        notes = len(measures[index].columns)
        if len(letters) != notes + 1 or letters[0].place > _AT_BAR or letters[0].ticks != over:
            continue
        before = found[index - 1]
        wants = len(before) == len(measures[index - 1].columns) - 1
        if not before or (not wants and ticks_of(before) + letters[0].ticks != length):
            continue  # there is no room for it; the measure is long, and begins with a rest
        first = letters.pop(0)
        place = first.place + measures[index - 1].width + 1
        found[index - 1].append(replace(first, place=place))
    return found


def ticks_of(letters: Letters) -> int:
    """What letters last together."""
    return sum(letter.ticks for letter in letters)


def read_letters(
    measure: GridMeasure, letters: Letters, length: int, may_be_short: bool
) -> list[Written]:
    """Onsets by the duration letters under a measure that lasts ``length`` ticks if it is full, the
    plainest way first; none if they make no sense.

    A letter under which nothing is struck is a rest, which the note before it lasts through. A
    rest at the start often has no letter: whether a short sum means that, the caller decides.
    """
    columns = [c.position for c in measure.columns]
    if not letters:
        return []
    if not columns:
        return [_only_rests(letters)]
    places = [letter.place for letter in letters]
    under = _under(letters, columns)
    durations = [letter.ticks for letter in letters]
    told = [column for column in under if column is not None]
    if len(set(told)) < len(told):
        return []
    drifts = [
        place - columns[column]
        for place, column in zip(places, under, strict=True)
        if column is not None
    ]
    # A letter before the bar line may be one of the measure before.
    plain = bool(drifts) and steady(drifts) and not (places[0] < 0 and len(set(drifts)) > 1)
    if len(told) < len(columns):
        filled = _filled(under, durations, len(columns), length)
        if filled is None:
            return []
        under, durations, plain = *filled, False
    # A letter beside a note may be the letter of another that stands in its column by a slip.
    plain = plain and not any(
        column is None
        and not letter.silent
        and any(abs(letter.place - at) <= _AT_BAR for at in columns)
        for letter, column in zip(letters, under, strict=False)
    )
    durations = as_threes_fit(durations, length)
    total = sum(durations)
    rests = len(columns) < len(under)
    if total > length and not rests:
        if total - durations[-1] < length and (total - length) < min(TICKS // 4, durations[-1]):
            # The last of a measure ends with it.
            return _written(under, [*durations[:-1], durations[-1] - total + length], False, False)
        # Whoever types a sum, or the 3 of a triplet, does not leave it out elsewhere in a measure.
        exact = any(sign in a.text for a in measure.attached(LineKind.DURATIONS) for sign in "+3")
        ways = [] if exact else in_three(durations, length)
        if ways:
            return [w for way in ways for w in _written(under, way, False, False)]
    return _written(under, durations, plain and (total <= length or may_be_short), rests)


def _only_rests(letters: Letters) -> Written:
    """A measure without notes, as long as its letters say."""
    return Written(
        onsets=(),
        all_written=True,
        offset=0,
        length=ticks_of(letters),
        what="duration letters",
        rests=True,
    )


def _under(letters: Letters, columns: Sequence[int]) -> list[int | None]:
    """The column that each letter stands under, None for those of rests."""
    sounding = iter(aligned([letter.place for letter in letters if not letter.silent], columns))
    return [None if letter.silent else next(sounding) for letter in letters]


def as_threes_fit(durations: list[int], length: int) -> list[int]:
    """Durations in which threes that say no more than that are as short as the measure needs."""
    threes = durations.count(_THIRD)
    if threes and sum(durations) - threes * _THIRD // 2 == length:
        return [_THIRD // 2 if ticks == _THIRD else ticks for ticks in durations]
    return durations


def _written(
    under: Sequence[int | None], durations: Sequence[int], plain: bool, rests: bool
) -> list[Written]:
    onsets: dict[int, int] = {}
    at = 0
    for column, duration in zip(under, durations, strict=True):
        if column is not None:
            onsets[column] = at
        at += duration
    times = tuple(onsets[index] for index in range(len(onsets)))
    if any(a >= b for a, b in itertools.pairwise(times)):
        return []
    return [
        Written(
            onsets=times,
            all_written=plain,
            offset=0,
            length=at,
            what="duration letters",
            rests=rests,
        )
    ]


def _filled(
    under: Sequence[int | None], durations: Sequence[int], count: int, length: int
) -> tuple[list[int | None], list[int]] | None:
    """Letters with the one that is missing, if only one is: it lasts what the others leave."""
    told = {column for column in under if column is not None}
    missing = [column for column in range(count) if column not in told]
    rest = length - sum(durations)
    if len(missing) != 1 or None in under or rest < TICKS // 4:
        return None
    at = missing[0]
    columns = [*under[:at], at, *under[at:]]
    return columns, [*durations[:at], rest, *durations[at:]]


def in_three(durations: Sequence[int], length: int) -> list[list[int]]:
    """The ways in which threes of equal letters, played in the time of two, fill a measure."""
    saved = sum(durations) - length
    spots: list[tuple[int, int]] = []
    at = 0
    for index, ticks in enumerate(durations):
        three = durations[index : index + 3]
        if len(three) == 3 and set(three) == {ticks} and ticks % 3 == 0:
            spots.append((index, ticks))
        at += ticks
    ways: list[list[int]] = []

    def grow(start: int, left: int, way: list[int]) -> None:
        if len(ways) >= _MOST_WAYS:
            return
        if left == 0:
            ways.append(way)
            return
        for index, ticks in spots:
            before = sum(way[:index])
            if index >= start and ticks <= left and before % (2 * ticks) == 0:
                shorter = [ticks * 2 // 3] * 3
                grow(index + 3, left - ticks, [*way[:index], *shorter, *way[index + 3 :]])

    if saved > 0:
        grow(0, saved, list(durations))
    return ways
