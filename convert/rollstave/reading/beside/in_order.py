"""Letters and counts that stand a few columns off: they belong to the notes in order.

Common practice, no source: a typist whose font or editor changed has as many letters in a measure
as notes, but not at them.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection, Sequence
from itertools import groupby, pairwise
from math import gcd

from rollstave.grid.letters import is_silent
from rollstave.grid.typed import GridMeasure, LineKind
from rollstave.reading.beside.line_words import Word
from rollstave.reading.beside.silent import Placed, rests_among
from rollstave.reading.beside.slid import one_for_each
from rollstave.reading.page.decode import Line
from rollstave.reading.rows.cutting import Slot
from rollstave.vocabulary.signs import UNPICKED

_KINDS = (
    *(LineKind.PICKING, LineKind.STROKES, LineKind.COUNTS, LineKind.HAND),
    LineKind.DURATIONS,
)
_FARTHEST = 4  # columns that a word may be off
_SHARE = 3  # or this share of a measure, where each note has a word
_SHIFT = 3  # columns that all words of a measure may be off, where they are more than the notes
_FEWEST_MOVED = 2  # measures whose counts show that their line is off as a whole
_FARTHEST_MOVED = 8
# Columns by which the next word may be farther off than the one before it: a count two columns off
# its note may be that of a beat on which nothing is struck.
_SLIP_OF_COUNTS, _SLIP_OF_LETTERS = 1, 2
_FEWEST = 3  # words of a measure that show that they are off
_OF_TIME = ({LineKind.COUNTS}, {LineKind.DURATIONS})
_Words = Sequence[tuple[LineKind, Word, Line]]


def placed_in_order(
    measures: Sequence[GridMeasure],
    slots: Sequence[Slot],
    words: _Words,
    off: Collection[int] = (),
) -> Placed:
    """The words that belong to notes by their order, with measure and position there. ``off`` are
    the numbers of lines that are off as a whole: their words are left out."""
    placed: Placed = {}
    if not slots:  # rows in which no bar line leaves a measure
        return placed
    grid = _grid(measures)
    by_line = sorted(
        (item for item in words if item[0] in _KINDS and item[2].number not in off),
        key=lambda w: (w[2].number, w[1].start),
    )
    for number, group in groupby(by_line, key=lambda item: item[2].number):
        every = list(group)
        typed = [item for item in every if not is_silent(item[1].text)]
        kinds = {kind for kind, _, _ in typed}
        if kinds == {LineKind.HAND}:
            continue
        counts = LineKind.COUNTS in kinds
        starts = [word.start for _, word, _ in typed]
        ones = {word.start for _, word, _ in typed if word.text == "1"}
        if counts and (by := _moved(measures, slots, starts, sorted(ones), grid)):
            for start in starts:
                placed[number, start] = (*_at(measures, slots, start + by), by)
            continue
        if kinds in _OF_TIME and (along := _along(measures, slots, starts, counts)):
            for start, at in zip(starts, along, strict=True):
                placed[number, start] = (*at, 0)
            placed |= rests_among(measures, slots, [word for _, word, _ in every], placed, number)
            continue
        if LineKind.DURATIONS in kinds:
            continue
        if not counts and (run := _in_one_run(measures, slots, starts)):
            for start, at in zip(starts, run, strict=True):
                placed[number, start] = (*at, 0)
            continue
        parts = _by_place(starts, slots)
        if counts or not (_as_many(measures, parts) or _all_at_notes(measures, slots, parts)):
            parts = _by_gaps(starts, slots) or parts
        for where, part in enumerate(parts):
            positions = [start - slots[where].cells[0].start for start in part]
            columns, by = _in_measure(measures[where], positions, counts)
            if counts and not columns and part and part[0] in ones:
                columns = _on_grid(measures[where], positions, grid)
            for start, column in zip(part, columns, strict=False):
                placed[number, start] = (where, column, by)
    return placed


def _along(
    measures: Sequence[GridMeasure], slots: Sequence[Slot], starts: Sequence[int], counts: bool
) -> list[tuple[int, int]]:
    """The notes of a line of counts or letters that has one for each, and slid; nothing if it has
    not, or stands where it should."""
    every = [
        (slot.cells[0].start + column.position, (where, index))
        for where, (slot, measure) in enumerate(zip(slots, measures, strict=True))
        for index, column in enumerate(measure.columns)
    ]
    notes = [note for note, _ in every]
    slip = _SLIP_OF_COUNTS if counts else _SLIP_OF_LETTERS
    return [at for _, at in every] if one_for_each(starts, notes, slip) else []


def _moved(
    measures: Sequence[GridMeasure],
    slots: Sequence[Slot],
    starts: Sequence[int],
    ones: Sequence[int],
    grid: tuple[int, int],
) -> int:
    """By how many columns a line of counts is off as a whole: each measure's 1 stands as far from
    where measures begin, and moved by so much the line has a count for every note. 0 if it is not,
    or each note has its count as they stand: a chop strikes on 2 and 4, so that no note is on a 1.
    Common practice, no source: a word before the counts pushes them aside."""
    if len(ones) != len(slots) or len(slots) < _FEWEST_MOVED:
        return 0
    off = {slot.cells[0].start + grid[0] - one for slot, one in zip(slots, ones, strict=True)}
    by = off.pop()
    moved = {start + by for start in starts}
    notes = {
        slot.cells[0].start + column.position
        for slot, measure in zip(slots, measures, strict=True)
        for column in measure.columns
    }
    inside = all(slot.cells[0].start <= one for slot, one in zip(slots, ones, strict=True))
    if off or (inside and notes <= set(starts)):
        return 0
    return by if abs(by) <= _FARTHEST_MOVED and notes <= moved else 0


def _in_one_run(
    measures: Sequence[GridMeasure], slots: Sequence[Slot], starts: Sequence[int]
) -> list[tuple[int, int]]:
    """The notes of a line of letters that goes on evenly past all bars: as many as the system has
    notes, and not where they stand. Nothing where it has gaps of its own or stands at notes."""
    steps = {b - a for a, b in pairwise(starts)}
    if len(slots) < _FEWEST_MOVED or len(steps) != 1 or len(starts) < _FEWEST:
        return []
    every = [(i, j) for i, measure in enumerate(measures) for j in range(len(measure.columns))]
    picked = [
        (i, j)
        for i, j in every
        if any(stroke.link not in UNPICKED for stroke in measures[i].columns[j].strokes)
    ]
    parts = _by_place(starts, slots)
    inside = sum(map(len, parts)) == len(starts)
    if inside and _all_at_notes(measures, slots, parts):
        return []
    return next((notes for notes in (every, picked) if len(notes) == len(starts)), [])


def _at(
    measures: Sequence[GridMeasure], slots: Sequence[Slot], start: int
) -> tuple[int, int | None]:
    """The measure and the column of a word that stands at a note, or among the notes."""
    ends = [slot.cells[0].end for slot in slots]
    where = min(bisect_right(ends, start), len(slots) - 1)
    position = start - slots[where].cells[0].start
    columns = measures[where].columns
    return where, next((i for i, c in enumerate(columns) if c.position == position), None)


def _as_many(measures: Sequence[GridMeasure], parts: Sequence[Sequence[int]]) -> bool:
    """True if every measure has a word over or under it for each of its notes."""
    pairs = zip(measures, parts, strict=True)
    return all(len(measure.columns) == len(part) for measure, part in pairs)


def _all_at_notes(
    measures: Sequence[GridMeasure], slots: Sequence[Slot], parts: Sequence[Sequence[int]]
) -> bool:
    """True if every word of a line stands at a note as it is typed."""
    return all(
        start - slot.cells[0].start in {column.position for column in measure.columns}
        for measure, slot, part in zip(measures, slots, parts, strict=True)
        for start in part
    )


def _by_gaps(starts: Sequence[int], slots: Sequence[Slot]) -> list[list[int]] | None:
    """The words of a line in groups with the widest gaps between them, one group a measure, each
    beginning near it; None if they are no such groups."""
    if len(starts) < len(slots):
        return None
    gaps = sorted((b - a for a, b in pairwise(starts)), reverse=True)
    inner = gaps[len(slots) - 1 :]
    if len(slots) > 1 and inner and gaps[len(slots) - 2] <= inner[0]:
        return None
    widest = inner[0] if inner else 0
    groups: list[list[int]] = [[]]
    for at, start in enumerate(starts):
        if groups[-1] and start - starts[at - 1] > widest:
            groups.append([])
        groups[-1].append(start)
    near = all(
        -_FARTHEST <= group[0] - slot.cells[0].start < slot.width
        for group, slot in zip(groups, slots, strict=False)
    )
    return groups if len(groups) == len(slots) and near else None


def _by_place(starts: Sequence[int], slots: Sequence[Slot]) -> list[list[int]]:
    """The words of a line by the measure that each stands over."""
    parts: list[list[int]] = [[] for _ in slots]
    where = 0
    for start in starts:
        while where + 1 < len(slots) and start >= slots[where].cells[0].end:
            where += 1
        if start < slots[where].cells[0].end:
            parts[where].append(start)
    return parts


def _in_measure(
    measure: GridMeasure, positions: Sequence[int], counts: bool
) -> tuple[Sequence[int | None], int]:
    """The columns of the words in a measure, and by how much they are moved; nothing if the columns
    that they stand at say."""
    if len(positions) < _FEWEST:
        return [], 0
    columns = measure.columns
    every = list(range(len(columns)))
    picked = [i for i in every if any(s.link not in UNPICKED for s in columns[i].strokes)]
    exact = {c.position: i for i, c in enumerate(columns)}
    if counts:
        if all(c.position in positions for c in columns):
            return [], 0
    elif all(p in exact for p in positions):
        return [], 0
    for chosen in (every, picked):
        if len(chosen) == len(positions):
            off = [p - columns[i].position for p, i in zip(positions, chosen, strict=True)]
            if _goes_along(off, counts, max(_FARTHEST, measure.width // _SHARE)):
                return chosen, 0
    if not counts:
        return [], 0
    shift = _shift(measure, positions)
    return ([exact.get(p + shift) for p in positions], shift) if shift else ([], 0)


def _goes_along(off: Sequence[int], counts: bool, farthest: int = _FARTHEST) -> bool:
    """True if words go along with their notes. Letters stand for notes wherever they stand; counts
    may be those of beats on which nothing is struck, so they must go astray step by step."""
    if max(map(abs, off)) > farthest:
        return False
    steps = [b - a for a, b in pairwise(off)]
    slowly = all(0 <= s <= 1 for s in steps) or all(-1 <= s <= 0 for s in steps)
    return slowly if counts else True


def _grid(measures: Sequence[GridMeasure]) -> tuple[int, int]:
    """Where the notes of a system may stand in a measure: the first column, and the step."""
    notes = sorted({c.position for m in measures for c in m.columns})
    first = notes[0] if notes else 0
    return first, gcd(*(note - first for note in notes))


def _on_grid(
    measure: GridMeasure, positions: Sequence[int], grid: tuple[int, int]
) -> list[int | None] | list[int]:
    """The columns of counts that begin with 1 and have one for each step of the grid."""
    if len(positions) < _FEWEST or not grid[1]:
        return []
    exact = {c.position: i for i, c in enumerate(measure.columns)}
    if set(exact) <= set(positions):
        return []  # every note has a count just where it stands
    expected = [grid[0] + number * grid[1] for number in range(len(positions))]
    off = [p - e for p, e in zip(positions, expected, strict=True)]
    if not any(off) or not _goes_along(off, counts=True) or not set(exact) <= set(expected):
        return []
    return [exact.get(e) for e in expected]


def _shift(measure: GridMeasure, positions: Sequence[int]) -> int:
    """By how many columns all counts of a measure are off: then every note has one. 0 if they are
    not, or if it could be either way."""
    notes = [c.position for c in measure.columns]
    fits = [
        shift
        for shift in sorted(range(-_SHIFT, _SHIFT + 1), key=abs)
        if shift
        and positions[0] + shift >= 0  # no note stands on a bar
        and all(note - shift in positions for note in notes)
    ]
    best = [shift for shift in fits if abs(shift) == abs(fits[0])] if fits else []
    return best[0] if len(best) == 1 else 0
