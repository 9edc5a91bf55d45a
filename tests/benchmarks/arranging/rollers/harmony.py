"""A tune's key, its chords and its phrases, told from the melody alone.

Facts of the trade used (common practice, no source): which keys lie well in which tuning; I, IV and
V carry most tunes; a tune ends at home.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from ...rhythm.model import CorpusTune, MeasureKind, MelodyNote

NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")
# Of each tuning: tonics that lie well, in major and in minor.
KEYS: dict[str, tuple[tuple[int, ...], tuple[int, ...]]] = {
    "gDGBD": ((7, 0, 2), (4, 9)),
    "gCGBD": ((0, 7), (9, 4)),
    "gCGCD": ((0,), (0, 9)),
    "gDGCD": ((7, 0), (7,)),
    "aDADE": ((2, 9), (9, 2)),
    "gCGCE": ((0,), (9,)),
}
# Degrees in semitones above the tonic, whether minor, and how unwilling a player is.
DEGREES: dict[bool, tuple[tuple[int, bool, float], ...]] = {
    False: ((0, False, 0.0), (5, False, 0.1), (7, False, 0.08), (9, True, 0.3), (2, True, 0.35)),
    True: (
        *((0, True, 0.0), (5, True, 0.12), (7, False, 0.15), (10, False, 0.12)),
        *((3, False, 0.2), (8, False, 0.3)),
    ),
}


class Chord(NamedTuple):
    """A triad; ``root`` is a pitch class."""

    root: int
    minor: bool

    @property
    def name(self) -> str:
        return NAMES[self.root] + "m" * self.minor

    @property
    def tones(self) -> frozenset[int]:
        return frozenset((self.root + up) % 12 for up in (0, 3 if self.minor else 4, 7))


def key_of(tune: CorpusTune) -> tuple[int, bool]:
    """Tonic and whether it is minor: by the signature, and the last note for the relative."""
    major = 7 * tune.fifths % 12
    pitches = [note.midi for measure in tune.measures for note in measure.notes]
    minor = bool(pitches) and (pitches[-1] - major) % 12 == 9
    return (major + 9 * minor) % 12, minor


@cache
def chords_of(tonic: int, minor: bool) -> tuple[tuple[Chord, float], ...]:
    return tuple((Chord((tonic + up) % 12, small), price) for up, small, price in DEGREES[minor])


def fits(chord: Chord, notes: Sequence[MelodyNote], move: int) -> float:
    """The share of the notes' time that the chord's tones have; first notes count for more."""
    whole = sum(note.duration for note in notes) + sum(n.duration for n in notes[:1])
    good = sum(
        note.duration * (1 + (k == 0))
        for k, note in enumerate(notes)
        if (note.midi + move) % 12 in chord.tones
    )
    return float(good / whole) if whole else 0.5


def harmonise(tune: CorpusTune, key: tuple[int, bool], move: int) -> list[Chord]:
    """A chord for each measure, by the cheapest way through the tune; it ends at home."""
    options = chords_of((key[0] + move) % 12, key[1])
    home = options[0][0]
    costs: dict[Chord, float] = {chord: 0.0 if chord == home else 0.4 for chord, _ in options}
    trail: list[dict[Chord, Chord]] = []
    for measure in tune.measures:
        closes = measure.right != "|" or measure is tune.measures[-1]
        back: dict[Chord, Chord] = {}
        found: dict[Chord, float] = {}
        for chord, price in options:
            before = min(costs, key=lambda c: costs[c] + (0.12 if c != chord else 0.0))
            back[chord] = before
            found[chord] = costs[before] + (0.12 if before != chord else 0.0) + price
            found[chord] += 1.0 - fits(chord, measure.notes, move)
            found[chord] += 0.5 if closes and chord != home else 0.0
        costs = found
        trail.append(back)
    at = min(costs, key=lambda c: costs[c])
    way = []
    for back in reversed(trail):
        way.append(at)
        at = back[at]
    return way[::-1]


def phrase_ends(tune: CorpusTune) -> frozenset[int]:
    """Indexes of every fourth full measure of a part, and of those before a double bar."""
    ends, count = set(), 0
    for index, measure in enumerate(tune.measures):
        count += measure.kind is MeasureKind.FULL
        closes = measure.right != "|" or index == len(tune.measures) - 1
        if closes or count == 4:
            ends.add(index)
            count = 0
    return frozenset(ends)
