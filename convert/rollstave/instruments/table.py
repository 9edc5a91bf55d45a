"""The instruments we know, as data.

Banjo tunings: common practice, octaves by arithmetic from open G. General MIDI program 106
(counted from 1) is Banjo: General MIDI Level 1 sound set. ``pluck.banjo`` is in the standard
sounds of MusicXML 4.0.
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

INSTRUMENTS: tuple[Instrument, ...] = (FIVE_STRING_BANJO,)
