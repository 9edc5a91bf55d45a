"""The cheapest path of both hands through a tune, by dynamic programming over its events.

Costs are ours; only their order matters. For the left hand: a stopped fret, the more the higher;
the millimetres of a wide grip; each move of the hand, and how far. For the right hand: the finger
that struck the note strikes it still, so its new string must be one that this finger takes; a
roll's order of fingers stays and no finger comes to strike twice running. A written letter on a
string of another finger leads the note back to its own, where another tuning allows that. A note
moved by an octave, or left out, costs more than any way to play it.
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
# Where a finger was found for the string, not written, the string says more than the finger.
_OTHER_STRING, _OTHER_FOUND = 0.5, 2.5
_FOUND = 0.6  # the share of what a finger takes that counts where it was found
_SAME = 0.7  # the share of it that counts on the string that a written finger was on
_REPEATED = 1.5  # one finger for two strings running at speed
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
_TAKES |= {Finger.RING: _TAKES[Finger.MIDDLE], Finger.LITTLE: _TAKES[Finger.MIDDLE]}


class Way(Struct, frozen=True):
    """One way to play a note: its place (None: left out) and what it costs by itself; ``stays``
    where it is the place that it had."""

    spot: Spot | None
    cost: float
    octave: int = 0
    stays: bool = False


class Wanted(Struct, frozen=True):
    """An event as it has to be played: for each note the ways to play it. ``soon`` is True where
    it follows another so fast that one finger cannot go from string to string, ``again`` where
    it had to already."""

    notes: tuple[tuple[Way, ...], ...]
    soon: bool = False
    again: bool = False


Grip = tuple[Way, ...]
State = tuple[int, int]


def way(
    spot: Spot,
    *,
    was: int,
    finger: Finger | None,
    short: int | None,
    found: bool = False,
    octave: int = 0,
    more: float = 0.0,
) -> Way:
    """A way to play a note that lay on string ``was`` and is struck by a finger; ``more`` is what
    it costs besides."""
    string, fret, _ = spot
    cost = more + ((_STOPPED + _HIGHER * fret) if fret else 0.0)
    cost += _OCTAVE * abs(octave)
    if finger is not None:
        row = _TAKES[finger]
        here, elsewhere = (0.0, _FOUND) if found else (_SAME, 1.0)
        cost += row[min(string, len(row)) - 1] * (here if string == was else elsewhere)
    if string != was:
        cost += _OTHER_FOUND if found else _OTHER_STRING
        cost += _SHORT_STOPPED if string == short and (fret or finger is None) else 0.0
    return Way(spot, cost, octave)


LEFT_OUT = Way(None, _LEFT_OUT)


def by_itself(spot: Spot) -> float:
    """What a place costs by itself, the higher the more."""
    return (_STOPPED + _HIGHER * spot[1]) if spot[1] else 0.0


def taking(finger: Finger | None, string: int) -> float:
    """What it costs a finger to take a string."""
    row = _TAKES[finger] if finger is not None else (0.0,)
    return row[min(string, len(row)) - 1]


def at_home(finger: Finger, string: int) -> bool:
    """True for a string that belongs to a finger of a fixed hand."""
    row = _TAKES[finger]
    return row[min(string, len(row)) - 1] == 0.0


def cheapest(events: Sequence[Wanted], capo: int = 0) -> list[Grip]:
    """The grips of least cost for a tune. Each event needs a way for each of its notes that can
    go with the others; one with :data:`LEFT_OUT` always can."""
    # By the fret that the index finger lies at (0: anywhere) and the string struck last (0: none).
    costs: dict[State, float] = {(0, 0): 0.0}
    trail: list[dict[State, tuple[State, Grip]]] = []
    for event in events:
        layer: dict[State, float] = {}
        back: dict[State, tuple[State, Grip]] = {}
        before_it = _Before(costs)
        for own, grip, places, string in _grips(event, capo):
            for place, before, cost in before_it.moves(places, string, event):
                total = cost + own
                state = (place, string)
                if state not in layer or total < layer[state]:
                    layer[state] = total
                    back[state] = (before, grip)
        costs = layer
        trail.append(back)
    if not trail:
        return []
    at = min(costs, key=lambda state: (costs[state], state))
    path: list[Grip] = []
    for back in reversed(trail):
        at, grip = back[at]
        path.append(grip)
    return path[::-1]


class _Before:
    """The costs up to an event, by the string struck last, and then by the place of the hand. What
    it costs to come to a place is the same for all grips of the event."""

    def __init__(self, costs: dict[State, float]) -> None:
        self.costs: dict[int, dict[int, float]] = {}
        for (place, string), cost in costs.items():
            self.costs.setdefault(string, {})[place] = cost
        self.known: dict[State, tuple[float, int]] = {}

    def moves(
        self, places: Sequence[int], string: int, event: Wanted
    ) -> list[tuple[int, State, float]]:
        """Where the hand may lie for a grip, from where it comes, and the cost up to there."""
        found: dict[int, tuple[float, State]] = {}
        for last, by_place in self.costs.items():
            more = _REPEATED if event.soon and not event.again and one_finger(last, string) else 0.0
            for place in places or by_place:  # open strings: the hand stays where it is
                cost, before = self._to(place, last) if places else (by_place[place], place)
                if place not in found or cost + more < found[place][0]:
                    found[place] = (cost + more, (before, last))
        return [(place, before, cost) for place, (cost, before) in found.items()]

    def _to(self, place: int, last: int) -> tuple[float, int]:
        """The least cost of coming to a place after a string, and from which place."""
        known = self.known.get((place, last))
        if known is None:
            ways = ((cost + _move(p, place), p) for p, cost in self.costs[last].items())
            known = self.known[place, last] = min(ways)
        return known


def one_finger(last: int, string: int) -> bool:
    """True where a fixed hand (the thumb on strings 3 to 5) strikes two strings running with one
    finger."""
    return bool(last and string) and last != string and min(last, 3) == min(string, 3)


def _move(before: int, place: int) -> float:
    if before in (0, place):
        return 0.0
    return _SHIFT + _PER_FRET * abs(place - before)


@lru_cache(maxsize=4096)
def _grips(event: Wanted, capo: int) -> tuple[tuple[float, Grip, tuple[int, ...], int], ...]:
    """The grips of an event that a hand can hold: cost, grip, where the hand may lie, and the
    string where it is one."""
    found: list[tuple[float, Grip, tuple[int, ...], int]] = []
    for grip in product(*event.notes):
        spots = [w.spot for w in grip if w.spot is not None]
        if len({string for string, _, _ in spots}) < len(spots):
            continue
        frets = [fret for _, fret, _ in spots if fret]
        wide = reach_of(frets, capo)
        if wide > WIDEST and not all(way.stays for way in grip):
            continue
        cost = sum(w.cost for w in grip) + _WIDE * max(0.0, wide - EASY) / (WIDEST - EASY)
        alone = spots[0][0] if len(spots) == 1 else 0
        found.append((cost, grip, _places(frets), alone))
    found.sort(key=lambda item: item[0])
    return tuple(found[:_MOST])


def shifting(fret: int, hand: Sequence[int]) -> float:
    """What it costs to go from where a hand lies to a fret and back again."""
    if not fret or not hand:
        return 0.0
    low = max(1, max(hand) - _SPAN)
    away = max(0, min(low, min(hand)) - fret, fret - min(hand) - _SPAN)
    return 2 * (_SHIFT + _PER_FRET * away) if away else 0.0


def _places(frets: Sequence[int]) -> tuple[int, ...]:
    if not frets:
        return ()
    low, high = min(frets), max(frets)
    return tuple(range(max(1, min(low, high - _SPAN)), low + 1))
