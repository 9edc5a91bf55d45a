"""Where systems break: at musical places, with about as many notes in each."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.model import Bar
from rollstave.score.notation import NotatedMeasure

# A system of four measures of eight eighth notes is full. A measure takes room for its symbols
# and a little for its bar.
_FULL = 4 * 8 + 4
_MOST_MEASURES = 5


def system_starts(measures: Sequence[NotatedMeasure]) -> tuple[int, ...]:
    """Indices of the measures that begin a system.

    Within each strain (up to a repeat, a double bar or a section name) the measures are spread
    evenly over as few systems as hold them, so that no system has one lonely measure. A pickup
    shares a system with what follows.
    """
    starts: list[int] = []
    for begin, end in _strains(measures):
        starts.extend(_balanced(measures, begin, end))
    return tuple(starts)


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
    return max(3, len(notated.symbols)) + 1


def _balanced(measures: Sequence[NotatedMeasure], begin: int, end: int) -> list[int]:
    """Break one strain into the fewest systems that hold it, evenly: dynamic programming over
    the squared distance of each system's weight from the mean."""
    weights = [_weight(m) for m in measures[begin:end]]
    starts: list[int] = []
    # A strain of thousands of measures is broken in stretches, to stay linear.
    position = 0
    while position < len(weights):
        stretch = weights[position : position + 64]
        starts.extend(begin + position + s for s in _break(stretch))
        position += 64
    return starts


def _break(weights: Sequence[int]) -> list[int]:
    count = len(weights)
    target = sum(weights) / max(1, -(-sum(weights) // _FULL))
    best: list[tuple[float, int]] = [(0.0, 0)] + [(float("inf"), 0)] * count
    for end in range(1, count + 1):
        load = 0
        for start in range(end - 1, max(-1, end - 2 * _MOST_MEASURES), -1):
            load += weights[start]
            size = end - start
            if size > 1 and (load > _FULL + 4 or size > _MOST_MEASURES + 1):
                break
            cost = best[start][0] + (load - target) ** 2
            if size == 1 and count > 1:
                cost += 200.0
            if size % 2:
                cost += 8.0
            if cost < best[end][0]:
                best[end] = (cost, start)
    starts = []
    at = count
    while at > 0:
        at = best[at][1]
        starts.append(at)
    return starts[::-1]
