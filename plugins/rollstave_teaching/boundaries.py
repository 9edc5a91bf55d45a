"""What speaks for a phrase to begin at a measure: signs, each a number.

Where the ear parts a melody: long notes, rests and leaps (the Local Boundary Detection Model,
Cambouropoulos 2001, from memory), what comes again (parallelism: Temperley, The Cognition of Basic
Musical Structures, 2001), and where the chords and the tonic come home.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

from rollstave import Measure, Score
from rollstave_teaching.hand import ends_on_plucks
from rollstave_teaching.held import chords_by_measure

ALIKE = 0.75  # from here on a measure is taken for another again
_MOST_REST = 2.0
_FIGURE = 2  # measures of a figure that is repeated within a phrase
_BACK = 16  # measures that are looked back for what comes again

# What Boundaries.signs returns, in order.
SIGNS = (
    *("second", "fourth", "held", "parted", "again", "like opening", "rhythm again"),
    *("new chord", "home chord", "plucks", "tonic"),
)

Sounds = frozenset[tuple[Fraction, int, int | None]]
Rhythm = tuple[Fraction, ...]


def sounds(measure: Measure) -> Sounds:
    """Onset, string and fret of every note."""
    return frozenset((e.onset, n.string, n.fret) for e in measure.events for n in e.notes)


def shared(mine: Sounds, theirs: Sounds) -> float:
    """What share of two measures' notes they have in common; 1 for the same."""
    both = len(mine | theirs)
    return len(mine & theirs) / both if both else 1.0


class Boundaries:
    """The signs of all boundaries of a score."""

    def __init__(self, score: Score) -> None:
        self.measures = score.measures
        self.chords = chords_by_measure(score)
        self.home = next((names[0] for names in self.chords if names), "")
        self.sounds = [sounds(measure) for measure in score.measures]
        self.rhythms = [_rhythm(measure) for measure in score.measures]
        self.held = [_held(measure) for measure in score.measures]
        self.strokes = [len(rhythm) for rhythm in self.rhythms]
        self.parted = _parted(score.measures)
        self.common = Counter(self.rhythms)
        last = [e.notes[0].pitch.midi for m in score.measures for e in m.events if e.notes]
        self.tonic = last[-1] % 12 if last else -1

    @property
    def strokes_in_most(self) -> int:
        """The strokes of a measure that half of the measures have at least."""
        struck = sorted(n for n in self.strokes if n)
        return struck[len(struck) // 2] if struck else 0

    def signs(self, at: int, strain: int) -> tuple[float, ...]:
        """The signs that a phrase begins at a measure of the strain that begins at ``strain``, in
        the order of :data:`SIGNS`; about 0 to 2 each."""
        before, after = self.chords[at - 1], self.chords[at]
        changes = bool(before and after and before[-1] != after[0])
        rare = 1 - self.common[self.rhythms[at]] / len(self.measures)
        return (
            float((at - strain) % 2 == 0),
            float((at - strain) % 4 == 0),
            min(_MOST_REST, self._longer(at - 1)),
            self.parted[at - 1],
            self._again(at, strain),
            rare * (self.rhythms[at] == self.rhythms[strain]),
            self._rhythm_again(at, strain),
            float(changes),
            float(changes and after[0] == self.home),
            float(ends_on_plucks(self.measures[at - 1])),
            float(self._ends_home(at - 1)),
        )

    def _longer(self, at: int) -> float:
        """How much longer the longest note of a measure is held than that of those around it, in
        doublings; an upbeat may come after it."""
        near = sorted(self.held[max(0, at - 4) : at + 5])
        usual = near[len(near) // 2]
        return max(0.0, math.log2(self.held[at] / usual)) if usual else 0.0

    def _again(self, at: int, strain: int) -> float:
        """1 if two measures from here on are those that begin a strain, or came before, but not
        right before, as a figure that is repeated within a phrase."""
        pair = self.sounds[at : at + 2]
        for start in sorted({strain, *range(max(strain, at - _BACK), at - _FIGURE, 2)}):
            other = self.sounds[start : start + 2]
            if at - start <= _FIGURE or len(pair) < 2:
                continue
            if all(shared(*both) >= ALIKE for both in zip(pair, other, strict=True)):
                return 1.0
        return 0.0

    def _rhythm_again(self, at: int, strain: int) -> float:
        """1 if two measures from here on go in the rhythm in which the strain began."""
        pair = self.rhythms[at : at + 2]
        return float(len(pair) == 2 and pair == self.rhythms[strain : strain + 2])

    def _ends_home(self, at: int) -> bool:
        """True if the longest note of a measure is the one that the tune ends on."""
        struck = [e for e in self.measures[at].events if e.notes]
        longest = max(struck, key=lambda e: (e.duration, e.onset), default=None)
        return longest is not None and longest.notes[0].pitch.midi % 12 == self.tonic


def _held(measure: Measure) -> Fraction:
    """How long it lasts at most from one stroke of a measure to the next, or to its end."""
    struck = [e.onset for e in measure.events if e.notes] or [Fraction(0)]
    return max(b - a for a, b in pairwise([*struck, measure.length]))


def _rhythm(measure: Measure) -> Rhythm:
    return tuple(e.onset for e in measure.events if e.notes)


def _parted(measures: Sequence[Measure]) -> list[float]:
    """For each measure how strongly the ear parts the melody after one of the notes in its second
    half, 0 to 1: half by the time between notes, a quarter each by leaps and rests."""
    now = Fraction(0)
    notes: list[tuple[Fraction, Fraction, int, int]] = []  # onset, end, pitch, measure
    zero = Fraction(0)
    for place, measure in enumerate(measures):
        for event in measure.events:
            if event.notes:
                onset = now + event.onset
                late = place if event.onset * 2 >= measure.length else -1
                notes.append((onset, onset + event.duration, event.notes[0].pitch.midi, late))
        now += measure.length
    pairs = list(pairwise(notes))
    between = _strengths([float(b[0] - a[0]) for a, b in pairs])
    leaps = _strengths([float(abs(b[2] - a[2])) for a, b in pairs])
    rests = _strengths([float(max(zero, b[0] - a[1])) for a, b in pairs])
    found = [0.0] * len(measures)
    for (before, _), time, leap, rest in zip(pairs, between, leaps, rests, strict=True):
        strength = 0.5 * time + 0.25 * leap + 0.25 * rest
        if before[3] >= 0:
            found[before[3]] = max(found[before[3]], strength)
    return found


def _strengths(steps: Sequence[float]) -> list[float]:
    """Of intervals: each times how much it differs from those beside it; the largest is 1."""
    changes = [abs(a - b) / (a + b) if a + b else 0.0 for a, b in pairwise(steps)]
    sides = zip([0.0, *changes], [*changes, 0.0], strict=True)
    found = [step * (left + right) for step, (left, right) in zip(steps, sides, strict=False)]
    most = max(found, default=0.0)
    return [value / most for value in found] if most else found
