"""The instruments, as data.

Tunings: common practice, octaves from memory and checked by their intervals in the tests. General
MIDI programs 25, 26, 34 and 111 (counted from 1) are the acoustic guitars with nylon and steel
strings, the fingered electric bass and the fiddle: General MIDI Level 1 sound set, which has no
ukulele, no mandolin and no plucked dulcimer. The sounds are standard sounds of MusicXML 4.0 (from
memory). Guitar and bass are written an octave above their sound (common practice).
"""

from __future__ import annotations

from rollstave import Instrument, Tuning

GUITAR = Instrument(
    name="guitar",
    strings=6,
    frets=24,
    octave_written=1,
    program=26,
    sound="pluck.guitar.acoustic",
    words=("acoustic guitar", "6-string guitar", "six-string guitar", "gtr"),
    rank=10,
    tunings=(
        Tuning.of("EADGBE", "E2 A2 D3 G3 B3 E4", "standard"),
        Tuning.of("DADGBE", "D2 A2 D3 G3 B3 E4", "drop D"),
        Tuning.of("DADGAD", "D2 A2 D3 G3 A3 D4", "modal D"),
        Tuning.of("DGDGBD", "D2 G2 D3 G3 B3 D4", "open G"),
        Tuning.of("DADF#AD", "D2 A2 D3 F#3 A3 D4", "open D"),
    ),
)
BASS = Instrument(
    name="bass",
    strings=4,
    frets=24,
    octave_written=1,
    program=34,
    sound="pluck.bass.electric",
    words=("bass guitar", "electric bass", "upright bass", "bass fiddle"),
    clef=("F", 4),
    rank=60,
    tunings=(
        Tuning.of("EADG", "E1 A1 D2 G2", "standard"),
        Tuning.of("DADG", "D1 A1 D2 G2", "drop D"),
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
    rank=30,
    tunings=(
        Tuning.of("GCEA", "G4 C4 E4 A4", "standard", "C tuning"),
        Tuning.of("ADF#B", "A4 D4 F#4 B4", "D tuning"),
    ),
)
BARITONE_UKULELE = Instrument(
    name="baritone ukulele",
    strings=4,
    frets=19,
    octave_written=0,
    program=25,
    sound="pluck.ukulele",
    words=("baritone uke", "baritone"),
    rank=70,
    tunings=(Tuning.of("DGBE", "D3 G3 B3 E4", "standard"),),
)
MANDOLIN = Instrument(
    name="mandolin",
    strings=4,
    frets=24,
    octave_written=0,
    program=26,
    sound="pluck.mandolin",
    words=("mando",),
    rank=20,
    tunings=(
        Tuning.of("GDAE", "G3 D4 A4 E5", "standard"),
        Tuning.of("AEAE", "A3 E4 A4 E5", "cross A", "high tuning"),
    ),
)
# A fiddle has no frets: the figures of its tab are those of a mandolin's, a semitone each.
FIDDLE = Instrument(
    name="fiddle",
    strings=4,
    frets=24,
    octave_written=0,
    program=111,
    sound="strings.fiddle",
    words=("violin",),
    rank=25,
    tunings=(
        Tuning.of("GDAE", "G3 D4 A4 E5", "standard"),
        Tuning.of("AEAE", "A3 E4 A4 E5", "cross A", "cross tuned", "high tuning"),
        Tuning.of("ADAE", "A3 D4 A4 E5", "cross D", "high bass"),
        Tuning.of("GDGD", "G3 D4 G4 D5", "cross G", "sawmill"),
        Tuning.of("AEAC#", "A3 E4 A4 C#5", "calico"),
        Tuning.of("DDAD", "D3 D4 A4 D5", "dead man"),
    ),
)

# The frets of a mountain dulcimer are those of a mixolydian scale from the open string (common
# practice): whole, whole, half, whole, whole, half, whole. Between 6 and 7 builders add 6+, which
# makes it major, and its octave 13+; some add 1+ (the lowered third) and its octave 8+. The pair
# of melody strings counts as one; the melody is the top line.
_OCTAVE = (0, 2, 4, 5, 7, 9, 10)
DULCIMER = Instrument(
    name="mountain dulcimer",
    strings=3,
    frets=17,
    octave_written=0,
    program=26,
    sound="pluck.dulcimer",
    words=("dulcimer", "appalachian dulcimer", "lap dulcimer"),
    rank=80,
    fret_semitones=tuple(12 * (n // 7) + _OCTAVE[n % 7] for n in range(18)),
    half_frets=(1, 6, 8, 13),
    tunings=(
        Tuning.of("DAD", "D3 A3 D4", "mixolydian", "standard"),
        Tuning.of("DAA", "D3 A3 A3", "ionian"),
        Tuning.of("DAC", "D3 A3 C4", "aeolian"),
        Tuning.of("DAG", "D3 A3 G3", "dorian"),
        Tuning.of("DGD", "D3 G3 D4", "reverse ionian"),
        Tuning.of("CGC", "C3 G3 C4", "C mixolydian"),
    ),
)

INSTRUMENTS: tuple[Instrument, ...] = (
    GUITAR,
    MANDOLIN,
    FIDDLE,
    UKULELE,
    BASS,
    BARITONE_UKULELE,
    DULCIMER,
)
