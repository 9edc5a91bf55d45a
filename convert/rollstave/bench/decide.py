"""A rhythm that the teacher chose, written under its measure in the typist's own text.

Nothing else of the text is touched. What is written is read back: it is kept only if the measure
then has exactly the chosen rhythm, all that was written elsewhere still says what it said, and
nothing was lost. Several ways of writing are tried, the plainest first.
"""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Hashable, Iterator, Sequence
from fractions import Fraction

from msgspec import Struct
from msgspec.structs import replace

from rollstave.api import Tune, read
from rollstave.bench.system_text import SystemText
from rollstave.grid.typed import Column, GridMeasure, GridTune, LineKind
from rollstave.problems import Place, Severity, TabError
from rollstave.rhythm.timed import Source
from rollstave.score.compare import essence
from rollstave.score.records import Event, Measure, Note
from rollstave.writing.text.counting import rhythm_words, values

_NOWHERE = Place(1, 1)
_REACH = 1  # a count this near to a note belongs to it; see reading.placing.REACH


class NotWritable(ValueError):
    """The rhythm cannot be written under the measure so that it is read back."""


class Decision(Struct, frozen=True):
    """The new text, and the numbers of the other measures that now follow the same rhythm."""

    text: str
    followers: tuple[int, ...]


def with_rhythm(
    measure: Measure, onsets: Sequence[Fraction], durations: Sequence[Fraction]
) -> Measure:
    """The measure with another onset and duration for each of its strokes, in their order.

    Raises ValueError if there are not as many of them as strokes.
    """
    struck = [e for e in measure.events if e.notes]
    timed = [
        replace(event, onset=onset, duration=duration)
        for event, onset, duration in zip(struck, onsets, durations, strict=True)
    ]
    rest = (Event(Fraction(0), timed[0].onset, ()),) if timed and timed[0].onset > 0 else ()
    length = timed[-1].onset + timed[-1].duration if timed else measure.length
    return replace(measure, events=(*rest, *timed), length=length)


def decide(
    text: str, number: int, index: int, onsets: Sequence[Fraction], durations: Sequence[Fraction]
) -> Decision:
    """Write a rhythm under measure ``index`` of tune ``number`` of a text (both from 0).

    Raises NotWritable if no way of writing it is read back as exactly this rhythm, TabError if
    the text cannot be read, IndexError for a measure that is not there.
    """
    tunes = read(text)
    tune = tunes[number]
    chosen = with_rhythm(tune.score.measures[index], onsets, durations)
    for attempt in _attempts(text, tune, chosen):
        try:
            again = read(attempt)
        except TabError:
            continue
        if _keeps(tunes, again, number, chosen):
            return Decision(attempt, _followers(tune, again[number], index))
    raise NotWritable(
        f"the counts of {_name(chosen)} could not be placed so that they are read back as "
        "this rhythm: there may be too little room between its notes. Give the notes more room, "
        "or type the counts yourself"
    )


def _name(measure: Measure) -> str:
    return f"measure {measure.number}" if measure.number else "the pickup"


# Ways of writing ------------------------------------------------------------------------------

Placed = list[tuple[int, str]]


def _attempts(text: str, tune: Tune, chosen: Measure) -> Iterator[str]:
    """Texts that may say the chosen rhythm: as the rows stand, else with more room for words."""
    grid = tune.grid.measures[chosen.index]
    measures = list(tune.score.measures)
    measures[chosen.index] = chosen
    said = rhythm_words(replace(tune.score, measures=tuple(measures)), chosen)
    if not chosen.events[0].notes and (found := values(replace(chosen, events=chosen.events[1:]))):
        # Note values that do not fill the measure are read as its end.
        said.append((LineKind.DURATIONS, found))
    here = SystemText(text, tune.grid, grid)
    for kind, words in said:
        for placed in _placings(grid, chosen, words, kind):
            for apart in (False, True):
                yield here.with_words(kind, placed, apart)
    for kind, words in said:
        wider = here.widened(_room(grid, chosen, words))
        for each in _read_or_none(wider, tune, grid):
            there = SystemText(wider, *each)
            for placed in _placings(each[1], chosen, words, kind):
                for apart in (False, True):
                    yield there.with_words(kind, placed, apart)


def _read_or_none(text: str, tune: Tune, grid: GridMeasure) -> list[tuple[GridTune, GridMeasure]]:
    """The tune and the measure of a widened text, if they are still there."""
    try:
        found = [t.grid for t in read(text) if t.grid.first_line == tune.grid.first_line]
    except TabError:
        return []
    return [
        (t, t.measures[grid.index])
        for t in found
        if len(t.measures) == len(tune.grid.measures)
        and len(t.measures[grid.index].columns) == len(grid.columns)
    ]


def _placings(
    grid: GridMeasure, chosen: Measure, words: Sequence[tuple[Fraction, str]], kind: LineKind
) -> Iterator[Placed]:
    """Positions in the measure for the words: with the beats that are not struck, as far as there
    is room; with only their numbers; with none of them."""
    columns = _columns_by_onset(grid, chosen)
    struck = [(columns[onset].position, word) for onset, word in words if onset in columns]
    silent = [(onset, word) for onset, word in words if onset not in columns]
    tried: list[Placed] = []
    for left in (silent, [w for w in silent if w[1].isdigit()], []):
        placed = list(struck)
        if all(_squeeze_in(grid, columns, placed, onset, word) for onset, word in left):
            placed.sort()
            if placed not in tried and _fits(placed, kind):
                tried.append(placed)
                yield placed


