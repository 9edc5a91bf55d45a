"""The order of the measures: what words say of it is there, and it holds together."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import pairwise

from rollstave.grid.typed import Bar, FreeText, GridMeasure
from rollstave.patterns import rare
from rollstave.problems import Place
from rollstave.reading.doubting.read import Read
from rollstave.reading.words.measures_again import said_same
from rollstave.reading.words.parts_played import MOST_NOTES
from rollstave.reading.words.told_again import may_say_again
from rollstave.vocabulary import problems as kinds
from rollstave.vocabulary.doubtful import OF_MEASURES

_MANY = 99  # words, as of a sentence that stands far from the rows
_FEWEST = 2  # words of a part's name that may order something
_NEAR = 3  # lines between such words and the rows
_PATTERNS = tuple((row, rare(row.pattern, re.IGNORECASE, row.cues)) for row in OF_MEASURES)


def _has_repeat(measures: Sequence[GridMeasure]) -> bool:
    return any(m.right is Bar.REPEAT_END or m.left is Bar.REPEAT_START for m in measures)


def _has_ending(measures: Sequence[GridMeasure]) -> bool:
    return any(m.ending for m in measures)


def _has_jump(measures: Sequence[GridMeasure]) -> bool:
    return any(m.jump or m.fine or m.segno or m.coda or m.to_coda for m in measures)


# Whether measures have what words name.
SHOWN: Mapping[str, Callable[[Sequence[GridMeasure]], bool]] = {
    "repeat": _has_repeat,
    "ending": _has_ending,
    "jump": _has_jump,
}
_SAYS = {
    "repeat": "a part that is played more than once, and no repeat is read there; type |: and :| "
    "around the part",
    "ending": "an ending, and none is read there; type 1. and 2. over the measures",
    "jump": "a jump, and none is read; type it alone on a line under its measure",
}


def orders_not_followed(read: Read) -> None:
    """Say which words name a repeat, an ending or a jump that the measures do not have."""
    measures = read.grid.measures
    shown = {name: has(measures) for name, has in SHOWN.items()}
    for note in read.grid.notes:
        words = len(note.text.split()) if read.near_rows(note.place.line, _NEAR) else _MANY
        _order_in(read, note, words, shown)
    if shown["repeat"] and len(read.grid.notes) <= MOST_NOTES:
        _repeats_that_are_not_there(read)
    for start, end in _parts(measures):
        name = measures[start].section or ""
        for row, pattern in _PATTERNS:
            if row.shows == "ending" or len(name.split()) < _FEWEST:
                continue  # "Coda", "Tag (last time only)" are names
            inside = measures[start:end] if row.shows == "repeat" else measures
            if pattern.search(name) and not SHOWN[row.shows](inside):
                read.say(
                    kinds.NOT_FOLLOWED,
                    f"the words {name!r} over this part name {_SAYS[row.shows]}",
                    Place(measures[start].first_line, measures[start].first_column),
                )
                break


# What is said before all of a tune of how often it is played asks for no sign.
_WHOLE = rare(r"\b(?:twice|thrice|times)\s+through\b|\bwhole\s+(?:thing|tune|lot)\b", re.IGNORECASE)
_POINTS = rare(r"\b(?:this|that|these|those)\b", re.IGNORECASE)


def _repeats_that_are_not_there(read: Read) -> None:
    """Say which words seem to tell of a repeat where none is, though others are elsewhere."""
    measures = read.grid.measures
    ends = [m.index for m in measures if m.right is Bar.REPEAT_END]
    before = 0
    for note in read.grid.notes:
        here = note.before_measure
        if not here or not may_say_again(note.text):
            continue
        system = measures[here].system if here < len(measures) else -1
        if _POINTS.search(note.text):  # at what stands right above
            before = next(m.index for m in measures if m.system == measures[here - 1].system)
        near = any(before <= end < here or measures[end].system == system for end in ends)
        if not near:
            read.say(kinds.NOT_FOLLOWED, f"these words name {_SAYS['repeat']}", note.place)
        before = here


def _order_in(read: Read, note: FreeText, words: int, shown: Mapping[str, bool]) -> None:
    whole = not note.before_measure and _WHOLE.search(note.text) is not None
    for row, pattern in _PATTERNS:
        if whole and row.shows == "repeat":
            continue
        if shown[row.shows] or not (row.always or words <= row.most):
            continue
        if pattern.search(note.text):
            read.say(kinds.NOT_FOLLOWED, f"these words name {_SAYS[row.shows]}", note.place)
            return


def _parts(measures: Sequence[GridMeasure]) -> Iterator[tuple[int, int]]:
    starts = [i for i, m in enumerate(measures) if m.section is not None]
    yield from pairwise([*starts, len(measures)])


def measures_that_are_missing(read: Read) -> None:
    """Say which words name measures that are as others are, and are nowhere."""
    count = len(read.grid.measures)
    for note in read.grid.notes:
        same = said_same(note.text)
        if same is not None and max(same.these) > count:
            read.say(
                kinds.NOT_FOLLOWED,
                f"these words name measure {max(same.these)}, and {count} are read; type the "
                "measures that are meant",
                note.place,
            )


def endings_in_order(read: Read) -> None:
    """Say where an ending does not follow the one before it."""
    measures = read.grid.measures
    last = 0
    for measure in measures:
        number = measure.ending
        if number is None:
            continue
        first = int(number[0]) if number[:1].isdigit() else 0
        if first > 1 and first != last + 1:
            place = Place(measure.first_line, measure.first_column)
            before = f"ending {last}" if last else "no ending"
            read.say(
                kinds.ENDING_ORDER,
                f"ending {number} is read here, and {before} stands before it; if the figure means "
                "something else, type it between the rows or take it out",
                place,
            )
        figures = [int(c) for c in number if c.isdigit()]
        last = max(figures, default=0)


def parts_named_twice(read: Read) -> None:
    """Say where a part is called as one before it, with other measures."""
    measures = read.grid.measures
    seen: dict[str, tuple[int, int]] = {}
    for start, end in _parts(measures):
        name = (measures[start].section or "").casefold().strip()
        before = seen.setdefault(name, (start, end))
        if before == (start, end) or not name:
            continue
        if measures[start].first_line == measures[before[0]].first_line:  # played again
            continue
        read.say(
            kinds.PART_TWICE,
            f"a part named {measures[start].section!r} stands above already (line "
            f"{measures[before[0]].first_line}); if another tune begins here, type Title: before "
            "its name",
            Place(measures[start].first_line, measures[start].first_column),
        )
        return


def repeats_in_pairs(read: Read) -> None:
    """Say where a repeat opens and is not closed before the next one opens, or the tune ends."""
    opened: GridMeasure | None = None
    for measure in (*read.grid.measures, None):
        if measure is None or measure.left is Bar.REPEAT_START:
            if opened is not None:
                read.say(
                    kinds.NOT_FOLLOWED,
                    "a repeat opens here, and no sign closes it; type :| after its last measure",
                    Place(opened.first_line, opened.first_column),
                )
            opened = measure
        if measure is not None and measure.right is Bar.REPEAT_END:
            opened = None


def first_endings_lead_on(read: Read) -> None:
    """Say where a first ending stands and no second one after it."""
    numbered = [m for m in read.grid.measures if m.ending]
    for measure, after in pairwise([*numbered, None]):
        if measure is None or measure.ending != "1" or (after is not None and after.ending != "1"):
            continue
        read.say(
            kinds.ENDING_ORDER,
            "a first ending is read here, and no second one follows it; type 2. over its measure",
            Place(measure.first_line, measure.first_column),
        )
