"""How the times of a measure are written: note values, ties, tuplets, beams.

All of it follows from onsets and durations alone, and a tune has few rhythms for its many
measures, so what was found for one is kept for the next. Values are those of Western notation;
the rules are the usual ones of engraving handbooks (Gould, Behind Bars, 2011, on beaming and
ties, from memory).
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache
from operator import itemgetter

from msgspec import Struct
from msgspec.structs import replace

from rollstave.rhythm.meter import Meter
from rollstave.vocabulary.note_values import NOTE_VALUES

# Names of note values as MusicXML has them, and their length in quarter notes.
VALUES = tuple((value.name, value.length) for value in NOTE_VALUES)
_SHORTEST = VALUES[-1][1]
_FLAGGED = {"eighth", "16th", "32nd", "64th"}

# Onset and duration of an event in quarter notes, and whether it is a rest.
Time = tuple[Fraction, Fraction, bool]


class TiedPart(Struct, frozen=True):
    """One written value: a tied part of an event's duration, or all of it.

    ``event_index`` is the event in its measure, ``part`` the number of this tied part of it,
    ``last`` whether no other follows. ``beam`` and ``tuplet`` number the groups of a measure.
    """

    event_index: int
    part: int
    last: bool
    onset: Fraction
    duration: Fraction
    value: str
    dots: int
    rest: bool
    tuplet: int | None = None
    beam: int | None = None


def single_value(duration: Fraction) -> tuple[str, int] | None:
    """The value and dots (0 or 1) that last exactly ``duration``, or None."""
    for name, length in VALUES:
        if duration == length:
            return name, 0
        if duration == length * Fraction(3, 2):
            return name, 1
    return None


@lru_cache(maxsize=1024)
def written(times: tuple[Time, ...], meter: Meter, offset: Fraction) -> tuple[TiedPart, ...]:
    """The tied parts that a measure is written in; ``offset`` is how late in a full measure it
    begins, in quarter notes, which is not nothing for a pickup."""
    tuplets = _tuplet_spans(times, meter, offset)
    tied_parts: list[TiedPart] = []
    for index, time in enumerate(times):
        tied_parts.extend(_tied_parts(index, time, meter, offset, tuplets))
    return tuple(_beamed(tied_parts, meter, offset))


# Values and ties ---------------------------------------------------------------------------


@lru_cache(maxsize=16)
def _levels(meter: Meter) -> tuple[Fraction, ...]:
    """Metric grid from coarse to fine: half measure (where there is one), beat, parts of it."""
    levels: list[Fraction] = []
    beat = meter.beat
    if meter.count == 4 and not meter.compound:
        levels.append(2 * beat)
    levels.append(beat)
    finer = beat / 3 if meter.compound else beat / 2
    while finer >= _SHORTEST:
        levels.append(finer)
        finer /= 2
    return tuple(levels)


def _cut(onset: Fraction, end: Fraction, meter: Meter, rest: bool) -> Fraction | None:
    """Where a note from ``onset`` to ``end`` must be divided by a tie, or a rest in two, or None.

    A note may hide a line of the metric grid only if it starts on that line's level, or if both
    its ends lie on the next finer level; a rest only if it starts on that line's level.
    """
    levels = _levels(meter)
    for index, level in enumerate(levels):
        first_inside = (onset // level + 1) * level
        if first_inside >= end:
            continue
        if onset % level == 0:
            return None
        finer = levels[index + 1] if index + 1 < len(levels) else level
        if onset % finer == 0 and end % finer == 0 and not rest:
            return None
        return first_inside
    return None


def _tied_parts(
    index: int,
    time: Time,
    meter: Meter,
    offset: Fraction,
    tuplets: Sequence[tuple[Fraction, Fraction]],
) -> list[TiedPart]:
    """The tied parts that an event is written as."""
    onset, duration, rest = time
    spans: list[tuple[Fraction, Fraction, int | None]] = []
    start, end = onset + offset, onset + duration + offset
    # They stand in order and apart: only those between the ends of the event are looked at.
    for number in range(bisect_right(tuplets, start, key=itemgetter(1)), len(tuplets)):
        left, right = tuplets[number]
        if left >= end:
            break
        if start < min(end, right):
            if start < left:
                spans.append((start, left, None))
            spans.append((max(start, left), min(end, right), number))
            start = min(end, right)
    if start < end:
        spans.append((start, end, None))
    parts: list[tuple[Fraction, Fraction, str, int, int | None]] = []
    for left, right, tuplet in spans:
        factor = Fraction(3, 2) if tuplet is not None else Fraction(1)
        for a, b, value, dots in _divide(left, right, meter, factor, rest):
            parts.append((a, b, value, dots, tuplet))
    return [
        TiedPart(
            event_index=index,
            part=part,
            last=part == len(parts) - 1,
            onset=left - offset,
            duration=right - left,
            value=value,
            dots=dots,
            rest=rest,
            tuplet=tuplet,
        )
        for part, (left, right, value, dots, tuplet) in enumerate(parts)
    ]


def _divide(
    start: Fraction, end: Fraction, meter: Meter, factor: Fraction, rest: bool
) -> list[tuple[Fraction, Fraction, str, int]]:
    """Divide a span into values; ``factor`` is how much longer a tuplet's written values are."""
    found: list[tuple[Fraction, Fraction, str, int]] = []
    ends = [end]  # of what is still to be divided, the nearest last: a note may last very long
    while ends:
        end = ends[-1]
        value = single_value((end - start) * factor)
        cut = None if factor != 1 else _cut(start, end, meter, rest)
        if cut is not None:
            ends.append(cut)
            continue
        if value is None and (longest := _longest_within(end - start, factor)) is not None:
            # No line of the grid divides it but no single value is as long.
            length, value = longest
            end = start + length
        else:
            ends.pop()
        # Shorter than any value, or on no grid: drawn as the shortest, its time kept exact.
        found.append((start, end, *(value or (VALUES[-1][0], 0))))
        start = end
    return found


