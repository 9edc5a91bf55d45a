"""Where a melody lies on the banjo's long strings (1 to 4): transposition, strings and frets.

The costs are our own rule of thumb: low frets and open strings first, the hand moves little,
neighbouring notes lie on neighbouring strings.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

LONG_STRINGS = (1, 2, 3, 4)
LAST_FRET = 17
COMFORTABLE = 12  # frets above this one cost much
OUT_OF_REACH = 40.0


def places(midi: int, pitches: Sequence[int]) -> list[tuple[int, int]]:
    """Every (string, fret) of the long strings that sounds ``midi``."""
    return [
        (string, midi - pitches[string - 1])
        for string in LONG_STRINGS
        if 0 <= midi - pitches[string - 1] <= LAST_FRET
    ]


def place_cost(fret: int, home: int) -> float:
    """How unwelcome a fret is to a hand whose usual place is ``home``."""
    if fret == 0:
        return 0.0 if home == 0 else 0.8
    cost = 0.2 + 0.1 * max(0, abs(fret - home - 2) - 2)
    return cost + (1.5 * (fret - COMFORTABLE) if fret > COMFORTABLE else 0.0)


def move_cost(before: tuple[int, int], after: tuple[int, int]) -> float:
    """How unwelcome it is to go from one place to the next."""
    cost = 0.1 * max(0, abs(before[0] - after[0]) - 1)
    if before[1] and after[1]:
        cost += 0.2 * max(0, abs(before[1] - after[1]) - 3)
    return cost


def transposition(melody: Sequence[int], pitches: Sequence[int], home: int) -> int:
    """Semitones to add to a melody so that it lies best on these open strings."""
    notes = sorted(set(melody))
    weight = {midi: melody.count(midi) for midi in notes}

    def cost(shift: int) -> float:
        total = 0.0
        for midi in notes:
            options = places(midi + shift, pitches)
            best = min((place_cost(f, home) for _, f in options), default=OUT_OF_REACH)
            total += weight[midi] * best
        return total

    return min(range(-36, 25), key=lambda shift: (cost(shift), abs(shift)))


def fold(midi: int, pitches: Sequence[int]) -> int:
    """The pitch moved by octaves until it can be played."""
    while not places(midi, pitches):
        midi += 12 if midi < min(pitches[:4]) else -12
    return midi


def finger(melody: Sequence[int], pitches: Sequence[int], home: int) -> list[tuple[int, int]]:
    """A (string, fret) for each note, the cheapest way through the whole melody."""
    options = [places(fold(midi, pitches), pitches) for midi in melody]
    costs = [place_cost(fret, home) for _, fret in options[0]]
    back: list[list[int]] = []
    for before, after in pairwise(options):
        chosen, totals = [], []
        for place in after:
            ways = [c + move_cost(p, place) for c, p in zip(costs, before, strict=True)]
            best = ways.index(min(ways))
            chosen.append(best)
            totals.append(ways[best] + place_cost(place[1], home))
        back.append(chosen)
        costs = totals
    index = costs.index(min(costs))
    path = [options[-1][index]]
    for step in range(len(back) - 1, -1, -1):
        index = back[step][index]
        path.append(options[step][index])
    return path[::-1]
