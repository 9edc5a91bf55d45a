"""Passages that are written an octave lower under ``8va``: notes that would need more than four
ledger lines, and what stands beside them in the same height (Gould, Behind Bars, 2011, from
memory: an octave sign covers a passage, and no single notes where it can be helped)."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from msgspec import Struct

from rollstave.notating.notation import NotatedMeasure, Symbol

_TOP_LINE = 4  # steps over the middle line
_MOST_LEDGERS = 4
_NEAR_LEDGERS = 2  # notes with so many stay under the sign that a neighbour needs


class Passage(Struct, frozen=True):
    """The first and the last symbol of a passage: index of its measure, and its place there."""

    first: tuple[int, int]
    last: tuple[int, int]


def passages(
    measures: Sequence[NotatedMeasure], middle: int, starts: Collection[int] = ()
) -> list[Passage]:
    """The passages of a tune, in order. ``middle`` is the staff position of the middle line;
    ``starts`` are measures that begin a system, over whose beginning no passage reaches."""
    found: list[Passage] = []
    run: list[tuple[int, int]] = []
    needed = False
    for notated in measures:
        index = notated.measure.index
        if index in starts:
            _close(found, run, needed)
            run, needed = [], False
        for place, symbol in enumerate(notated.symbols):
            if symbol.is_rest:
                continue  # one inside a passage stays in it
            heights = list(_heights(symbol, middle))
            if min(heights) >= _TOP_LINE + 2 * _NEAR_LEDGERS:
                run.append((index, place))
                needed = needed or max(heights) >= _TOP_LINE + 2 * _MOST_LEDGERS + 2
            else:
                _close(found, run, needed)
                run, needed = [], False
    _close(found, run, needed)
    return found


def _close(found: list[Passage], run: Sequence[tuple[int, int]], needed: bool) -> None:
    if run and needed:
        found.append(Passage(run[0], run[-1]))


def _heights(symbol: Symbol, middle: int) -> Iterator[int]:
    for head in symbol.heads:
        yield head.note.pitch.staff_position - middle
    for group in symbol.grace:
        for grace in group:
            yield grace.note.pitch.staff_position - middle
