"""Values that are set aside. WHO MENDS THE READER MUST NOT READ THIS MODULE.

Its texts are only reported on, as totals.

Scores: tunings, times, kinds of tune, their length."""

from __future__ import annotations

from fractions import Fraction

from tests.benchmarks.grammar import melody
from tests.benchmarks.grammar.choices import Table
from tests.benchmarks.grammar.model import Meter, Tuning

VALUES = Table()


def _banjo(written: str, pitches: tuple[int, ...], keys: str, names: tuple[str, ...]) -> Tuning:
    return Tuning(
        instrument="banjo", written=written, pitches=pitches, keys=tuple(keys.split()), names=names
    )


VALUES.row(
    "tuning",
    "banjo, drop C",
    _banjo("gCGBD", (67, 48, 55, 59, 62), "C", ("drop C", "C tuning")),
    weight=2,
)
VALUES.row("tuning", "banjo, open C", _banjo("gCGCE", (67, 48, 55, 60, 64), "C", ("open C",)))
VALUES.row(
    "tuning",
    "banjo, sawmill",
    _banjo("gDGCD", (67, 50, 55, 60, 62), "G", ("sawmill", "mountain modal")),
)
VALUES.row("tuning", "banjo, open D", _banjo("f#DF#AD", (66, 50, 54, 57, 62), "D", ("open D",)))
VALUES.row("tuning", "banjo, double D", _banjo("aDADE", (69, 50, 57, 62, 64), "D", ("double D",)))
VALUES.row(
    "tuning",
    "tenor banjo",
    Tuning(
        instrument="tenor banjo",
        written="CGDA",
        pitches=(48, 55, 62, 69),
        keys=("C", "G", "D"),
        names=("standard tuning",),
        word="tenor banjo",
    ),
)
VALUES.row(
    "tuning",
    "tenor banjo, an octave below the mandolin",
    Tuning(
        instrument="tenor banjo",
        written="GDAE",
        pitches=(43, 50, 57, 64),
        keys=("G", "D", "A"),
        word="tenor banjo",
    ),
    weight=0.5,
)
VALUES.row(
    "tuning",
    "ukulele",
    Tuning(
        instrument="ukulele",
        written="gCEA",
        pitches=(67, 60, 64, 69),
        keys=("C", "F", "G"),
        names=("standard tuning", "C tuning"),
        word="ukulele",
    ),
)

E8, E16 = Fraction(1, 2), Fraction(1, 4)
VALUES.row("meter", "2/2", Meter(written="2/2", unit=E8, slots=8, beat=4), weight=2)

VALUES.row("kind", "bass and chord", melody.bass_and_chord, weight=1)

VALUES.row("position", "second part high", (0, 7), weight=1)

# Measures of each part.
VALUES.row("length", "eight", (8,), weight=2)

# Slots before the first bar, whether the last measure gives them back.
VALUES.row("pickup", "a beat", 2, weight=1)
VALUES.row("pickup", "a slot", 1, weight=0.6)

VALUES.row("tunes", "three", 3, weight=0.4)
