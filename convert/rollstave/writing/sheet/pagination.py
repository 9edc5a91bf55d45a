"""Systems on pages: how far apart they stand, and how many each page holds.

The lines of two systems are at least twice as far from each other as those of a staff and its tab,
so that the eye takes staff and tab together (Gould, Behind Bars, 2011, from memory: the space
between systems is clearly wider than that within them). Words that are sung stand between the two
staves and do not count. Lengths are in units.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from msgspec import Struct

from rollstave.writing.sheet.engraving import System

TIMES = 2.0  # how many times as far apart as staff and tab
_APART = 1_150.0  # between the lines of two systems, at least
# The share of that distance that is enough where each system has a heading, which parts it from the
# one before, and where that saves a page: a sheet of exercises.
_HEADED = 0.75
_AIR = 320.0  # between what is drawn under one system and over the next
_SPREAD, _SPREAD_OF_MANY = 500.0, 850.0  # what a page may add to each gap, to be filled
_SPREAD_BEFORE_SHORT = 440.0  # where the last page has fewer systems, and shows how they stand
_UNDER_HEAD = 500.0  # and under the head, where more pages follow
_LONELY = 1.0  # what it costs a page to hold one system alone
_LAST = 0.5  # how much the room that a last page leaves counts, beside that of a page before it
_INSIDE = 0.06  # and to begin in the middle of a section


class Placed(Struct):
    """A system and the height on its page where its top comes."""

    system: System
    y: float

    @property
    def end(self) -> float:
        return self.y + height_of(self.system)


class Room(Struct, frozen=True):
    """The page: where its first and its later pages begin, where they end, and what stands under
    the last system."""

    first_top: float
    top: float
    bottom: float
    tail: float


def height_of(system: System) -> float:
    return system.bottom - system.top


def inside(system: System) -> float:
    """How far apart the staff and the tab of a system are, without the words between them; 0 for
    a staff alone."""
    if system.staff is None or system.tab is None:
        return 0.0
    return system.tab.heights[0] - system.staff.heights[-1] - system.sung


def gap_between(upper: System, lower: System, share: float = 1.0) -> float:
    """The least room between what is drawn of two systems; ``share`` of the usual distance of their
    lines."""
    lines = share * max(_APART, TIMES * max(inside(upper), inside(lower)))
    below = upper.bottom - upper.last.heights[-1]
    above = lower.first.heights[0] - lower.top
    return max(share * _AIR, lines - below - above)


def gaps_of(systems: Sequence[System], share: float = 1.0) -> list[float]:
    """The least room before each system; none before the first."""
    return [0.0, *(gap_between(upper, lower, share) for upper, lower in pairwise(systems))]


def stacked(systems: Sequence[System], top: float, share: float = 1.0) -> list[Placed]:
    """Systems one under the other, as near as they may be."""
    placed: list[Placed] = []
    y = top
    for system, gap in zip(systems, gaps_of(systems, share), strict=True):
        y += gap
        placed.append(Placed(system, y))
        y += height_of(system)
    return placed


def distribute(systems: Sequence[System], room: Room, opens: Sequence[bool]) -> list[list[Placed]]:
    """Put systems on as few pages as hold them, as much on each as on the others. ``opens`` says
    of each system whether a section begins with it."""
    heights, share = [height_of(s) for s in systems], 1.0
    sizes = balanced(heights, gaps_of(systems), room, opens)
    if len(sizes) > 1 and all(opens):
        nearer = balanced(heights, gaps_of(systems, _HEADED), room, opens)
        if len(nearer) < len(sizes):
            sizes, share = nearer, _HEADED
    result: list[list[Placed]] = []
    begin, spread = 0, _SPREAD
    if len(sizes) > 1:
        spread = _SPREAD_OF_MANY if sizes[-1] == max(sizes) else _SPREAD_BEFORE_SHORT
    for position, size in enumerate(sizes):
        last = position + 1 == len(sizes)
        top = room.first_top if position == 0 else room.top
        placed = stacked(systems[begin : begin + size], top, share)
        free = room.bottom - (room.tail if last else 0.0) - placed[-1].end
        more = max(0.0, min(spread, free / (size - 1))) if size > 1 else 0.0
        left = free - (size - 1) * more
        lower = max(0.0, min(_UNDER_HEAD, left / 2)) if position == 0 and not last else 0.0
        for row, item in enumerate(placed):
            item.y += lower + row * more
        if size > 1:
            spread = more  # the last page is not wider than those before it
        result.append(placed)
        begin += size
    return result


def balanced(
    heights: Sequence[float], gaps: Sequence[float], room: Room, opens: Sequence[bool]
) -> list[int]:
    """How many systems each page takes: as few pages as possible, then pages that are as full as
    each other, by dynamic programming: facing ones are seen together. A system that is higher than
    a page has one of its own."""
    count = len(heights)
    # best[end]: pages, unevenness, and where the last of these pages begins.
    best: list[tuple[int, float, int]] = [(0, 0.0, 0)]
    for end in range(1, count + 1):
        found: tuple[int, float, int] | None = None
        load = room.tail if end == count else 0.0
        for begin in range(end - 1, -1, -1):
            load += heights[begin] + (gaps[begin + 1] if begin + 1 < end else 0.0)
            space = room.bottom - (room.first_top if begin == 0 else room.top)
            if load > space and end - begin > 1:
                break
            free = max(0.0, (space - load) / room.bottom)
            cost = best[begin][1] + free**2 * (_LAST if end == count else 1.0)
            if end - begin == 1 and count > 1:
                cost += _LONELY
            if begin and not opens[begin]:
                cost += _INSIDE
            candidate = (best[begin][0] + 1, cost, begin)
            if found is None or candidate < found:
                found = candidate
        assert found is not None
        best.append(found)
    sizes: list[int] = []
    end = count
    while end > 0:
        sizes.append(end - best[end][2])
        end = best[end][2]
    return sizes[::-1]
