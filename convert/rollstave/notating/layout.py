"""Where systems break: at musical places, with about as many notes in each."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.typed import Bar
from rollstave.notating.notation import NotatedMeasure

# A system of four measures of eight eighth notes is full. A measure takes room for its symbols
# and a little for its bar.
_FULL = 4 * 8 + 4
_MOST_MEASURES = 8
# What it costs to give a system so many measures: phrases have four, then two. Our choice.
_SIZE_COST = {1: 200.0, 2: 6.0, 3: 8.0, 4: 0.0, 5: 6.0, 6: 5.0, 7: 12.0, 8: 3.0}
_EMPTY_COST = 20.0  # for a system with nothing in it; grows with the square of what is missing
_LOOSE = 0.2  # a system that lacks so much of being full looks full
_PHRASE = 4  # measures
_FRONT = 0.08  # the share of a line that clef and signature take, about
_RAGGED = 0.72  # a system that needs no more of its line than this is not stretched to its end
_LEAST_SHARE = 0.3
_SHORT_INSIDE = 4.0  # a short system is better at the end of a strain than inside it


def system_starts(measures: Sequence[NotatedMeasure], room: float = 1.0) -> tuple[int, ...]:
    """Indices of the measures that begin a system ``room`` times as wide as usual.

    Within each strain (up to a repeat, a double bar or a section name) systems have four measures
    where they fit, and never one lonely measure if another can join it. A pickup shares a system
    with what follows.
    """
    starts: list[int] = []
    for begin, end in _strains(measures):
        starts.extend(_balanced(measures, begin, end, round(_FULL * room)))
    return tuple(starts)


def system_shares(
    measures: Sequence[NotatedMeasure], starts: Sequence[int], room: float = 1.0
) -> tuple[float, ...]:
    """What share of the line each system should fill: 1, or less for a short system.

    A system with much less in it than the others (a second ending of two measures) keeps the
    spacing of the others and ends where it ends, instead of being stretched (common practice).
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
    found = []
    for load in loads:
        share = _FRONT + (1 - _FRONT) * load / usual
        found.append(max(_LEAST_SHARE, share) if share <= _RAGGED else 1.0)
    return tuple(found)


def _strains(measures: Sequence[NotatedMeasure]) -> list[tuple[int, int]]:
    """Spans of measures after which a system may well end; short ones join the next."""
    spans: list[tuple[int, int]] = []
    begin = 0
    for index, notated in enumerate(measures):
        last = index + 1 == len(measures)
        after = None if last else measures[index + 1].measure
        closes = notated.measure.right in (Bar.REPEAT_END, Bar.DOUBLE, Bar.FINAL)
        opens = after is not None and (after.left is Bar.REPEAT_START or after.section is not None)
        if last or ((closes or opens) and after is not None and after.in_ending is None):
            if spans and index + 1 - begin < 2:
                spans[-1] = (spans[-1][0], index + 1)
            else:
                spans.append((begin, index + 1))
            begin = index + 1
    if len(spans) > 1 and spans[0][1] < 2:
        spans[:2] = [(0, spans[1][1])]
    return spans


def _weight(notated: NotatedMeasure) -> int:
    grace = sum(len(symbol.grace) for symbol in notated.symbols)
    return max(3, len(notated.symbols)) + 1 + grace


def _is_pickup(notated: NotatedMeasure) -> bool:
    return notated.measure.index == 0 and notated.measure.implicit


def _balanced(measures: Sequence[NotatedMeasure], begin: int, end: int, full: int) -> list[int]:
    """Break one strain at the lowest cost, by dynamic programming: phrases of four measures,
    systems that are filled."""
    weights = [(_weight(m), 0 if _is_pickup(m) else 1) for m in measures[begin:end]]
    starts: list[int] = []
    # A strain of thousands of measures is broken in stretches, to stay linear.
    position = 0
    while position < len(weights):
        stretch = weights[position : position + 64]
        starts.extend(begin + position + s for s in _break(stretch, full))
        position += 64
    return starts


def _break(weights: Sequence[tuple[int, int]], full: int) -> list[int]:
    count = len(weights)
    best: list[tuple[float, int]] = [(0.0, 0)] + [(float("inf"), 0)] * count
    for end in range(1, count + 1):
        load = size = 0
        for start in range(end - 1, max(-1, end - _MOST_MEASURES - 1), -1):
            load += weights[start][0]
            size += weights[start][1]  # a pickup is no measure of its own
            # A pickup or one note too many may squeeze in; a wide measure stands alone.
            if size > 1 and load > full + 4:
                break
            missing = max(0.0, (full - load) / full - _LOOSE)
            cost = best[start][0] + _EMPTY_COST * missing**2
            cost += _SIZE_COST[max(1, size)] if count > 1 else 0.0
            cost += _SHORT_INSIDE if size < 4 and end < count else 0.0
            if cost < best[end][0]:
                best[end] = (cost, start)
    starts = []
    at = count
    while at > 0:
        at = best[at][1]
        starts.append(at)
    return starts[::-1]
