"""The banjos, as data. Other instruments come with plugins.

Tunings of the five-string banjo: common practice, octaves by arithmetic from open G. Those of the
four-string banjos: common practice, octaves from memory and checked by their intervals in the
tests; they are written an octave above their sound (common practice). General MIDI program 106
(counted from 1) is Banjo: General MIDI Level 1 sound set. The sounds are standard sounds of
MusicXML 4.0 (from memory).
"""

from __future__ import annotations

from rollstave.instruments.instrument import Instrument, ShortString, Tuning

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
    rank=0,
    tunings=(
        Tuning.of("gDGBD", "G4 D3 G3 B3 D4", "open G", "G", "standard", "bluegrass"),
        Tuning.of("gCGBD", "G4 C3 G3 B3 D4", "C", "drop C", "standard C", "low C"),
        Tuning.of("gCGCD", "G4 C3 G3 C4 D4", "double C"),
        Tuning.of("gCGCE", "G4 C3 G3 C4 E4", "open C"),
        Tuning.of(
            "gDGCD",
            "G4 D3 G3 C4 D4",
            "sawmill",
            "mountain modal",
            "mountain minor",
            "modal",
            "G modal",
        ),
        Tuning.of("gDGBbD", "G4 D3 G3 Bb3 D4", "G minor", "open G minor"),
        Tuning.of("f#DF#AD", "F#4 D3 F#3 A3 D4", "open D", "D"),
        Tuning.of("aDF#AD", "A4 D3 F#3 A3 D4", "open D, high fifth", "open D with high fifth"),
        Tuning.of("aDADE", "A4 D3 A3 D4 E4", "double D", base="gCGCD", capo=2),
        Tuning.of("aEAC#E", "A4 E3 A3 C#4 E4", "open A", "A", base="gDGBD", capo=2),
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
    rank=40,
    tunings=(
        Tuning.of("CGDA", "C3 G3 D4 A4", "standard"),
        Tuning.of("GDAE", "G2 D3 A3 E4", "octave mandolin"),
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
    rank=50,
    tunings=(
        Tuning.of("CGBD", "C3 G3 B3 D4", "standard", "plectrum C"),
        Tuning.of("DGBD", "D3 G3 B3 D4", "open G"),
    ),
)

INSTRUMENTS: tuple[Instrument, ...] = (FIVE_STRING_BANJO, TENOR_BANJO, PLECTRUM_BANJO)
"""The project's own. All that are known, plugins' too: :func:`rollstave.known_instruments`."""
