"""The instruments we know, as data.

Banjo tunings: common practice, octaves by arithmetic from open G. General MIDI program 106
(counted from 1) is Banjo, 25 and 26 are the acoustic guitars with nylon and steel strings, 34 is
the fingered electric bass: General MIDI Level 1 sound set, which has no ukulele and no mandolin.
The sounds are standard sounds of MusicXML 4.0 (from memory). Tunings of the other instruments:
common practice, octaves from memory and checked by their intervals in the tests. Guitar, bass and
the four-string banjos are written an octave above their sound (common practice).
"""

from __future__ import annotations

from rollstave.instruments.model import Instrument, ShortString, Tuning
from rollstave.pitch import Pitch


def _tuning(
    written: str, lowest_line_first: str, *names: str, base: str | None = None, capo: int = 0
) -> Tuning:
    pitches = tuple(Pitch.parse(p) for p in reversed(lowest_line_first.split()))
    return Tuning(written, pitches, names, base, capo)


FIVE_STRING_BANJO = Instrument(
    name="five-string banjo",
    strings=5,
    frets=22,
    octave_written=1,
    program=106,
    sound="pluck.banjo",
    short_string=ShortString(string=5, peg_fret=5),
    words=("banjo", "5-string banjo", "five string banjo"),
    fixed_hand=True,
    tunings=(
        _tuning("gDGBD", "G4 D3 G3 B3 D4", "open G", "G", "standard", "bluegrass"),
        _tuning("gCGBD", "G4 C3 G3 B3 D4", "C", "drop C", "standard C", "low C"),
        _tuning("gCGCD", "G4 C3 G3 C4 D4", "double C"),
        _tuning("gCGCE", "G4 C3 G3 C4 E4", "open C"),
        _tuning("gDGCD", "G4 D3 G3 C4 D4", "sawmill", "mountain modal", "mountain minor", "modal"),
        _tuning("gDGBbD", "G4 D3 G3 Bb3 D4", "G minor", "open G minor"),
        _tuning("f#DF#AD", "F#4 D3 F#3 A3 D4", "open D", "D"),
        _tuning("aDF#AD", "A4 D3 F#3 A3 D4", "open D, high fifth", "open D with high fifth"),
        _tuning("aDADE", "A4 D3 A3 D4 E4", "double D", base="gCGCD", capo=2),
        _tuning("aEAC#E", "A4 E3 A3 C#4 E4", "open A", "A", base="gDGBD", capo=2),
    ),
)

GUITAR = Instrument(
    name="guitar",
    strings=6,
    frets=24,
    octave_written=1,
    program=26,
    sound="pluck.guitar.acoustic",
    words=("acoustic guitar", "6-string guitar", "six-string guitar", "gtr"),
    tunings=(
        _tuning("EADGBE", "E2 A2 D3 G3 B3 E4", "standard"),
        _tuning("DADGBE", "D2 A2 D3 G3 B3 E4", "drop D"),
        _tuning("DADGAD", "D2 A2 D3 G3 A3 D4", "modal D"),
        _tuning("DGDGBD", "D2 G2 D3 G3 B3 D4", "open G"),
        _tuning("DADF#AD", "D2 A2 D3 F#3 A3 D4", "open D"),
    ),
)
BASS = Instrument(
    name="bass",
    strings=4,
    frets=24,
    octave_written=1,
    program=34,
    sound="pluck.bass.electric",
    words=("bass guitar", "electric bass", "upright bass"),
    clef=("F", 4),
    tunings=(
        _tuning("EADG", "E1 A1 D2 G2", "standard"),
        _tuning("DADG", "D1 A1 D2 G2", "drop D"),
    ),
)
UKULELE = Instrument(
    name="ukulele",
    strings=4,
    frets=18,
    octave_written=0,
    program=25,
    sound="pluck.ukulele",
    words=("uke", "soprano ukulele", "concert ukulele", "tenor ukulele"),
    tunings=(
        _tuning("GCEA", "G4 C4 E4 A4", "standard", "C tuning"),
        _tuning("ADF#B", "A4 D4 F#4 B4", "D tuning"),
    ),
)
BARITONE_UKULELE = Instrument(
    name="baritone ukulele",
    strings=4,
    frets=19,
    octave_written=0,
    program=25,
    sound="pluck.ukulele",
    words=("baritone uke",),
    tunings=(_tuning("DGBE", "D3 G3 B3 E4", "standard"),),
)
MANDOLIN = Instrument(
    name="mandolin",
    strings=4,
    frets=24,
    octave_written=0,
    program=26,
    sound="pluck.mandolin",
    words=("mando",),
    tunings=(
        _tuning("GDAE", "G3 D4 A4 E5", "standard"),
        _tuning("AEAE", "A3 E4 A4 E5", "cross A", "high tuning"),
    ),
)
TENOR_BANJO = Instrument(
    name="tenor banjo",
    strings=4,
    frets=19,
    octave_written=1,
    program=106,
    sound="pluck.banjo",
    words=("tenor",),
    tunings=(
        _tuning("CGDA", "C3 G3 D4 A4", "standard"),
        _tuning("GDAE", "G2 D3 A3 E4", "octave mandolin"),
    ),
)
PLECTRUM_BANJO = Instrument(
    name="plectrum banjo",
    strings=4,
    frets=22,
    octave_written=1,
    program=106,
    sound="pluck.banjo",
    words=("plectrum",),
    tunings=(
        _tuning("CGBD", "C3 G3 B3 D4", "standard", "plectrum C"),
        _tuning("DGBD", "D3 G3 B3 D4", "open G"),
    ),
)

# The order decides where rows and labels fit several.
INSTRUMENTS: tuple[Instrument, ...] = (
    FIVE_STRING_BANJO,
    GUITAR,
    MANDOLIN,
    UKULELE,
    TENOR_BANJO,
    PLECTRUM_BANJO,
    BASS,
    BARITONE_UKULELE,
)
