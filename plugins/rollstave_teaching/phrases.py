"""The phrases of a tune: where they begin, found by what comes again, by the chart, and by rests.

Phrases have two to four measures (common practice: four, then two). Within each strain that the
tab shows, all ways to divide it are weighed; the weights are ours, their order matters.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from msgspec import Struct

from rollstave import Measure, Score
from rollstave_teaching.hand import ends_on_plucks
from rollstave_teaching.held import chords_by_measure, strains

_LONGEST = 4
_LENGTH = {1: -4.0, 2: -0.9, 3: -1.6, 4: 0.0}  # how well a phrase of so many measures is liked
_AGAIN, _HOME, _PLUCKS, _CHORD = 1.0, 0.4, 0.7, 0.2
_REST, _RHYTHM = 1.5, 0.6
_FOURTH, _SECOND = 0.8, 0.3  # for a phrase that ends four, or two, measures into its strain
_ALIKE = 0.75  # from here on a measure is taken for another again
_MOST_REST = 2.0
_FIGURE, _OF_FIGURE = 2, 0.0  # measures of a figure that is repeated, and what that counts


class Phrase(Struct, frozen=True):
    """The indices of a phrase's first measure and of the one after its last; its number, from 1,
    and the name of its strain."""

    begin: int
    end: int
    number: int = 0
    strain: str = ""


def phrases_of(score: Score) -> tuple[Phrase, ...]:
    """All phrases in order. A pickup belongs to the first."""
    weights = _Weights(score)
    found: list[Phrase] = []
    for strain in strains(score):
        pickup = int(score.measures[strain.begin].number == 0)
        begin = strain.begin + pickup
        starts = _divided(weights, begin, strain.end)
        for place, (start, end) in enumerate(zip(starts, (*starts[1:], strain.end), strict=True)):
            first = strain.begin if place == 0 else start
            found.append(Phrase(begin=first, end=end, number=len(found) + 1, strain=strain.name))
    return tuple(found)


def _divided(weights: _Weights, begin: int, end: int) -> list[int]:
    """Where the phrases of a strain begin: the best way to divide it, by dynamic programming."""
    best: dict[int, tuple[float, int]] = {begin: (0.0, begin)}
    for stop in range(begin + 1, end + 1):
        ways = []
        here = weights.boundary(stop, begin) if stop < end else 0.0
        for length in range(1, min(_LONGEST, stop - begin) + 1):
            start = stop - length
            ways.append((best[start][0] + _LENGTH[length] + here, start))
        best[stop] = max(ways, key=lambda way: way[0])
    starts: list[int] = []
    at = end
    while at > begin:
        at = best[at][1]
        starts.append(at)
    return starts[::-1]


class _Weights:
    """What speaks for a phrase to begin at a measure."""

    def __init__(self, score: Score) -> None:
        self.score = score
        self.measures = score.measures
        self.chords = chords_by_measure(score)
        self.home = next((names[0] for names in self.chords if names), "")
        self.sounds = [sounds(measure) for measure in score.measures]
        self.held = [_held(measure) for measure in score.measures]
        self.rhythms = Counter(_rhythm(measure) for measure in score.measures)

    def boundary(self, at: int, strain: int) -> float:
        total = _FOURTH * ((at - strain) % 4 == 0) + _SECOND * ((at - strain) % 4 == 2)
        total += _AGAIN * self._again(at, strain)
        before, after = self.chords[at - 1], self.chords[at]
        if before and after and before[-1] != after[0]:
            total += _CHORD + _HOME * (after[0] == self.home)
        ending, opening = self.measures[at - 1], self.measures[strain]
        total += _PLUCKS * ends_on_plucks(ending)
        total += _REST * min(_MOST_REST, self._rest(at - 1))
        rhythm = _rhythm(self.measures[at])
        rare = 1 - self.rhythms[rhythm] / len(self.measures)
        return total + _RHYTHM * rare * (rhythm == _rhythm(opening))

    def _rest(self, at: int) -> float:
        """How much longer the longest note of a measure is held than that of those around it, in
        doublings; an upbeat may come after it."""
        near = sorted(self.held[max(0, at - 4) : at + 5])
        usual = near[len(near) // 2]
        return max(0.0, math.log2(self.held[at] / usual)) if usual else 0.0

    def _again(self, at: int, strain: int) -> float:
        """1 if two measures from here on are those that begin a strain, or came before; less if
        they came right before, as a figure that is repeated within a phrase."""
        pair = self.sounds[at : at + 2]
        best = 0.0
        for start in sorted({strain, *range(max(strain, at - 16), at - 1, 2)}):
            other = self.sounds[start : start + 2]
            if len(pair) == len(other) == 2 and all(map(_alike, pair, other)):
                best = max(best, 1.0 if at - start > _FIGURE else _OF_FIGURE)
        return best


def _held(measure: Measure) -> Fraction:
    """How long it lasts at most from one stroke of a measure to the next, or to its end."""
    struck = [e.onset for e in measure.events if e.notes] or [Fraction(0)]
    return max(b - a for a, b in pairwise([*struck, measure.length]))


def _rhythm(measure: Measure) -> tuple[Fraction, ...]:
    return tuple(e.onset for e in measure.events if e.notes)


# Likeness -----------------------------------------------------------------------------------------

Sounds = frozenset[tuple[Fraction, int, int | None]]


def sounds(measure: Measure) -> Sounds:
    """Onset, string and fret of every note."""
    return frozenset((e.onset, n.string, n.fret) for e in measure.events for n in e.notes)


def alike(a: Measure, b: Measure) -> float:
    """What share of two measures' notes they have in common; 1 for the same."""
    return _shared(sounds(a), sounds(b))


def _shared(mine: Sounds, theirs: Sounds) -> float:
    both = len(mine | theirs)
    return len(mine & theirs) / both if both else 1.0


def _alike(mine: Sounds, theirs: Sounds) -> bool:
    return _shared(mine, theirs) >= _ALIKE


class Likeness(Struct, frozen=True):
    """An earlier phrase that a phrase is like, and the pairs of measures in which they differ:
    the earlier one's, its own."""

    like: Phrase
    differs: tuple[tuple[Measure, Measure], ...]


def likeness(score: Score, phrase: Phrase, earlier: Sequence[Phrase]) -> Likeness | None:
    """The earlier phrase that differs least, if at least half of its measures are the same."""
    mine = _full(score, phrase)
    found: list[tuple[float, Likeness]] = []
    for other in earlier:
        theirs = _full(score, other)
        if len(theirs) != len(mine):
            continue
        pairs = [(a, b) for a, b in zip(theirs, mine, strict=True) if not _same(a, b)]
        if len(pairs) <= len(mine) / 2:
            far = sum(1 - alike(a, b) for a, b in pairs)
            found.append((far, Likeness(like=other, differs=tuple(pairs))))
    return min(found, key=lambda item: item[0])[1] if found else None


def _full(score: Score, phrase: Phrase) -> tuple[Measure, ...]:
    return tuple(m for m in score.measures[phrase.begin : phrase.end] if m.number)


def _same(a: Measure, b: Measure) -> bool:
    """The same notes, lasting as long, reached in the same way."""

    def of(measure: Measure) -> list[object]:
        return [
            (e.onset, e.duration, sorted((n.string, n.fret, str(n.link)) for n in e.notes))
            for e in measure.events
            if e.notes
        ]

    return of(a) == of(b)
