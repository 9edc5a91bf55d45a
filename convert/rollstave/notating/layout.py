"""Where systems break: at musical places, with about as many notes in each."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from rollstave.grid.typed import Bar
from rollstave.notating.notation import NotatedMeasure, Symbol
from rollstave.score.records import Measure

# A system of four measures of eight eighth notes is full. A measure takes room for its symbols
# and a little for its bar.
_FULL = 4 * 8 + 4
_MOST_MEASURES = 8
# The room of a letter of a chord name and of a syllable, and of another character on the tab, where
# that of a plain note is 1, which on a full system is about 5 mm.
_CHORD_LETTER, _SUNG_LETTER, _WIDE = 0.4, 0.31, 0.35
# What it costs to give a system so many measures: phrases have four, then two. Our choice.
_SIZE_COST = {1: 200.0, 2: 6.0, 3: 8.0, 4: 0.0, 5: 6.0, 6: 7.0, 7: 90.0, 8: 3.0}
# And to end one so many measures into a phrase of four.
_BREAK_COST = {0: 0.0, 1: 15.0, 2: 2.0, 3: 15.0}
_SQUEEZE = 1.12  # a pickup or one note too many may squeeze in
_PHRASE_SQUEEZE = 1.23  # and a phrase, so that no system of two stands over one of four
_TIGHT = 1.2  # times that, where it saves a page
_LEFT_OVER = 2  # measures by themselves, that this is done for
_A_SYSTEM = 30.0  # there, more than phrases that are broken up
_CROWDED = 24.0  # and less than one of six whose letters stand shoulder to shoulder
_TYPED_SQUEEZE = 1.3  # and more where the typist's line is kept
_EMPTY_COST = 20.0  # for a system with nothing in it; grows with the square of what is missing
_LOOSE = 0.2  # a system that lacks so much of being full looks full
_PHRASE = 4  # measures
_FRONT = 0.08  # the share of a line that clef and signature take, about
_RAGGED = 0.72  # a system that needs no more of its line than this is not stretched to its end
_RAGGED_INSIDE = 0.6  # nor one before the last, whose end would stand between full lines
_LEAST_SHARE = 0.3
_DENSE = 0.86  # the width of a system that ends where it ends, in that of one on a full line
_LEAST_FULL = 0.5  # a system with no more in it than this is not stretched, whatever the others are
_SHORT_INSIDE = 4.0  # a short system is better at the end of a strain than inside it


def system_starts(
    measures: Sequence[NotatedMeasure],
    room: float = 1.0,
    as_typed: bool = False,
    one_page: int = 0,
) -> tuple[int, ...]:
    """Indices of the measures that begin a system ``room`` times as wide as usual.

    Within each strain (up to a repeat, a double bar or a section name) systems have four measures
    where they fit, and never one lonely measure if another can join it. A pickup shares a system
    with what follows. ``as_typed`` begins a system where the typist began one; a line that does
    not fit is broken within. Where these would be more than the systems that ``one_page`` holds,
    and no more if a strain that leaves a short system over is shared out among fuller ones
    (ten measures on two lines), the tune has those.
    """
    full = _FULL * room
    if not as_typed and one_page:
        loose = system_starts(measures, room)
        sizes = [b - a for a, b in pairwise((*loose, len(measures)))]
        if len(loose) <= one_page or min(sizes, default=0) > _LEFT_OVER:
            return loose
        tight = [
            start
            for begin, end in _strains(measures)
            for start in _balanced(measures, begin, end, full * _TIGHT, _A_SYSTEM)
        ]
        return loose if len(tight) > one_page else tuple(tight)
    starts: list[int] = []
    for begin, end in _typed(measures) if as_typed else _strains(measures):
        load = sum(_weight(m) for m in measures[begin:end])
        if as_typed and load <= full * _TYPED_SQUEEZE:
            starts.append(begin)
        else:
            starts.extend(_balanced(measures, begin, end, full))
    return tuple(starts)


def system_shares(
    measures: Sequence[NotatedMeasure],
    starts: Sequence[int],
    room: float = 1.0,
    natural: bool = False,
) -> tuple[float, ...]:
    """What share of the line each system should fill: 1, or less for a short system.

    A system with much less in it than the others (a second ending of two measures) keeps the
    spacing of the others and ends where it ends, instead of being stretched (common practice).
    Where they are ``natural``, so does every system with less in it than a full one.
    """
    ends = (*starts[1:], len(measures))
    loads = [
        sum(_weight(m) for m in measures[start:end])
        for start, end in zip(starts, ends, strict=True)
    ]
    sizes = [end - start for start, end in zip(starts, ends, strict=True)]
    usual = float(sorted(loads)[len(loads) // 2]) if loads else 1.0
    if len(loads) < 3:
        usual = max(usual, float(max(loads, default=1)))
    if len(loads) == 1 and sizes[0] < _PHRASE:
        usual = max(usual, _FULL * room)
    full = _FULL * room
    usual = full / _DENSE if natural else max(usual, _LEAST_FULL * full)
    # Beside lines that are fuller, so that the tune has one page, one of a phrase is a full one.
    tight = not natural and max(loads, default=0.0) > full * _SQUEEZE
    found = []
    for place, (load, size) in enumerate(zip(loads, sizes, strict=True), start=1):
        share = _FRONT + (1 - _FRONT) * load / usual
        most = _RAGGED if natural or place == len(loads) else _RAGGED_INSIDE
        short = share <= most and not (tight and size >= _PHRASE)
        found.append(max(_LEAST_SHARE, share) if short else 1.0)
    return tuple(found)


def fuller_of(
    measures: Sequence[NotatedMeasure], others: Sequence[NotatedMeasure]
) -> tuple[NotatedMeasure, ...]:
    """Of two versions that stand under each other, each measure that takes more room."""
    return tuple(max(pair, key=_weight) for pair in zip(measures, others, strict=True))


def _typed(measures: Sequence[NotatedMeasure]) -> list[tuple[int, int]]:
    """Spans of measures that were typed in one system."""
    begins = [
        index
        for index, notated in enumerate(measures)
        if not index or notated.measure.system != measures[index - 1].measure.system
    ]
    return list(zip(begins, (*begins[1:], len(measures)), strict=True))


def _strains(measures: Sequence[NotatedMeasure]) -> list[tuple[int, int]]:
    """Spans of measures after which a system may well end; short ones join the next, except where
    a heading was typed over a system: it stays over the beginning of one."""
    spans: list[tuple[int, int]] = []
    begin = 0
    headed = False  # whether what begins at ``begin`` is headed so
    for index, notated in enumerate(measures):
        last = index + 1 == len(measures)
        after = None if last else measures[index + 1].measure
        closes = notated.measure.right in (Bar.REPEAT_END, Bar.DOUBLE, Bar.FINAL)
        opens = after is not None and (after.left is Bar.REPEAT_START or after.section is not None)
        if last or ((closes or opens) and after is not None and after.in_ending is None):
            if spans and index + 1 - begin < 2 and not headed:
                spans[-1] = (spans[-1][0], index + 1)
            else:
                spans.append((begin, index + 1))
            begin = index + 1
            headed = after is not None and _heads_system(measures[index].measure, after)
    first = measures[: spans[0][1]]
    if len(spans) > 1 and len(first) < 2:
        after = measures[spans[1][0]].measure
        if _is_pickup(first[0]) or not _heads_system(first[0].measure, after):
            spans[:2] = [(0, spans[1][1])]
    return spans


def _heads_system(before: Measure, measure: Measure) -> bool:
    """True for a measure with a section's name that began a system where it was typed."""
    return measure.section is not None and measure.system != before.system


