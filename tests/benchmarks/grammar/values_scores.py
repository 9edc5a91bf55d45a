"""Scores: tunings, times, kinds of tune, their length."""

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
    "banjo, open G",
    Tuning(
        instrument="banjo",
        written="gDGBD",
        pitches=(67, 50, 55, 59, 62),
        keys=("G",),
        names=("open G", "G tuning"),
        usual=True,
    ),
    weight=6,
)
VALUES.row(
    "tuning", "banjo, double C", _banjo("gCGCD", (67, 48, 55, 60, 62), "C", ("double C",)), weight=2
)
VALUES.row(
    "tuning", "banjo, G minor", _banjo("gDGBbD", (67, 50, 55, 58, 62), "Gm", ("G minor tuning",))
)
VALUES.row(
    "tuning", "banjo, open D with a high fifth", _banjo("aDF#AD", (69, 50, 54, 57, 62), "D", ())
)
VALUES.row("tuning", "banjo, open A", _banjo("aEAC#E", (69, 52, 57, 61, 64), "A", ("open A",)))
VALUES.row(
    "tuning",
    "plectrum banjo",
    Tuning(
        instrument="plectrum banjo",
        written="CGBD",
        pitches=(48, 55, 59, 62),
        keys=("C", "G"),
        word="plectrum banjo",
    ),
    weight=0.5,
)
VALUES.row(
    "tuning",
    "guitar",
    Tuning(
        instrument="guitar",
        written="EADGBE",
        pitches=(40, 45, 50, 55, 59, 64),
        keys=("C", "G", "D", "A", "E"),
        names=("standard tuning", "standard"),
        word="guitar",
    ),
    weight=1.5,
)
VALUES.row(
    "tuning",
    "guitar, drop D",
    Tuning(
        instrument="guitar",
        written="DADGBE",
        pitches=(38, 45, 50, 55, 59, 64),
        keys=("D",),
        word="guitar",
    ),
    weight=0.5,
)
VALUES.row(
    "tuning",
    "baritone ukulele",
    Tuning(
        instrument="baritone ukulele",
        written="DGBE",
        pitches=(50, 55, 59, 64),
        keys=("G", "D"),
        word="baritone ukulele",
    ),
    weight=0.5,
)
VALUES.row(
    "tuning",
    "mandolin",
    Tuning(
        instrument="mandolin",
        written="GDAE",
        pitches=(55, 62, 69, 76),
        keys=("G", "D", "A", "C"),
        names=("standard tuning",),
        word="mandolin",
    ),
)

E8, E16 = Fraction(1, 2), Fraction(1, 4)
VALUES.row("meter", "4/4", Meter(written="4/4", unit=E8, slots=8, beat=2), weight=4)
VALUES.row("meter", "3/4", Meter(written="3/4", unit=E8, slots=6, beat=2), weight=1.5)
VALUES.row("meter", "6/8", Meter(written="6/8", unit=E8, slots=6, beat=3), weight=1)
VALUES.row("meter", "2/4 in sixteenths", Meter(written="2/4", unit=E16, slots=8, beat=4), weight=1)
VALUES.row("meter", "2/4 in eighths", Meter(written="2/4", unit=E8, slots=4, beat=2), weight=0.5)

VALUES.row("kind", "roll", melody.roll, weight=4)
VALUES.row("kind", "melody and pinches", melody.pinches, weight=2)
VALUES.row("kind", "down-picking", melody.down_picking, weight=2)
VALUES.row("kind", "scale melody", melody.melody, weight=2)
VALUES.row("kind", "arpeggios", melody.arpeggios, weight=1)

VALUES.row("position", "low", (0, 0), weight=4)
VALUES.row("position", "high", (7, 7), weight=1)
VALUES.row("position", "middle", (4, 5), weight=0.5)

# Measures of each part.
VALUES.row("length", "four", (4,), weight=1)
VALUES.row("length", "four and four", (4, 4), weight=3)
VALUES.row("length", "eight and eight", (8, 8), weight=1)
VALUES.row("length", "three parts", (4, 4, 4), weight=0.7)
VALUES.row("length", "six", (6,), weight=0.5)

# Slots before the first bar, whether the last measure gives them back.
VALUES.row("pickup", "none", 0, weight=6)
VALUES.row("pickup", "three slots", 3, weight=0.4)

VALUES.row("tunes", "one", 1, weight=8)
VALUES.row("tunes", "two", 2, weight=1)
