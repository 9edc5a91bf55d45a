"""What sounds when: repeats and endings played out, the time that grace notes take."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from rollstave.grid.typed import Bar
from rollstave.problems import Place, ProblemList
from rollstave.score.records import Event, Measure
from rollstave.score.wanted import wanted
from rollstave.vocabulary import problems as kinds

MOST_PASSES = 24  # of a repeat; ours: more is a slip of typing, and would make a file of any size


_ATTEMPTS = 3  # after which all endings that no pass takes are given up at once


def play_order(measures: Sequence[Measure]) -> tuple[int, ...]:
    """Indices of measures as played. A repeat goes back to the last repeat start, or to the
    beginning (after a pickup that is complemented), once or as often as was said, up to
    :data:`MOST_PASSES`; endings are taken by pass. A jump (D.C., D.S.) is made once, after all
    repeats. An ending that no pass would take (a second without a first) is played where it
    stands.
    """
    wanted(measures, Sequence, "the measures of a score are played")
    endings = [m.in_ending for m in measures]
    attempts = 0
    while True:
        order = _walk(measures, endings)
        played = set(order)
        skipped = [i for i, e in enumerate(endings) if e is not None and i not in played]
        if not skipped:
            return tuple(order)
        # Without the first of them the passes are counted anew, and the others may be reached.
        number = endings[skipped[0]]
        for index in skipped:
            if endings[index] == number or attempts >= _ATTEMPTS:
                endings[index] = None
        attempts += 1


def unsigned_starts(measures: Sequence[Measure]) -> frozenset[int]:
    """Indices of the measures that a repeat goes back to where no sign opens it: those after
    another repeat. That of the beginning of a tune needs none."""
    order = play_order(measures)
    return frozenset(
        there
        for here, there in pairwise(order)
        if 0 < there <= here
        and measures[here].right is Bar.REPEAT_END
        and measures[there].left is not Bar.REPEAT_START
        and not measures[there].segno
    )


def never_played(measures: Sequence[Measure]) -> tuple[int, ...]:
    """Indices of the measures that no pass reaches, as those between a jump and a coda may be."""
    played = set(play_order(measures))
    return tuple(i for i in range(len(measures)) if i not in played)


def never_closed(measures: Sequence[Measure]) -> tuple[int, ...]:
    """Indices of the measures that open a repeat which nothing closes: it is played once."""
    signs = [i for i, m in enumerate(measures) if Bar.REPEAT_START is m.left] + [len(measures)]
    return tuple(
        here
        for here, following in pairwise(signs)
        if all(m.right is not Bar.REPEAT_END for m in measures[here:following])
    )


def too_often(measures: Sequence[Measure]) -> tuple[int, ...]:
    """Indices of the measures that end a repeat which is said to be played more often than
    :data:`MOST_PASSES` times."""
    return tuple(i for i, m in enumerate(measures) if (m.times or 0) > MOST_PASSES)


def jumps_not_made(measures: Sequence[Measure]) -> tuple[int, ...]:
    """Indices of the measures with a jump that is not made, because another came before it."""
    jumps = [i for i, m in enumerate(measures) if m.jump is not None]
    if len(jumps) < 2:
        return ()
    made = next((i for i in play_order(measures) if measures[i].jump is not None), None)
    return tuple(i for i in jumps if i != made)


def report_playing(
    measures: Sequence[Measure], problems: ProblemList, places: Sequence[Place] = ()
) -> None:
    """Name the measures that no pass reaches, repeats that are cut short, and jumps that are not
    made. ``places`` are those of the measures in the text, if there is one."""
    for index in never_played(measures):
        problems.add(
            kinds.NEVER_PLAYED,
            f"measure {measures[index].number} is never played: the signs and words of the tune "
            "lead past it",
            places[index] if places else None,
        )
    for index in too_often(measures):
        problems.add(
            kinds.TOO_OFTEN,
            f"the repeat that ends with measure {measures[index].number} is said to be played "
            f"{measures[index].times} times; it is played {MOST_PASSES} times",
            places[index] if places else None,
        )
    for index in jumps_not_made(measures):
        problems.add(
            kinds.JUMP,
            f"the {measures[index].jump} after {measures[index].called} is not made: a tune is "
            "played with one jump, the first",
            places[index] if places else None,
        )


def _walk(measures: Sequence[Measure], endings: Sequence[str | None]) -> list[int]:
    """The order of measures, each in the ending that is given for it."""
    order: list[int] = []
    start = 0
    position = 0
    turn = 1
    total = len(measures)
    while position < total:
        measure = measures[position]
        ending = endings[position]
        if measure.left is Bar.REPEAT_START and position != start:
            start, turn = position, 1
        if ending is not None and str(turn) not in ending.split(","):
            position += 1
            continue
        order.append(position)
        if measure.right is Bar.REPEAT_END and turn < _passes(measures, endings, start, position):
            turn += 1
            position = start
            continue
        if measure.jump is not None:
            order.extend(_second_pass(measures, endings, position))
            break
        ends = measure.right is Bar.REPEAT_END and not _goes_on(endings, position)
        if ends or (measure.right is not Bar.REPEAT_END and measure.ending_stop and turn > 1):
            start, turn = position + 1, 1
        position += 1
    return order


def _goes_on(endings: Sequence[str | None], position: int) -> bool:
    """True if the measure after this one is in an ending too."""
    return position + 1 < len(endings) and endings[position + 1] is not None


_GRACE, _MOST_GRACE = Fraction(1, 8), Fraction(1, 3)


def grace_time(event: Event) -> Fraction:
    """How long each group of grace notes before an event sounds, in quarter notes: a
    thirty-second, but all together no more than a third of the event, from which they take their
    time, since they begin on its beat (one of the usual ways to play them; the lengths are ours).
    """
    if not event.grace:
        return Fraction(0)
    return min(_GRACE, event.duration * _MOST_GRACE / len(event.grace))


def _passes(
    measures: Sequence[Measure], endings: Sequence[str | None], start: int, end: int
) -> int:
    """How often a repeat is played: twice, or as often as its endings name."""
    numbers = [1]
    for ending in endings[start : end + 2]:
        if ending is not None:
            numbers.extend(int(n) for n in ending.split(",") if n.isdecimal())
    return min(max(2, measures[end].times or 0, *numbers), MOST_PASSES)


def _second_pass(
    measures: Sequence[Measure], endings: Sequence[str | None], jump: int
) -> list[int]:
    """After D.C. from the beginning, after D.S. from the segno, without repeats, with the last
    endings: up to Fine, or to the coda, or else to the end of the tune (common practice)."""
    words = (measures[jump].jump or "").lower()
    start = 0
    if words.startswith("d.s."):
        start = next((i for i, m in enumerate(measures) if m.segno), 0)
    to_coda = "coda" in words or ("fine" not in words and any(m.to_coda for m in measures))
    followed = _followed(endings)
    order: list[int] = []
    for position in range(start, len(measures)):
        if followed[position]:
            continue
        order.append(position)
        if measures[position].fine and not to_coda:
            return order
        if to_coda and (measures[position].to_coda or position == jump):
            break
    coda = next((i for i, m in enumerate(measures) if m.coda), None) if to_coda else None
    if coda is not None and coda > start:
        order.extend(range(coda, len(measures)))
    return order


def _followed(endings: Sequence[str | None]) -> list[bool]:
    """For each measure, True if it is in an ending after which a further one comes."""
    result = [False] * len(endings)
    for position in range(len(endings) - 2, -1, -1):
        here, after = endings[position], endings[position + 1]
        if here is not None:
            result[position] = result[position + 1] if after == here else after is not None
    return result
