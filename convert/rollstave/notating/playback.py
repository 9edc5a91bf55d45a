"""What sounds when: repeats and endings played out, the time that grace notes take."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rollstave.grid.typed import Bar
from rollstave.score.records import Event, Measure


def play_order(measures: Sequence[Measure]) -> tuple[int, ...]:
    """Indices of measures as played. A repeat goes back to the last repeat start, or to the
    beginning (after a pickup that is complemented), once or as often as was said; endings are
    taken by pass. A jump (D.C., D.S.) is made once, after all repeats.
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
        if measure.jump is not None:
            order.extend(_second_pass(measures, position))
            break
        if measure.right is Bar.REPEAT_END:
            if not _ending_follows(measures, position, turn):
                start, turn = position + 1, 1
        elif measure.ending_stop and turn > 1:
            start, turn = position + 1, 1
        position += 1
    return tuple(order)


_GRACE, _MOST_GRACE = Fraction(1, 8), Fraction(1, 3)


def grace_time(event: Event) -> Fraction:
    """How long each group of grace notes before an event sounds, in quarter notes: a
    thirty-second, but all together no more than a third of the event, from which they take their
    time, since they begin on its beat (one of the usual ways to play them; the lengths are ours).
    """
    if not event.grace:
        return Fraction(0)
    return min(_GRACE, event.duration * _MOST_GRACE / len(event.grace))


def _passes(measures: Sequence[Measure], start: int, end: int) -> int:
    """How often a repeat is played: twice, or as often as its endings name."""
    numbers = [1]
    for measure in measures[start : end + 2]:
        if measure.in_ending:
            numbers.extend(int(n) for n in measure.in_ending.split(",") if n.isdecimal())
    return max(2, measures[end].times or 0, *numbers)


def _second_pass(measures: Sequence[Measure], jump: int) -> list[int]:
    """After D.C. from the beginning, after D.S. from the segno, without repeats, with the last
    endings: up to Fine, or to the coda, or to where the jump stands (common practice)."""
    words = (measures[jump].jump or "").lower()
    start = 0
    if words.startswith("d.s."):
        start = next((i for i, m in enumerate(measures) if m.segno), 0)
    to_coda = "coda" in words or ("fine" not in words and any(m.to_coda for m in measures))
    order: list[int] = []
    for position in range(start, jump + 1):
        ending = measures[position].in_ending
        if ending is not None and _ending_follows_with_other(measures, position, ending):
            continue
        order.append(position)
        if measures[position].fine and not to_coda:
            break
        if measures[position].to_coda and to_coda:
            break
    if to_coda:
        coda = next((i for i, m in enumerate(measures) if m.coda), None)
        if coda is not None and coda > start:
            order.extend(range(coda, len(measures)))
    return order


def _ending_follows_with_other(measures: Sequence[Measure], position: int, ending: str) -> bool:
    """True if a further ending comes right after this one."""
    while position < len(measures) and measures[position].in_ending == ending:
        position += 1
    return position < len(measures) and measures[position].in_ending is not None


def _ending_follows(measures: Sequence[Measure], position: int, turn: int) -> bool:
    return position + 1 < len(measures) and measures[position + 1].in_ending is not None
