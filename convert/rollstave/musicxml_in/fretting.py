"""Strings and frets for notes that have none: the easiest way through the whole tune.

The cost of a way, in made-up units (our own rule of thumb):

- a stopped fret costs 0.2 and 0.05 more for each fret up the neck; an open string costs nothing;
- frets stopped at once cost 1 for each fret beyond four between the lowest and the highest, and
  no two lie more than six apart;
- the hand's move costs 0.3 for each fret between its place (the lowest stopped fret) and the next;
- string 5 of a banjo is a drone: open it costs 0.4 as a melody note, stopped 4;
- a note that sounds on from the event before costs 10 on another string.

A dynamic program over the events finds the way of least cost; of each event the cheapest
grips are tried, :data:`MOST_GRIPS` at most.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product

from msgspec import Struct

from rollstave.instruments.setup import NoSuchFret, Setup

MOST_GRIPS = 24
_STOPPED, _HIGHER, _MOVE = 0.2, 0.05, 0.3
_EASY, _WIDEST, _STRETCH = 4, 6, 1.0
_DRONE_OPEN, _DRONE_STOPPED = 0.4, 4.0

_LET_GO = 10.0  # a string that sounds on is left by no hand that can stay

Place = tuple[int, int]  # string and fret
Grip = tuple[Place, ...]  # for each note of an event


class Unplayable(ValueError):
    """An event that no grip can play; ``index`` is its position in the sequence."""

    def __init__(self, index: int) -> None:
        self.index = index
        super().__init__(f"event {index} has no grip")


def places_of(midi: int, setup: Setup) -> list[tuple[int, int]]:
    """Every (string, fret) that sounds a MIDI number."""
    found = []
    for string in range(1, setup.instrument.strings + 1):
        for fret in range(setup.instrument.frets - setup.capo + 1):
            try:
                if setup.midi(string, fret) == midi:
                    found.append((string, fret))
            except NoSuchFret:
                continue
    return found


class Wanted(Struct, frozen=True):
    """The notes of an event to find places for: their MIDI numbers; ``fixed`` has the place of each
    that has one, ``held`` are the positions of those that sound on from the event before."""

    pitches: tuple[int, ...]
    fixed: tuple[Place | None, ...] = ()
    held: tuple[int, ...] = ()


def find_frets(events: Sequence[Sequence[int]], setup: Setup) -> list[Grip]:
    """A grip for every event (its MIDI numbers); raises Unplayable."""
    return find_between([Wanted(pitches=tuple(event)) for event in events], setup)


def find_between(events: Sequence[Wanted], setup: Setup) -> list[Grip]:
    """A grip for every event that keeps the fixed places, so that only what lies between them is
    searched. Raises Unplayable for an event that no grip plays."""
    where = {m: places_of(m, setup) for m in {m for event in events for m in event.pitches}}
    known: dict[tuple[object, ...], list[tuple[float, Grip]]] = {}
    back: list[list[int]] = []
    grips: list[list[tuple[float, Grip]]] = []
    costs: list[float] = [0.0]
    hands: list[int] = [0]
    for index, event in enumerate(events):
        key = (event.pitches, event.fixed)
        if key not in known:
            known[key] = _options(event, where, setup)
        options = known[key]
        if not options:
            raise Unplayable(index)
        before = grips[-1] if event.held and grips else []
        new_costs, new_hands, came = [], [], []
        for own, grip in options:
            hand = min((f for _, f in grip if f), default=0)
            ways = [
                cost + (_MOVE * abs(hand - earlier) if hand and earlier else 0.0)
                for cost, earlier in zip(costs, hands, strict=True)
            ]
            for position, (_, earlier_grip) in enumerate(before):
                ways[position] += _LET_GO * sum(grip[h] not in earlier_grip for h in event.held)
            best = min(range(len(ways)), key=ways.__getitem__)
            new_costs.append(ways[best] + own)
            new_hands.append(hand or hands[best])
            came.append(best)
        costs, hands = new_costs, new_hands
        back.append(came)
        grips.append(options)
    if not events:
        return []
    at = min(range(len(costs)), key=costs.__getitem__)
    path: list[Grip] = []
    for index in range(len(events) - 1, -1, -1):
        path.append(grips[index][at][1])
        at = back[index][at]
    return path[::-1]


def _options(
    event: Wanted, where: dict[int, list[Place]], setup: Setup
) -> list[tuple[float, Grip]]:
    """The grips that an event may have: one where all places are fixed, else those with the fixed
    ones in them, or, where none has them, any."""
    fixed = event.fixed
    if fixed and None not in fixed:
        return [(0.0, tuple(place for place in fixed if place is not None))]
    if any(fixed):
        found = _grips(event.pitches, where, setup, fixed)
        if found:
            return found
    return _grips(event.pitches, where, setup)


def playable(event: Sequence[int], setup: Setup) -> bool:
    """True if a grip plays these MIDI numbers at once."""
    return bool(_grips(event, {m: places_of(m, setup) for m in event}, setup))


def _grips(
    event: Sequence[int],
    where: dict[int, list[Place]],
    setup: Setup,
    fixed: Sequence[Place | None] = (),
) -> list[tuple[float, Grip]]:
    """The cheapest grips of an event, each string used once."""
    choices = [sorted(where[m], key=lambda p: _place_cost(p, setup))[:6] for m in event]
    for position, place in enumerate(fixed):
        choices[position] = [place] if place is not None else choices[position]
    if len(event) > setup.instrument.strings:
        return []
    found = []
    for grip in product(*choices):
        if len({string for string, _ in grip}) < len(grip):
            continue
        stopped = [f for _, f in grip if f]
        spread = max(stopped) - min(stopped) if stopped else 0
        if spread > _WIDEST:
            continue
        cost = sum(_place_cost(p, setup) for p in grip)
        found.append((cost + _STRETCH * max(0, spread - _EASY), grip))
    found.sort()
    return found[:MOST_GRIPS]


def _place_cost(place: tuple[int, int], setup: Setup) -> float:
    string, fret = place
    short = setup.instrument.short_string
    if short and short.string == string:
        return _DRONE_STOPPED if fret else _DRONE_OPEN
    return _STOPPED + _HIGHER * fret if fret else 0.0
