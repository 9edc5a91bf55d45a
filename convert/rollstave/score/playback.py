"""The order in which measures sound: repeats and endings played out."""

from __future__ import annotations

from collections.abc import Sequence

from rollstave.grid.model import Bar
from rollstave.score.model import Measure


def play_order(measures: Sequence[Measure]) -> tuple[int, ...]:
    """Indices of measures as played. A repeat goes back to the last repeat start, or to the
    beginning (after a pickup that is complemented), once; endings are taken by pass.
    """
    order: list[int] = []
    start = 0
    position = 0
    turn = 1
    total = len(measures)
    while position < total:
        measure = measures[position]
        if measure.left is Bar.REPEAT_START and position != start:
            start, turn = position, 1
        if measure.in_ending is not None and str(turn) not in measure.in_ending.split(","):
            position += 1
            continue
        order.append(position)
        if measure.right is Bar.REPEAT_END and turn < _passes(measures, start, position):
            turn += 1
            position = start
            continue
        if measure.right is Bar.REPEAT_END:
            if not _ending_follows(measures, position, turn):
                start, turn = position + 1, 1
        elif measure.ending_stop and turn > 1:
            start, turn = position + 1, 1
        position += 1
    return tuple(order)


def _passes(measures: Sequence[Measure], start: int, end: int) -> int:
    """How often a repeat is played: twice, or as often as its endings name."""
    numbers = [1]
    for measure in measures[start : end + 2]:
        if measure.in_ending:
            numbers.extend(int(n) for n in measure.in_ending.split(",") if n.isdigit())
    return max(2, *numbers)


def _ending_follows(measures: Sequence[Measure], position: int, turn: int) -> bool:
    return position + 1 < len(measures) and measures[position + 1].in_ending is not None