def _weight(notated: NotatedMeasure) -> float:
    """The room that a measure takes, where a plain note takes 1: for its notes or its words,
    whichever need more, and for its bar."""
    grace = sum(len(symbol.grace) for symbol in notated.symbols)
    notes = sum(_breadth(symbol) for symbol in notated.symbols) + grace
    chords = sum(len(c.text) + 0.5 for c in notated.measure.chords) * _CHORD_LETTER
    verses: dict[int, float] = {}
    for event in notated.measure.events:
        for verse, syllable in event.sung:
            verses[verse] = verses.get(verse, 0.0) + (len(syllable) + 0.5) * _SUNG_LETTER
    return max(3.0, notes, chords, *verses.values()) + 1


def _breadth(symbol: Symbol) -> float:
    """The room of a symbol: more than that of a note, where frets of two digits or in brackets
    stand on the tab."""
    wide = 1.0
    for head in symbol.heads:
        note = head.note
        around = 1.2 * note.harmonic + note.ghost + head.held
        wide = max(wide, len(note.fret_text) + around)
    return 1 + _WIDE * max(0.0, wide - 1.7)


def _is_pickup(notated: NotatedMeasure) -> bool:
    return notated.measure.index == 0 and notated.measure.implicit


def _balanced(
    measures: Sequence[NotatedMeasure], begin: int, end: int, full: float, each: float = 0.0
) -> list[int]:
    """Break one strain at the lowest cost, by dynamic programming: phrases of four measures,
    systems that are filled. ``each`` is what a system costs besides."""
    weights = [(_weight(m), 0 if _is_pickup(m) else 1) for m in measures[begin:end]]
    starts: list[int] = []
    # A strain of thousands of measures is broken in stretches, to stay linear. The first has the
    # pickup, which is no measure of its phrase.
    position, size = 0, 64 + (not weights[0][1])
    while position < len(weights):
        stretch = weights[position : position + size]
        starts.extend(begin + position + s for s in _break(stretch, full, each))
        position, size = position + size, 64
    return starts


def _break(weights: Sequence[tuple[float, int]], full: float, each: float) -> list[int]:
    count = len(weights)
    best: list[tuple[float, int]] = [(0.0, 0)] + [(float("inf"), 0)] * count
    pickup = int(not weights[0][1])
    for end in range(1, count + 1):
        load, size = 0.0, 0
        here = _BREAK_COST[(end - pickup) % _PHRASE] if end < count else 0.0
        for start in range(end - 1, max(-1, end - _MOST_MEASURES - 1), -1):
            load += weights[start][0]
            size += weights[start][1]  # a pickup is no measure of its own
            # A wide measure stands alone.
            if size > 1 and load > full * (_PHRASE_SQUEEZE if size == _PHRASE else _SQUEEZE):
                break
            missing = max(0.0, (full - load) / full - _LOOSE)
            cost = best[start][0] + here + each + _EMPTY_COST * missing**2
            cost += _SIZE_COST[max(1, size)] if count > 1 else 0.0
            cost += _CROWDED if each and size > _PHRASE + 1 and load > full else 0.0
            cost += _SHORT_INSIDE if size < 4 and end < count else 0.0
            if cost < best[end][0]:
                best[end] = (cost, start)
    starts = []
    at = count
    while at > 0:
        at = best[at][1]
        starts.append(at)
    return starts[::-1]
