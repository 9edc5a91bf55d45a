"""Chord shapes: those a tune uses, closed shapes that move along the neck, fingers for them.

A shape is a tuple of frets, string 1 first; None is a string that does not belong to it. One fret
is one semitone, so a shape without open strings keeps its sound wherever it is moved (common
practice). Fingers are numbered from the index finger, 1 to 4.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache

from msgspec import Struct

from rollstave.deciding.chords import chord_name, chord_tones
from rollstave.instruments.setup import Setup
from rollstave.score.records import Measure
from rollstave.score.wanted import wanted

Frets = tuple[int | None, ...]
LAST_FRET = 17
_WIDEST = 3  # frets between the lowest and the highest finger of a shape that we suggest
CAUTION = (
    "Low frets lie far apart: if a stretch hurts, leave it, and play the chord somewhere else."
)


class NamedShape(Struct, frozen=True):
    """A chord name and the frets it is held with. ``suggested`` is True for a shape that is not
    the tune's own. Where ``partial`` is True, a string of fret None is not forbidden: the tune
    strikes it for passing notes at most, and nothing more is known of it. ``beside`` is its
    other name under a capo, where both are asked for; ``set_up`` says how the instrument is set up
    for it, where that is not as at the beginning."""

    name: str
    frets: Frets
    suggested: bool = False
    partial: bool = False
    beside: str = ""
    set_up: str = ""

    @property
    def label(self) -> str:
        """What is printed as its name."""
        around = ", ".join(words for words in (self.beside, self.set_up) if words)
        return f"{self.name} ({around})" if around else self.name

    @property
    def lowest(self) -> int:
        """The lowest fret that is stopped; 0 if none is."""
        return min((f for f in self.frets if f), default=0)


class MovableShape(Struct, frozen=True):
    """A closed shape: its frets over its own lowest one, and where it makes which chord."""

    pattern: Frets
    positions: tuple[NamedShape, ...]


class Fingering(Struct, frozen=True):
    """Fingers for a shape, string 1 first (None: open or silent), and the string numbers, lowest
    and highest, that finger 1 lies across, if it does."""

    fingers: Frets
    barre: tuple[int, int] | None = None


def used_shapes(measures: Sequence[Measure]) -> tuple[NamedShape, ...]:
    """Each shape that a tune holds under a chord name, once, in order of their first use."""
    found: dict[tuple[str, Frets], NamedShape] = {}
    for measure in measures:
        for chord in measure.chords:
            if chord.frets is not None:
                shape = NamedShape(chord.text, chord.frets)
                found.setdefault((chord.text, _stopped(chord.frets)), shape)
    return tuple(found.values())


def _stopped(frets: Frets) -> Frets:
    """What the left hand does: a string that is open and one that is not struck are the same."""
    return tuple(f or None for f in frets)


def suggest_fingers(frets: Frets, short: int | None = None) -> Fingering:
    """Fingers for a shape: the lowest fret takes the index finger, and each finger after it the
    next note up the neck, strings of low sound first. Neighbours on the lowest fret are barred
    where they are three or more, or nothing else is held, or there are not fingers enough.
    ``short`` is the number of a short string: the thumb stops it (common practice), no finger."""
    stopped = sorted(
        (fret, -number) for number, fret in enumerate(frets, start=1) if fret and number != short
    )
    fingers: list[int | None] = [None] * len(frets)
    if not stopped:
        return Fingering(tuple(fingers))
    lowest = stopped[0][0]
    row = [-number for fret, number in stopped if fret == lowest]
    between = range(min(row), max(row) + 1)
    # An open string under the finger would be stopped by it.
    open_under = any(frets[n - 1] == 0 for n in between)
    needed = len(row) > 2 or len(stopped) > 4 or len(row) == len(stopped)
    barred = len(row) > 1 and not open_under and needed
    last = 0
    for position, (fret, number) in enumerate(stopped):
        if barred and fret == lowest:
            fingers[-number - 1] = last = 1
            continue
        # As far along the hand as the fret is along the neck, if that leaves fingers for the rest.
        spare = 4 - (len(stopped) - position - 1)
        last = min(4, max(last + 1, min(fret - lowest + 1, spare)))
        fingers[-number - 1] = last
    return Fingering(tuple(fingers), (min(row), max(row)) if barred else None)


def movable_shapes(names: Sequence[str], setup: Setup) -> tuple[MovableShape, ...]:
    """All closed shapes of the chords named, on the top three or four long strings.

    Every tone of the chord sounds, up to fret :data:`LAST_FRET`. Raises ValueError for a name
    whose tones are not known.
    """
    wanted(setup, Setup, "shapes are held in a setup, such as that of a score")
    found: dict[Frets, list[NamedShape]] = {}
    for name in names:
        for frets in closed_shapes(name, setup):
            lowest = min(f for f in frets if f is not None)
            pattern = tuple(None if f is None else f - lowest for f in frets)
            found.setdefault(pattern, []).append(NamedShape(name, frets))
    shapes = [
        MovableShape(pattern, tuple(sorted(places, key=lambda s: s.lowest)))
        for pattern, places in found.items()
    ]
    return tuple(sorted(shapes, key=lambda s: (len(_strings(s.pattern)), s.positions[0].lowest)))


@lru_cache(maxsize=64)
def closed_shapes(name: str, setup: Setup) -> tuple[Frets, ...]:
    """All closed shapes of a chord on the top three or four long strings, lowest first.

    Raises ValueError for a name whose tones are not known."""
    chord = chord_name(name, Fraction(0))
    tones = chord_tones(chord)
    if tones is None or chord.root is None:
        raise ValueError(f"the tones of the chord {name!r} are not known")
    return tuple(_closed(tones, setup))


def _strings(frets: Frets) -> list[int]:
    return [number for number, fret in enumerate(frets, start=1) if fret is not None]


def _closed(tones: frozenset[int], setup: Setup) -> Iterator[Frets]:
    """Every closed shape of a chord: as many strings as it has tones, and four if there are."""
    short = setup.instrument.short_string
    long_strings = [
        n for n in range(1, setup.instrument.strings + 1) if short is None or n != short.string
    ]
    counts = {3, 4} if len(tones) == 3 else {len(tones)}
    for count in sorted(counts):
        strings = long_strings[:count]
        if len(strings) < len(tones):
            continue
        for lowest in range(1, LAST_FRET + 1):
            yield from _at(tones, setup, strings, lowest)


def _at(
    tones: frozenset[int], setup: Setup, strings: Sequence[int], lowest: int
) -> Iterator[Frets]:
    """The shapes whose lowest fret is ``lowest``."""
    reach = range(lowest, min(lowest + _WIDEST, LAST_FRET) + 1)
    partial: list[tuple[int, ...]] = [()]
    for string in strings:
        partial = [
            (*before, fret)
            for before in partial
            for fret in reach
            if setup.midi(string, fret) % 12 in tones
        ]
    for frets in partial:
        sounding = {setup.midi(s, f) % 12 for s, f in zip(strings, frets, strict=True)}
        if min(frets) == lowest and sounding == tones:
            whole: list[int | None] = [None] * setup.instrument.strings
            for string, fret in zip(strings, frets, strict=True):
                whole[string - 1] = fret
            yield tuple(whole)
