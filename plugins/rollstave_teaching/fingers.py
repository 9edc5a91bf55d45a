"""What the fingers of the left hand do in a change of shapes.

Fingers are chosen for both shapes together, so that a finger which can stay on its place stays:
what does not move need not be found again (common practice). How much each thing counts is ours.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise, product

from msgspec import Struct

from rollstave import NamedShape, suggest_fingers
from rollstave_teaching.held import called
from rollstave_teaching.wording import capital, listed, place

_FINGERS = range(1, 5)
_STAYS, _SLIDES = -3.0, -0.3  # for a place, and for a string, that a finger keeps
_TAKEN_OVER = 1.0  # for a place that another finger takes
_OTHER = 0.5  # for each finger that is not the one under the shape in the lesson's chords
_STRETCH, _CRAMPED = 1.0, 0.5  # for each fret that fingers lie too far apart, or too near

Frets = tuple[int | None, ...]
Fingers = dict[int, tuple[tuple[int, int], ...]]  # string and fret of each finger, by finger


class Hold(Struct, frozen=True):
    """The finger on each string of a shape, string 1 first, and how little it is liked."""

    fingers: tuple[int | None, ...]
    cost: float


def fingers_in(first: NamedShape, second: NamedShape, short: int | None = None) -> str:
    """What stays and what moves from one shape to another, in words; also which finger is another
    than the one that is suggested for a shape by itself. ``short`` is the number of a short
    string, which the thumb stops: what the fingers do comes first, then the thumb."""
    told = [_fingers(first, second, short), _thumb(first.frets, second.frets, short)]
    said = " ".join(words for words in told if words)
    return said or "Both are open: nothing to do for the left hand."


def _fingers(first: NamedShape, second: NamedShape, short: int | None) -> str:
    holds = held_together(first.frets, second.frets, short)
    start, end = (
        _by_finger(shape.frets, fingers)
        for shape, fingers in zip((first, second), holds, strict=True)
    )
    if not start and not end:
        return ""
    if not start:
        return f"{_all_down(end)}."
    if not end:
        return "All fingers lift: the chord is open."
    told = [*_otherwise(first, holds[0], short), *_otherwise(second, holds[1], short)]
    if shift := _whole_hand(start, end):
        way = "up" if shift > 0 else "down"
        frets = f"{abs(shift)} fret{'s' * (abs(shift) > 1)}"
        told.append(f"the whole hand slides {way} {frets}; no finger leaves its string")
    else:
        told += [*_staying(start, end), *_moving(start, end)]
    return " ".join(f"{capital(words)}." for words in told)


def held_together(
    first: Frets, second: Frets, short: int | None = None
) -> tuple[tuple[int | None, ...], tuple[int | None, ...]]:
    """The fingers of two shapes, string 1 first, so that most that can stay stays."""
    best = min(
        product(_holds(first, short), _holds(second, short)),
        key=lambda pair: pair[0].cost + pair[1].cost + _between(first, second, *pair),
    )
    return best[0].fingers, best[1].fingers


def _holds(frets: Frets, short: int | None) -> list[Hold]:
    """All ways to hold a shape: fingers go up with the frets, on one fret from low strings to high
    ones. The suggested way is the first."""
    suggested = suggest_fingers(frets, short).fingers
    found = [Hold(fingers=suggested, cost=0.0)]
    stopped = sorted((fret, -n) for n, fret in enumerate(frets) if fret and n + 1 != short)
    usual = _spread(stopped, [suggested[-n] or 0 for _, n in stopped])
    for taken in combinations(_FINGERS, len(stopped)):
        fingers: list[int | None] = [None] * len(frets)
        for (_, n), finger in zip(stopped, taken, strict=True):
            fingers[-n] = finger
        other = sum(a != b for a, b in zip(fingers, suggested, strict=True))
        cost = _OTHER * other + max(0.0, _spread(stopped, taken) - usual)
        found.append(Hold(fingers=tuple(fingers), cost=cost))
    return found


def _spread(stopped: Sequence[tuple[int, int]], taken: Sequence[int]) -> float:
    """How far fingers are from lying one to a fret."""
    total = 0.0
    for ((low, _), one), ((high, _), other) in pairwise(zip(stopped, taken, strict=True)):
        frets, fingers = high - low, other - one
        total += _STRETCH * max(0, frets - fingers) + _CRAMPED * max(0, fingers - frets - 1)
    return total


def _between(first: Frets, second: Frets, start: Hold, end: Hold) -> float:
    total = 0.0
    for here, there, a, b in zip(first, second, start.fingers, end.fingers, strict=False):
        if here and here == there:
            total += _STAYS if a == b else _TAKEN_OVER
        elif here and there and a == b:
            total += _SLIDES
    return total


def _by_finger(frets: Frets, fingers: Sequence[int | None]) -> Fingers:
    found: dict[int, list[tuple[int, int]]] = {}
    for string, (fret, finger) in enumerate(zip(frets, fingers, strict=True), start=1):
        if fret and finger:
            found.setdefault(finger, []).append((string, fret))
    return {finger: tuple(places) for finger, places in sorted(found.items())}


def _otherwise(
    shape: NamedShape, fingers: Sequence[int | None], short: int | None
) -> Iterator[str]:
    """Which fingers are others than those that are suggested for a shape by itself."""
    usual = suggest_fingers(shape.frets, short).fingers
    other = [a if a != b else None for a, b in zip(fingers, usual, strict=True)]
    told = [f"finger {f} on {_on(p)}" for f, p in _by_finger(shape.frets, other).items()]
    if told:
        yield f"here {called(shape)} has {listed(told)}"


def _thumb(first: Frets, second: Frets, short: int | None) -> str:
    """What the left thumb does on the short string, if it stops that in one of the shapes."""
    if short is None or len(first) < short or len(second) < short:
        return ""
    before, after = first[short - 1] or 0, second[short - 1] or 0
    if not before and not after:
        return ""
    if before == after:
        return f"The left thumb stays on {place(short, after)}."
    if not after:
        return f"The left thumb lifts from string {short}."
    if not before:
        return f"The left thumb comes down on {place(short, after)}."
    return f"The left thumb slides on string {short} from fret {before} to {after}."


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
