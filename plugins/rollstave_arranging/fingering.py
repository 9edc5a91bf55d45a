"""The cheapest path of both hands through a tune, by dynamic programming over its events.

Costs are ours; only their order matters. For the left hand: a stopped fret, the more the higher;
the millimetres of a wide grip; each move of the hand, and how far. For the right hand: the finger
that struck the note strikes it still, so its new string must be one that this finger takes; a
roll's order of fingers stays and no finger comes to strike twice running. A note moved by an
octave, or left out, costs more than any way to play it.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import product

from msgspec import Struct

from rollstave import Finger
from rollstave_arranging.neck import EASY, WIDEST, Spot, reach_of

_STOPPED, _HIGHER = 0.2, 0.05
_SHIFT, _PER_FRET = 0.5, 0.35
_WIDE = 1.5  # from the easy reach to the widest
_LEFT_OUT, _OCTAVE = 40.0, 12.0
_OTHER_STRING = 1.0
_SHORT_STOPPED = 3.0
_SPAN = 3  # frets between the outer fingers of a hand at rest
_MOST = 12  # grips of an event that are followed up

# What it costs a finger to take a string from string 1 on, in the ways of picking by three
# fingers: the thumb at home on 3 to 5, the index on 2, the middle on 1 (common practice).
_TAKES = {
    Finger.THUMB: (8.0, 2.0, 0.0, 0.0, 0.0),
    Finger.INDEX: (2.0, 0.0, 2.0, 4.0, 12.0),
    Finger.MIDDLE: (0.0, 2.0, 5.0, 8.0, 12.0),
}


class Way(Struct, frozen=True):
    """One way to play a note: its place (None: left out) and what it costs by itself."""

    spot: Spot | None
    cost: float
    octave: int = 0


class Wanted(Struct, frozen=True):
    """An event as it has to be played: for each note the ways to play it."""

    notes: tuple[tuple[Way, ...], ...]


Grip = tuple[Way, ...]


def way(
    spot: Spot,
    *,
    was: int,
    finger: Finger | None,
    short: int | None,
    octave: int = 0,
    more: float = 0.0,
) -> Way:
    """A way to play a note that lay on string ``was`` and is struck by a finger; ``more`` is what
    it costs besides."""
    string, fret, _ = spot
    cost = more + ((_STOPPED + _HIGHER * fret) if fret else 0.0)
    cost += _OCTAVE * abs(octave)
    if string != was:
        cost += _OTHER_STRING
        cost += _SHORT_STOPPED if string == short and fret else 0.0
        if finger is not None:
            row = _TAKES[finger]
            cost += row[min(string, len(row)) - 1]
        elif string == short:
            cost += _SHORT_STOPPED
    return Way(spot, cost, octave)


LEFT_OUT = Way(None, _LEFT_OUT)


def cheapest(events: Sequence[Wanted], capo: int = 0) -> list[Grip]:
    """The grips of least cost for a tune. Each event needs a way for each of its notes that can
    go with the others; one with :data:`LEFT_OUT` always can."""
    costs: dict[int, float] = {0: 0.0}  # by the fret that the index finger lies at; 0: anywhere
    trail: list[dict[int, tuple[int, Grip]]] = []
    for event in events:
        layer: dict[int, float] = {}
        back: dict[int, tuple[int, Grip]] = {}
        for own, grip, places in _grips(event, capo):
            for place, before, cost in _moves(places, costs):
                total = cost + own
                if place not in layer or total < layer[place]:
                    layer[place] = total
                    back[place] = (before, grip)
        costs = layer
        trail.append(back)
    if not trail:
        return []
    at = min(costs, key=lambda place: (costs[place], place))
    path: list[Grip] = []
    for back in reversed(trail):
        at, grip = back[at]
        path.append(grip)
    return path[::-1]


def _moves(places: Sequence[int], costs: dict[int, float]) -> list[tuple[int, int, float]]:
    """Where the hand may lie for a grip, from where it comes, and the cost up to there."""
    if not places:  # open strings: the hand stays where it is
        return [(place, place, cost) for place, cost in costs.items()]
    found = []
    for place in places:
        before = min(costs, key=lambda p: (costs[p] + _move(p, place), p))
        found.append((place, before, costs[before] + _move(before, place)))
    return found


def _move(before: int, place: int) -> float:
    if before in (0, place):
        return 0.0
    return _SHIFT + _PER_FRET * abs(place - before)


@lru_cache(maxsize=4096)
def _grips(event: Wanted, capo: int) -> tuple[tuple[float, Grip, tuple[int, ...]], ...]:
    """The grips of an event that a hand can hold: cost, grip, and where the hand may lie."""
    found: list[tuple[float, Grip, tuple[int, ...]]] = []
    for grip in product(*event.notes):
        spots = [w.spot for w in grip if w.spot is not None]
        if len({string for string, _, _ in spots}) < len(spots):
            continue
        frets = [fret for _, fret, _ in spots if fret]
        wide = reach_of(frets, capo)
        if wide > WIDEST and not all(len(ways) == 1 for ways in event.notes):
            continue
        cost = sum(w.cost for w in grip) + _WIDE * max(0.0, wide - EASY) / (WIDEST - EASY)
        found.append((cost, grip, _places(frets)))
    found.sort(key=lambda item: item[0])
    return tuple(found[:_MOST])


def _places(frets: Sequence[int]) -> tuple[int, ...]:
    if not frets:
        return ()
    low, high = min(frets), max(frets)
    return tuple(range(max(1, min(low, high - _SPAN)), low + 1))
