"""Passages that are written an octave lower under ``8va``: notes that would need more than three
ledger lines, and what stands beside them in the same height (Gould, Behind Bars, 2011, from
memory: an octave sign covers a passage, and no single notes where it can be helped)."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from msgspec import Struct

from rollstave.notating.notation import NotatedMeasure, Symbol

_TOP_LINE = 4  # steps over the middle line
_MOST_LEDGERS = 3
_NEAR_LEDGERS = 2  # notes with so many stay under the sign that a neighbour needs
# So many lower notes may stand inside a passage, an open string between two high ones, so that the
# sign does not end and begin again within a measure; none under the middle line.
_BRIDGED, _LOWEST = 2, 0


class Passage(Struct, frozen=True):
    """The first and the last symbol of a passage: index of its measure, and its place there."""

    first: tuple[int, int]
    last: tuple[int, int]


class _Run(Struct):
    """Symbols in one height, and how many lower ones stand before it; -1 for more than may stand
    inside a passage."""

    places: list[tuple[int, int]]
    needed: bool
    lower: int


def passages(
    measures: Sequence[NotatedMeasure], middle: int, starts: Collection[int] = ()
) -> list[Passage]:
    """The passages of a tune, in order. ``middle`` is the staff position of the middle line;
    ``starts`` are measures that begin a system, over whose beginning no passage reaches."""
    runs: list[_Run] = []
    lower = -1  # since the last run
    inside = False
    for notated in measures:
        index = notated.measure.index
        if index in starts or notated.voices:
            lower, inside = -1, False
        if notated.voices:
            continue  # the sign would stand for both voices: they are written as they are
        for place, symbol in enumerate(notated.symbols):
            if symbol.is_rest:
                continue  # one inside a passage stays in it
            heights = list(_heights(symbol, middle))
            if min(heights) >= _TOP_LINE + 2 * _NEAR_LEDGERS:
                if not inside:
                    runs.append(_Run([], False, lower))
                inside = True
                runs[-1].places.append((index, place))
                runs[-1].needed |= _needed(symbol, middle)
                continue
            if inside:
                lower, inside = 0, False
            low = min(heights) < _LOWEST or lower < 0 or lower == _BRIDGED
            lower = -1 if low else lower + 1
    return [_whole_beams(measures, middle, passage) for passage in _joined(runs)]


def _whole_beams(measures: Sequence[NotatedMeasure], middle: int, passage: Passage) -> Passage:
    """A passage with the beams at its ends whole where all of their notes stand over the staff,
    and without one at its end of which it has some notes and needs none: no beam is read in two
    heights."""
    (begins, first), (ends, last) = passage.first, passage.last
    whole = _beam_of(measures[begins], first)
    if _all_high(measures[begins], range(whole.start, first + 1), middle):
        first = whole.start
    whole = _beam_of(measures[ends], last)
    if _all_high(measures[ends], range(last, whole.stop), middle):
        last = whole.stop - 1
    else:
        inside = range(max(whole.start, first if begins == ends else 0), last + 1)
        needed = any(_needed(measures[ends].symbols[place], middle) for place in inside)
        if not needed and inside.start == 0 and begins < ends:
            ends -= 1
            last = len(measures[ends].symbols) - 1
        elif not needed and (begins, first) < (ends, inside.start):
            last = inside.start - 1
    return Passage((begins, first), (ends, last))


def _beam_of(notated: NotatedMeasure, place: int) -> range:
    """The places of the symbols that have one beam with this one."""
    symbols, start, stop = notated.symbols, place, place + 1
    beam = symbols[place].beam
    while beam is not None and start and symbols[start - 1].beam == beam:
        start -= 1
    while beam is not None and stop < len(symbols) and symbols[stop].beam == beam:
        stop += 1
    return range(start, stop)


def _all_high(notated: NotatedMeasure, places: range, middle: int) -> bool:
    return all(min(_heights(notated.symbols[p], middle)) >= _TOP_LINE for p in places)


def _needed(symbol: Symbol, middle: int) -> bool:
    heights = list(_heights(symbol, middle))
    return max(heights, default=0) >= _TOP_LINE + 2 * _MOST_LEDGERS + 2


def _joined(runs: Sequence[_Run]) -> list[Passage]:
    """Runs with the lower notes between them, where they are few, as one passage."""
    joined: list[_Run] = []
    for run in runs:
        if joined and run.lower >= 0:
            joined[-1].places += run.places
            joined[-1].needed |= run.needed
        else:
            joined.append(run)
    return [Passage(run.places[0], run.places[-1]) for run in joined if run.needed]


def _heights(symbol: Symbol, middle: int) -> Iterator[int]:
    for head in symbol.heads:
        yield head.note.pitch.staff_position - middle
    for group in symbol.grace:
        for grace in group:
            yield grace.note.pitch.staff_position - middle
