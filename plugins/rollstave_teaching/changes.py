"""The changes of chord that a tune has, most frequent first, and what the fingers do in each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
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
    suggest_fingers,
)
from rollstave_teaching.hand import Roll, rolls_of
from rollstave_teaching.held import called, shapes_by_measure, usable
from rollstave_teaching.measures import exercise, over
from rollstave_teaching.wording import capital, listed, place, times


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


# What the fingers do ------------------------------------------------------------------------------


def fingers_in(change: Change) -> str:
    """What stays and what moves, by the fingers that are suggested for the two shapes."""
    start, end = _by_finger(change.start), _by_finger(change.end)
    if not start and not end:
        return "Both are open: nothing to do for the left hand."
    if not start:
        return f"{_all_down(end)}."
    if not end:
        return "All fingers lift: the chord is open."
    if shift := _whole_hand(start, end):
        way = "up" if shift > 0 else "down"
        frets = f"{abs(shift)} fret{'s' * (abs(shift) > 1)}"
        return f"The whole hand slides {way} {frets}; no finger leaves its string."
    told = [*_staying(start, end), *_moving(start, end)]
    return " ".join(f"{capital(words)}." for words in told)


Fingers = dict[int, tuple[tuple[int, int], ...]]  # string and fret of each finger


def _by_finger(shape: NamedShape) -> Fingers:
    found: dict[int, list[tuple[int, int]]] = {}
    fingers = suggest_fingers(shape.frets).fingers
    for string, (fret, finger) in enumerate(zip(shape.frets, fingers, strict=True), start=1):
        if fret and finger:
            found.setdefault(finger, []).append((string, fret))
    return {finger: tuple(places) for finger, places in sorted(found.items())}


def _whole_hand(start: Fingers, end: Fingers) -> int:
    """By how many frets the hand slides, if every finger stays on its strings; 0 if not."""
    if start.keys() != end.keys():
        return 0
    shifts = set()
    for finger, places in start.items():
        if [s for s, _ in places] != [s for s, _ in end[finger]]:
            return 0
        shifts |= {b - a for (_, a), (_, b) in zip(places, end[finger], strict=True)}
    return shifts.pop() if len(shifts) == 1 else 0


def _staying(start: Fingers, end: Fingers) -> Iterator[str]:
    for finger, places in start.items():
        if end.get(finger) == places:
            yield f"finger {finger} stays on {_on(places)}"
    kept = {where: f for f, places in end.items() for where in places}
    for finger, places in start.items():
        for where in places:
            other = kept.get(where)
            if other is not None and other != finger:
                yield f"{place(*where)} stays down, under finger {other} instead of {finger}"


def _moving(start: Fingers, end: Fingers) -> Iterator[str]:
    lifted = [f for f in start if f not in end]
    down = [f for f in end if f not in start]
    for finger in start:
        if finger not in end or start[finger] == end[finger]:
            continue
        before, after = start[finger], end[finger]
        if len(before) == len(after) == 1 and before[0][0] == after[0][0]:
            string, fret = after[0]
            yield f"finger {finger} slides on string {string} from fret {before[0][1]} to {fret}"
        else:
            yield f"finger {finger} goes from {_on(before)} to {_on(after)}"
    for finger in down:
        yield f"finger {finger} comes down on {_on(end[finger])}"
    if lifted:
        word = "finger" if len(lifted) == 1 else "fingers"
        lift = "lifts" if len(lifted) == 1 else "lift"
        yield f"{word} {listed([str(f) for f in lifted])} {lift}"


def _all_down(fingers: Fingers) -> str:
    told = [f"finger {finger} on {_on(places)}" for finger, places in fingers.items()]
    return f"From open strings all come down: {listed(told)}"


def _on(places: tuple[tuple[int, int], ...]) -> str:
    if len(places) == 1:
        return place(*places[0])
    strings = listed([str(s) for s, _ in places])
    return f"strings {strings}, fret {places[0][1]}"


# The part of the lesson ---------------------------------------------------------------------------


def changes(score: Score) -> Part | None:
    """Every change as a small exercise in the tune's own roll. None for a tune without any."""
    found = changes_of(score)
    rolls = rolls_of(score)
    if not found or not rolls:
        return None
    blocks: list[Words | Exercise] = [
        Words(
            "Every change of chord in this tune, most frequent first, in its own roll. Change "
            "late, and let go of nothing that stays. How often it comes is counted with all "
            "repeats."
        )
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
    return Exercise(
        name=change.name,
        score=made,
        why=f"{capital(times(change.count))}. {fingers_in(change)}",
    )