def _longest_within(
    duration: Fraction, factor: Fraction
) -> tuple[Fraction, tuple[str, int]] | None:
    """The longest value, dotted or not, that is shorter than ``duration``: how long, and which."""
    for name, length in VALUES:
        for dots, long in ((1, length * Fraction(3, 2)), (0, length)):
            if long / factor < duration:
                return long / factor, (name, dots)
    return None


def _tuplet_spans(
    times: Sequence[Time], meter: Meter, offset: Fraction
) -> list[tuple[Fraction, Fraction]]:
    """The spans that hold triplets: from half a beat to four beats long, on the grid.

    A span that starts and ends with notes comes before one that would cut through a note.
    """
    if meter.compound:
        return []
    marks = sorted(
        {onset + offset for onset, _, _ in times}
        | {onset + duration + offset for onset, duration, _ in times}
    )
    spans: list[tuple[Fraction, Fraction]] = []
    for mark in marks:
        if mark.denominator % 3 or (spans and mark < spans[-1][1]):
            continue
        whole = _triplet_around(mark, marks, whole=True)
        found = whole or _triplet_around(mark, marks, whole=False)
        if found and not (spans and found[0] < spans[-1][1]):
            spans.append(found)
    return spans


def _triplet_around(
    mark: Fraction, marks: Sequence[Fraction], whole: bool
) -> tuple[Fraction, Fraction] | None:
    """The shortest span of thirds around a mark; ``whole``: notes start at both of its ends."""
    for size in (Fraction(1, 4), Fraction(1, 2), Fraction(1), Fraction(2), Fraction(4)):
        left = mark // size * size
        ends = (left, left + size)
        inside = marks[bisect_right(marks, left) : bisect_left(marks, left + size)]
        thirds = size / 3 if size < Fraction(1, 2) else size / 12
        if (
            all((m - left) % thirds == 0 for m in inside)
            and all(end.denominator % 3 for end in ends if _has(marks, end))
            and not (whole and any(not _has(marks, end) for end in ends))
        ):
            return ends
    return None


def _has(marks: Sequence[Fraction], wanted: Fraction) -> bool:
    """True if a time is among some in order."""
    at = bisect_left(marks, wanted)
    return at < len(marks) and marks[at] == wanted


# Beams -------------------------------------------------------------------------------------


def _beam_spans(
    meter: Meter, tied_parts: Sequence[TiedPart], offset: Fraction
) -> list[tuple[Fraction, int]]:
    """For each tied part the size and number of the span that its beam stays in: a beat; half a
    measure of 4/4 or 2/2 where that half has plain eighths only."""
    if meter.compound:
        size = Fraction(12, meter.unit)
        return [(size, int((s.onset + offset) // size)) for s in tied_parts]
    halves = [int((s.onset + offset) // 2) for s in tied_parts]
    mixed = {
        half
        for half, s in zip(halves, tied_parts, strict=True)
        if (s.value in _FLAGGED and s.value != "eighth") or s.tuplet is not None
    }
    joined = meter.length % 2 == 0 and meter.unit <= 4
    return [
        (Fraction(2), half)
        if joined and half not in mixed
        else (Fraction(1), int(s.onset + offset))
        for half, s in zip(halves, tied_parts, strict=True)
    ]


def _beamed(tied_parts: list[TiedPart], meter: Meter, offset: Fraction) -> list[TiedPart]:
    spans = _beam_spans(meter, tied_parts, offset)
    groups: list[list[int]] = []
    for index, tied_part in enumerate(tied_parts):
        if tied_part.rest or tied_part.value not in _FLAGGED:
            continue
        if groups:
            last = groups[-1][-1]
            if last == index - 1 and spans[last] == spans[index]:
                groups[-1].append(index)
                continue
        groups.append([index])
    result = list(tied_parts)
    number = 0
    for group in groups:
        if len(group) < 2:
            continue
        for index in group:
            result[index] = replace(result[index], beam=number)
        number += 1
    return result