def _fits(placed: Placed, kind: LineKind) -> bool:
    """No word runs into the next; note values and two numbers need a space between them."""
    for (at, word), (after, following) in itertools.pairwise(placed):
        gap = after - at - len(word)
        close = kind is LineKind.COUNTS and not (word[-1].isdigit() and following[0].isdigit())
        if gap < (0 if close else 1):
            return False
    return True


def _columns_by_onset(grid: GridMeasure, chosen: Measure) -> dict[Fraction, Column]:
    onsets = [event.onset for event in chosen.events if event.notes]
    return dict(zip(onsets, grid.columns, strict=True))


def _squeeze_in(
    grid: GridMeasure,
    columns: dict[Fraction, Column],
    placed: Placed,
    onset: Fraction,
    word: str,
) -> bool:
    """Place a count that no note has between its neighbours, out of their reach; False if there
    is no room for it."""
    before = max((o for o in columns if o < onset), default=None)
    after = min((o for o in columns if o > onset), default=None)
    first = 0 if before is None else columns[before].position + columns[before].width + _REACH
    last = grid.width if after is None else columns[after].position - _REACH
    # Counts go from left to right: stay right of those already placed between the two notes.
    for at, earlier in placed:
        if at < last and (before is None or at >= columns[before].position):
            first = max(first, at + len(earlier) + 1)
    if first + len(word) > last:
        return False
    start = Fraction(0) if before is None else before
    end = max(columns) + 1 if after is None else after
    left = 0 if before is None else columns[before].position
    right = grid.width if after is None else columns[after].position
    wish = left + round((right - left) * (onset - start) / (end - start))
    placed.append((max(first, min(wish, last - len(word))), word))
    return True


def _room(
    grid: GridMeasure, chosen: Measure, words: Sequence[tuple[Fraction, str]]
) -> list[tuple[Column | None, int]]:
    """Before which columns (None: before the bar) others must be put in so that every word has
    its place, and how many."""
    columns = _columns_by_onset(grid, chosen)
    found: list[tuple[Column | None, int]] = []
    needed = 0  # from the last note on, for its word and those that follow without a note
    last: Column | None = None
    for onset, word in words:
        column = columns.get(onset)
        if column is None:
            needed += len(word) + 2 * _REACH + 1
            continue
        have = column.position - (last.position if last else 0)
        if have < needed:
            found.append((column, needed - have))
        needed = max(len(word), column.width + _REACH) + 1
        last = column
    if last is not None and grid.width - last.position < needed:
        found.append((None, needed - (grid.width - last.position)))
    return found


# Reading back ---------------------------------------------------------------------------------


def _keeps(before: Sequence[Tune], after: Sequence[Tune], number: int, chosen: Measure) -> bool:
    """True if the chosen rhythm is read back and nothing else is lost or contradicted."""
    if len(before) != len(after):
        return False
    for position, (old, new) in enumerate(zip(before, after, strict=True)):
        if len(old.score.measures) != len(new.score.measures) or _words(old) != _words(new):
            return False
        if _new_doubts(old, new):
            return False
        for one, other in zip(old.score.measures, new.score.measures, strict=True):
            if _struck(one) != _struck(other):
                return False
            wanted = one
            if position == number and one.index == chosen.index:
                if not other.rhythm.sure:
                    return False
                wanted = chosen
            elif one.rhythm.source is not Source.WRITTEN or _place(one) == _place(chosen):
                continue
            if _timing(wanted) != _timing(other):
                return False
    return True


def _words(tune: Tune) -> tuple[Hashable, ...]:
    """The headings and the words of a tune."""
    return essence(tune.score)[:1]


def _timing(measure: Measure) -> tuple[Hashable, ...]:
    return (measure.length, tuple((e.onset, e.duration) for e in measure.events if e.notes))


def _place(measure: Measure) -> tuple[Hashable, ...]:
    """Where a measure was typed: a section that is played again has its measures twice."""
    return tuple(n.place for e in measure.events for n in e.notes)


def _struck(measure: Measure) -> tuple[Hashable, ...]:
    """A measure without its rhythm and without what is inferred from it."""
    notes = tuple(
        (event.sung, _graces(event), *(_plain(note) for note in event.notes))
        for event in measure.events
        if event.notes
    )
    chords = tuple(c.text for c in measure.chords if not c.inferred)
    frame = (measure.section, measure.ending, measure.left, measure.right, measure.times)
    return (notes, chords, frame, measure.jump, measure.fine)


def _graces(event: Event) -> tuple[Hashable, ...]:
    return tuple(tuple(replace(n, place=_NOWHERE) for n in group) for group in event.grace)


def _plain(note: Note) -> Note:
    """A note without its place and without the finger that was inferred for it."""
    finger = None if note.inferred_finger else note.finger
    return replace(note, place=_NOWHERE, finger=finger, inferred_finger=False)


def _new_doubts(old: Tune, new: Tune) -> bool:
    """True if the reader warns of anything that it did not warn of before; a measure of an odd
    length may be just what was chosen."""
    counted = [
        Counter(p.code for p in t.problems if p.severity is Severity.WARNING) for t in (old, new)
    ]
    return any(code != "measure-length" for code in counted[1] - counted[0])


def _followers(old: Tune, new: Tune, index: int) -> tuple[int, ...]:
    """Numbers of the other measures whose rhythm changed with the chosen one."""
    pairs = zip(old.score.measures, new.score.measures, strict=True)
    return tuple(
        other.number
        for one, other in pairs
        if one.index != index and _timing(one) != _timing(other)
    )
