"""The changes of chord that a tune has, most frequent first, and what the fingers do in each."""

from __future__ import annotations

from collections import Counter
from functools import partial

from msgspec import Struct

from rollstave import (
    Exercise,
    NamedShape,
    NoSuchFret,
    Part,
    Score,
    Words,
    play_order,
)
from rollstave_teaching.fingers import fingers_in
from rollstave_teaching.hand import Roll, rolls_of
from rollstave_teaching.held import called, shapes_by_measure, usable
from rollstave_teaching.measures import exercise, over
from rollstave_teaching.prose import words_of
from rollstave_teaching.wording import capital, times


class Change(Struct, frozen=True):
    """A change from one shape to another, and how often it comes as the tune is played."""

    start: NamedShape
    end: NamedShape
    count: int

    @property
    def name(self) -> str:
        return f"{called(self.start)} to {called(self.end)}"


def changes_of(score: Score) -> tuple[Change, ...]:
    """All changes, most frequent first; of equals, the one that comes first. Repeats are counted
    as they are played, each change with the shapes that are held."""
    held = shapes_by_measure(score)
    counts: Counter[tuple[NamedShape, NamedShape]] = Counter()
    before: NamedShape | None = None
    for index in play_order(score.measures):
        for _, shape in held[index]:
            if before is not None and not _same(before, shape):
                counts[before, shape] += 1
            before = shape
    return tuple(Change(start=a, end=b, count=n) for (a, b), n in counts.most_common())


def _same(a: NamedShape, b: NamedShape) -> bool:
    return a.name == b.name and _stops(a) == _stops(b)


def _stops(shape: NamedShape) -> dict[int, int]:
    return {n: f for n, f in enumerate(shape.frets, start=1) if f}


# The part of the lesson ---------------------------------------------------------------------------


def changes(score: Score) -> Part | None:
    """Every change as a small exercise in the tune's own roll. None for a tune without any."""
    found = changes_of(score)
    rolls = rolls_of(score)
    if not found or not rolls:
        return None
    blocks: list[Words | Exercise] = [
        *words_of(score, "changes"),
        Words(
            "Every change of chord in this tune, most frequent first, in its own roll. Change "
            "late, and let go of nothing that stays. How often it comes is counted with all "
            "repeats."
        ),
        Words(
            "The fingers are suggestions, chosen so that what can stay stays. Where one is another "
            "than under the shape of its chord, it is said.",
            inferred=True,
        ),
    ]
    blocks += [made for change in found if (made := _exercise(score, change, rolls[0]))]
    return Part(name="The changes", blocks=tuple(blocks))


def _exercise(score: Score, change: Change, roll: Roll) -> Exercise | None:
    measures = [
        over(roll.like, partial(usable, score, shape), shape.name, n)
        for n, shape in enumerate((change.start, change.end), start=1)
    ]
    try:
        made = exercise(score, measures)
    except NoSuchFret:
        return None
    short = score.setup.instrument.short_string
    told = fingers_in(change.start, change.end, short.string if short else None)
    return Exercise(
        name=change.name,
        score=made,
        why=f"{capital(times(change.count))}. {told}",
    )
