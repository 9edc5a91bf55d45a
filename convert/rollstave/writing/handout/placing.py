"""Which items stand on which page, and where.

All ways to part a hand-out into pages are weighed at once, so that no page ends early for the sake
of the one after it, and what belongs together is parted last. What a page has over is shared out
among its headings. Lengths are in units.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from msgspec import Struct

from rollstave.writing.handout.blocks import Item

Placed = list[tuple[Item, float]]  # items and the heights where they begin

_PAGE = 0.6  # what one more page costs, where an empty one costs 1
_LAST = 0.5  # how much the free room of a last page counts, where that of others counts 1
_LONELY = 0.5  # what it costs that a page has one thing alone
_PART = 0.06  # what is won where a part begins a page
_UNDER_HEAD = 300.0
_HEADING = 380.0  # room over an item from which on it may be wider
_WIDER = 0.9  # by what share of itself, at most


class Sizes(Struct, frozen=True):
    """Of the pages: where the first and the others begin, where all end, and what stands under the
    last item."""

    first: float
    top: float
    bottom: float
    tail: float

    def room(self, first: bool) -> float:
        return self.bottom - (self.first + _UNDER_HEAD if first else self.top)


def placed(items: Sequence[Item], sizes: Sizes) -> list[Placed]:
    """Items with their heights, page by page."""
    chunks = list(_chunks(items, sizes))
    starts = _starts(chunks, sizes)
    pages: list[Placed] = []
    for begin, end in pairwise([*starts, len(chunks)]):
        inside = [item for chunk in chunks[begin:end] for item in chunk]
        last = end == len(chunks) or chunks[end][0].new_page
        tail = sizes.tail if end == len(chunks) else 0.0
        pages.append(_on_page(inside, sizes, tail, first=not pages, last=last))
    return pages


def _chunks(items: Sequence[Item], sizes: Sizes) -> Iterator[list[Item]]:
    """Items that stand on one page together; what is higher than a page is parted where it must."""
    chunk: list[Item] = []
    first = True
    for item in items:
        if chunk and not (chunk[-1].keep and _height([*chunk, item]) <= sizes.room(first)):
            yield chunk
            chunk, first = [], False
        chunk.append(item)
    if chunk:
        yield chunk


def _height(items: Sequence[Item]) -> float:
    """From the top of the first item to the bottom of the last."""
    return sum(i.height for i in items) + sum(i.above for i in items[1:])


def _starts(chunks: Sequence[Sequence[Item]], sizes: Sizes) -> list[int]:
    """The chunk that each page begins with: the best way to part them, by dynamic programming."""
    heights = [_height(chunk) for chunk in chunks]
    best: list[tuple[float, int]] = [(0.0, 0)]
    for end in range(1, len(chunks) + 1):
        ways: list[tuple[float, int]] = []
        used = sizes.tail if end == len(chunks) else 0.0
        for begin in range(end - 1, -1, -1):
            used += heights[begin] + (chunks[begin + 1][0].above if begin + 1 < end else 0.0)
            room = sizes.room(begin == 0)
            if used > room and ways:
                break
            cost = _cost(chunks, begin, end, max(0.0, 1 - used / room))
            ways.append((best[begin][0] + cost, begin))
            if chunks[begin][0].new_page:
                break
        best.append(min(ways))
    starts: list[int] = []
    at = len(chunks)
    while at:
        at = best[at][1]
        starts.append(at)
    return starts[::-1]


def _cost(chunks: Sequence[Sequence[Item]], begin: int, end: int, free: float) -> float:
    """What a page costs that holds these chunks and has this share of it left."""
    alone = end - begin == 1 and sum(item.line for item in chunks[begin]) < 2
    cost = _PAGE + _LONELY * alone * free
    if end == len(chunks) or chunks[end][0].new_page:
        return cost + _LAST * free**2
    return cost + free**2 + chunks[end - 1][-1].apart - _PART * chunks[end][0].opens


def _on_page(
    items: Sequence[Item], sizes: Sizes, tail: float, *, first: bool, last: bool
) -> Placed:
    """The items of a page at their heights, those with a heading further apart where there is
    room; not where the page ends early anyway."""
    room = sizes.room(first)
    free = max(0.0, room - _height(items) - tail)
    wide = [_WIDER * i.above * (i.above >= _HEADING) for i in items[1:]]
    share = min(1.0, free / sum(wide)) if sum(wide) and not (last and free > sum(wide)) else 0.0
    y = sizes.bottom - room
    found: Placed = []
    for item, more in zip(items, (0.0, *wide), strict=True):
        y += item.above + share * more if found else 0.0
        found.append((item, y))
        y += item.height
    return found
