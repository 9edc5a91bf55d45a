"""Values that are set aside afresh. WHO MENDS THE READER MUST NOT READ THIS MODULE.

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


def _other(word: str, written: str, pitches: tuple[int, ...], keys: str, *names: str) -> Tuning:
    return Tuning(
        instrument=word,
        written=written,
        pitches=pitches,
        keys=tuple(keys.split()),
        names=names,
        word=word,
    )


VALUES.row("tuning", "banjo, A modal", _banjo("aEADE", (69, 52, 57, 62, 64), "A", ("A modal",)))
VALUES.row("tuning", "banjo, G with a sixth", _banjo("gDGBE", (67, 50, 55, 59, 64), "G", ()))
VALUES.row("tuning", "banjo, open F", _banjo("fCFAC", (65, 48, 53, 57, 60), "F", ()))
VALUES.row("tuning", "banjo, open E", _banjo("eEG#BE", (64, 52, 56, 59, 64), "E", ()))
VALUES.row("tuning", "banjo, C minor", _banjo("gCGCEb", (67, 48, 55, 60, 63), "Cm", ()))
VALUES.row("tuning", "guitar, D modal", _other("guitar", "DADGAD", (38, 45, 50, 55, 57, 62), "D"))
VALUES.row("tuning", "guitar, open G", _other("guitar", "DGDGBD", (38, 43, 50, 55, 59, 62), "G"))
VALUES.row(
    "tuning",
    "tenor banjo, as a guitar",
    _other("tenor banjo", "DGBE", (50, 55, 59, 64), "G D", "Chicago tuning"),
)
VALUES.row(
    "tuning", "ukulele in D", _other("ukulele", "aDF#B", (69, 62, 66, 71), "D G", "D tuning")
)

VALUES.row(
    "meter",
    "4/4 in quarters",
    Meter(written="4/4", unit=Fraction(1), slots=4, beat=1),
    weight=1,
)
VALUES.row("meter", "5/4", Meter(written="5/4", unit=Fraction(1, 2), slots=10, beat=2), weight=0.4)
VALUES.row("meter", "9/8", Meter(written="9/8", unit=Fraction(1, 2), slots=9, beat=3), weight=0.6)

VALUES.row("kind", "double stops", melody.double_stops, weight=1)
VALUES.row("kind", "strums", melody.strums, weight=0.7)

VALUES.row("position", "first part high", (7, 0), weight=1)
VALUES.row("position", "very high", (10, 10), weight=0.6)

# Measures of each part.
VALUES.row("length", "twelve", (12,), weight=1)
VALUES.row("length", "four and eight", (4, 8), weight=1)
VALUES.row("length", "five", (5,), weight=0.4)

# Slots before the first bar, whether the last measure gives them back.
VALUES.row("pickup", "two beats", 4, weight=0.6)
VALUES.row("pickup", "five slots", 5, weight=0.3)

VALUES.row("tunes", "four", 4, weight=0.4)
