"""One fingering for measures that are alike: each kind of measure decides once for all its places.

Measures are of a kind if the same strings are picked in them at the same times (common practice,
no source: a player learns such a measure once). What stands before and after is different, so a
kind takes the fingers that cost least over all its places together; the kinds are gone through
until none changes. Letters that are written in one place are the kind's, too. Where
that cannot stand everywhere, one path goes through all strokes in the end and leaves what a kind
decided only where a neighbour forbids it.
"""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from rollstave.deciding.finger_path import AWAY, Choice, FingerPath, Step

_ROUNDS = 4  # over all kinds; most tunes are settled in two
_CLOSED = 1e6  # for a choice that is not to be taken


class _Kind(Struct):
    """Measures that are alike: where the steps of each begin and end among all steps, the steps
    that stand for all of them, and what stood around them when they were decided."""

    places: list[tuple[int, int]]
    steps: list[Step]
    around: list[Choice] = []


def fingered_alike(steps: Sequence[Step], path: FingerPath) -> list[Choice]:
    """The cheapest fingers for all steps with measures of a kind fingered alike."""
    chosen, _ = path.cheapest(steps)
    kinds = _kinds(steps)
    if all(len(kind.places) == 1 for kind in kinds):
        return chosen
    for _ in range(_ROUNDS):
        before = list(chosen)
        for kind in kinds:
            _decide(kind, steps, chosen, path)
        if chosen == before:
            break
    if _fits(kinds, steps, chosen, path):
        return chosen
    favoured: list[Choice | None] = list(chosen)
    for kind in kinds:
        if len(kind.places) == 1:
            start, end = kind.places[0]
            favoured[start:end] = [None] * (end - start)
    return path.cheapest(steps, favoured=favoured)[0]


def _kinds(steps: Sequence[Step]) -> list[_Kind]:
    """The kinds of measures, in the order in which they are met."""
    found: dict[object, _Kind] = {}
    start = 0
    for end in range(1, len(steps) + 1):
        if end < len(steps) and steps[end].measure == steps[start].measure:
            continue
        measure = list(steps[start:end])
        struck = tuple(
            (s.onset, s.brush, tuple((string, picked) for string, _, picked in s.notes))
            for s in measure
        )
        kind = found.get(struck)
        if kind is None:
            found[struck] = _Kind([(start, end)], measure)
        else:
            kind.places.append((start, end))
            # The first letters that are written for a stroke are taken for all.
            kind.steps = [
                new if _lettered(new) and not _lettered(old) else old
                for old, new in zip(kind.steps, measure, strict=True)
            ]
        start = end
    return list(found.values())


def _lettered(step: Step) -> bool:
    return any(finger is not None for _, finger, _ in step.notes)


def _fits(
    kinds: Sequence[_Kind], steps: Sequence[Step], chosen: Sequence[Choice], path: FingerPath
) -> bool:
    """Whether what the kinds decided can stand everywhere: no letters stand against it, and no way
    from one measure into the next costs more than to leave it."""
    if any(_lettered(step) for kind in kinds if len(kind.places) > 1 for step in kind.steps):
        return False
    return all(
        path.change(chosen[start - 1], steps[start - 1], chosen[start], step, racing=step.racing)
        <= AWAY
        for kind in kinds
        for start, _ in kind.places
        if start and (step := steps[start]).fast
    )


def _decide(kind: _Kind, steps: Sequence[Step], chosen: list[Choice], path: FingerPath) -> None:
    """Choose the fingers of a kind for what stands around its places now, in all of them."""
    now = [chosen[at] for start, end in kind.places for at in (start - 1, end % len(chosen))]
    if now == kind.around:
        return
    kind.around = now
    entering, leaving = _around(kind, steps, chosen, path)
    ends = {end for _, end in kind.places}
    again = [steps[start].racing for start, _ in kind.places if start in ends and steps[start].fast]
    if not again:
        best, _ = path.cheapest(kind.steps, entering, leaving)
    else:
        # It follows itself: what a way out costs hangs on the way in.
        first, last = kind.steps[0], kind.steps[-1]
        ways: list[tuple[float, list[Choice]]] = []
        for index, way in enumerate(path.choices(first)):
            only = [cost if i == index else _CLOSED for i, cost in enumerate(entering)]
            out = [
                cost
                + sum(path.change(end, last, way, first, racing=racing) for racing in again)
                / len(kind.places)
                for end, cost in zip(path.choices(last), leaving, strict=True)
            ]
            found, total = path.cheapest(kind.steps, only, out)
            ways.append((total, found))
        best = min(ways, key=lambda way: way[0])[1]
    for start, end in kind.places:
        chosen[start:end] = best


def _around(
    kind: _Kind, steps: Sequence[Step], chosen: Sequence[Choice], path: FingerPath
) -> tuple[list[float], list[float]]:
    """For each way into a kind and out of it, what it costs in the mean of its places to come from
    what stands before, and to go to what stands after; without those where it follows itself."""
    first, last = kind.steps[0], kind.steps[-1]
    ways_in, ways_out = path.choices(first), path.choices(last)
    entering, leaving = [0.0] * len(ways_in), [0.0] * len(ways_out)
    starts, ends = ({place[side] for place in kind.places} for side in (0, 1))
    for start, end in kind.places:
        if start and steps[start].fast and start not in ends:
            old, was, racing = steps[start - 1], chosen[start - 1], steps[start].racing
            for index, way in enumerate(ways_in):
                entering[index] += path.change(was, old, way, first, racing=racing)
        if end < len(steps) and steps[end].fast and end not in starts:
            new, now, racing = steps[end], chosen[end], steps[end].racing
            for index, way in enumerate(ways_out):
                leaving[index] += path.change(way, last, now, new, racing=racing)
    count = len(kind.places)
    return [cost / count for cost in entering], [cost / count for cost in leaving]
